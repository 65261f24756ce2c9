"""Offers, their editions and decisions."""
