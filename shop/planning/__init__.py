"""Promises."""
