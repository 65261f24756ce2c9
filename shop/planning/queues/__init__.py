"""What is in the shop, what comes and goes, and how long it waits. Pure."""
