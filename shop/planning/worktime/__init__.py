"""Working time and working days. Pure."""
