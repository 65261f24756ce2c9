"""Due work: what a lower room wished and a worker does once.

The sweep only rings; whoever answers claims the row, runs the wished task and records the end, so that a lost or a
repeated message changes nothing, and a worker that dies leaves a lease that runs out.
"""

import logging
from datetime import datetime, timedelta

from celery import current_app, shared_task
from django.core.cache import cache
from django.db import IntegrityError, transaction

from shop.core import clock, duework, seals
from shop.core.bell import ring
from shop.core.models import DueWork

log = logging.getLogger("wickline.duework")

# Longer than the longest wished task, since a lease that runs out lets a second worker begin the same.
LEASE = timedelta(minutes=10)
FIRST_RETRY = timedelta(seconds=30)
LONGEST_RETRY = timedelta(hours=1)
TRIES = 8
AT_ONCE = 200
_SEEN = "worker-seen-at"


@shared_task(name="core.sweep_due_work")
def sweep_due_work() -> int:
    """Ring for every wish that is due, and note that a worker is alive. Returns how many it rang for."""
    cache.set(_SEEN, clock.now(), timeout=None)
    waiting = list(duework.due(DueWork).values_list("pk", flat=True)[:AT_ONCE])
    for pk in waiting:
        ring("core.do_due_work", pk)
    return len(waiting)


def worker_seen_at() -> datetime | None:
    """Return when a worker last swept, which shows that beat, broker and worker all run; None when never."""
    seen: datetime | None = cache.get(_SEEN)
    return seen


@shared_task(name="core.seal_trail")
def seal_trail() -> bool:
    """Seal the newest rows of the trail. Returns whether there were any."""
    return seals.seal()


@shared_task(name="core.do_due_work")
def do_due_work(pk: str) -> bool:
    """Run one wished task, if the wish is still there and nobody else has it. Returns whether the task ran well."""
    wish = duework.claim(DueWork, pk, lease=LEASE)
    if wish is None:
        return False
    try:
        current_app.tasks[wish.task](wish.subject)
    except Exception as failure:
        log.exception("%s for %s failed at try %d.", wish.task, wish.subject, wish.attempts)
        _try_again(wish, f"{type(failure).__name__}: {failure}"[:300])
        return False
    return duework.finish(wish, DueWork.State.DONE, error="")


def _try_again(wish: DueWork, error: str) -> None:
    if wish.attempts >= TRIES:
        duework.finish(wish, DueWork.State.FAILED, error=error)
        return
    wait = min(FIRST_RETRY * 2 ** (wish.attempts - 1), LONGEST_RETRY)
    try:
        with transaction.atomic():
            duework.finish(wish, DueWork.State.DUE, due_at=clock.now() + wait, error=error)
    except IntegrityError:
        # Somebody wished the same again meanwhile: that newer wish stands for both.
        duework.finish(wish, DueWork.State.CANCELLED, error=error)
