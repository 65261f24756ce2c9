"""Commands for the machine the shop runs on."""
