"""An invented shop to look around in: every name, price and fault in it is made up."""
