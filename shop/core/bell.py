"""Ringing for a task. A row in a table is the truth; the bell only makes it quick."""

import logging

from celery import current_app
from django.db import transaction
from kombu.exceptions import OperationalError

log = logging.getLogger("wickline.bell")

# A ring that nobody heard for so long is worth nothing: a sweep has rung again since.
WORTH_S = 60


def ring(task: str, subject: object) -> None:
    """Ask that the named task be run with a subject's id, once the present transaction is committed.

    Never raises for a broker that is away: the next sweep rings for what is due.
    """
    transaction.on_commit(lambda: _ring(task, str(subject)))


def _ring(task: str, subject: str) -> None:
    try:
        current_app.signature(task, args=[subject]).apply_async(expires=WORTH_S)
    except (OperationalError, OSError) as away:
        log.warning("The broker does not take %s for %s (%s); the next sweep asks again.", task, subject, away)
