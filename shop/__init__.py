"""Wickline: the shop and its rooms."""

from shop.celery import app as celery_app

__all__ = ["celery_app"]
