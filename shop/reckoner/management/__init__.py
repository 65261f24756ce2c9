"""The reckoner on the command line."""
