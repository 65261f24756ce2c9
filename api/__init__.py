"""The REST face, version 1."""
