"""Customers, staff, places."""
