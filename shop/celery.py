"""The Celery application: the same tasks on the broker of one machine and on Redis."""

import os

from celery import Celery

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")

app = Celery("wickline")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
