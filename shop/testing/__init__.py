"""Readings and verdicts."""
