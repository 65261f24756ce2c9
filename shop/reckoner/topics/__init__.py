"""The chapters of the reckoner, one file each: what is asked, and how the arithmetic's answer reads."""
