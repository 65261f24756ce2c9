"""Lots and kits."""
