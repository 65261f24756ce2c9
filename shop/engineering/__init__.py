"""Pure calculations of the trade: no Django, SI inside, units in the names."""
