"""Due work: what a lower room wished and a worker does once.

The sweep only rings; whoever answers claims the row, runs the wished task and records the end, so that a lost or a
repeated message changes nothing, and a worker that dies leaves a lease that runs out.
"""

import logging
from collections.abc import Callable
from datetime import datetime, timedelta

from celery import current_app, shared_task
from django.core.cache import cache
from django.db import DatabaseError, IntegrityError, transaction

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
    return wish is not None and _carry_out(wish, lambda: current_app.tasks[wish.task](wish.subject))


def at_once(wish: DueWork, act: Callable[[], object]) -> None:
    """Do what `duework.undertake` wished for as soon as nothing is uncommitted any more: now, or when a caller is done.

    Never raises: what fails is tried again by a worker.
    """
    try:
        if _inside_a_transaction():
            transaction.on_commit(lambda: _carry_out(wish, act), robust=True)
        else:
            _carry_out(wish, act)
    except DatabaseError as failure:
        log.warning("%s for %s is left to a worker (%s).", wish.task, wish.subject, failure)


def _inside_a_transaction() -> bool:
    """Tell whether a caller's transaction is open; that of a test case, which never ends, is none."""
    try:
        with transaction.atomic(durable=True):
            return False
    except RuntimeError:
        return True


def _carry_out(wish: DueWork, act: Callable[[], object]) -> bool:
    """Do claimed work and record how it ended. Returns whether it went well."""
    try:
        act()
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
