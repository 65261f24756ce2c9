"""The Celery application: the same tasks on the broker of one machine and on Redis."""

import os

from celery import Celery
from kombu.transport import TRANSPORT_ALIASES

os.environ.setdefault("DJANGO_SETTINGS_MODULE", "shop.settings")
TRANSPORT_ALIASES["files"] = "shop.core.filequeue:Transport"

app = Celery("wickline")
app.config_from_object("django.conf:settings", namespace="CELERY")
app.autodiscover_tasks()
