"""Who does what, when and at which bench: the plan's rules, its search, and how far it may be from the best. Pure."""
