"""Work that must happen once, whatever a broker loses or repeats.

The row is the truth; a task only rings. A worker claims by compare-and-set and commits the claim before it acts; what
was claimed and never finished becomes due again when its lease runs out.
"""

import uuid
from datetime import timedelta
from typing import TypeVar

from django.db import models, transaction
from django.db.models import F, Q
from django.db.models.functions import Least

from shop.core import clock
from shop.core.models import Claimable, DueWork

# The planner's task, and the subject under which changes ask for it. It stands here because every room may change what
# a plan is made from, and none below the planner knows it.
REPLAN, CHANGED = "planning.replan", "changed"

C = TypeVar("C", bound=Claimable)
LEASE = timedelta(minutes=2)
State = Claimable.State


def _ready(now_is: object) -> Q:
    return Q(state=State.DUE, due_at__lte=now_is) | Q(state=State.CLAIMED, lease_until__lte=now_is)


def due(model: type[C]) -> "models.QuerySet[C]":
    """Return the rows that somebody should handle now, those whose lease ran out among them, oldest first."""
    return model._default_manager.filter(_ready(clock.now())).order_by("due_at")


def claim(model: type[C], pk: object, *, lease: timedelta = LEASE) -> C | None:
    """Claim one row, or return None when it is not due or somebody else holds it.

    Commits before it returns, so that nobody else sends while this worker does; therefore never call it inside a
    transaction (RuntimeError).
    """
    now, token = clock.now(), uuid.uuid4()
    with transaction.atomic(durable=True):
        claimed = (
            model._default_manager.filter(_ready(now), pk=pk)
            .update(state=State.CLAIMED, claim=token, lease_until=now + lease, attempts=F("attempts") + 1)
        )  # fmt: skip
    return model._default_manager.filter(pk=pk, claim=token).first() if claimed else None


def finish(row: Claimable, state: str, *, due_at: object = None, **changes: object) -> bool:
    """Record how claimed work ended; False when the claim was lost meanwhile, and nothing is written.

    A retry passes state DUE and the time of the next try; IntegrityError then says that the same work was wished for
    again meanwhile.
    """
    changes |= {"due_at": due_at} if due_at else {}
    held = type(row)._default_manager.filter(pk=row.pk, state=State.CLAIMED, claim=row.claim)
    return bool(held.update(state=state, claim=None, lease_until=None, **changes))


def wake(task: str, subject: object) -> None:
    """Ask, inside the caller's transaction, that the named task be run for a subject. Twice is once.

    An open wish that is there already is written to as well: its row stays locked until the caller commits, so that
    no worker can take it up and look before the caller's change is there to see.
    """
    open_wish = DueWork.objects.filter(task=task, subject=str(subject), state=State.DUE)
    while not open_wish.update(due_at=Least("due_at", clock.now())):
        DueWork.objects.bulk_create([DueWork(task=task, subject=str(subject))], ignore_conflicts=True)


def undertake(task: str, subject: object) -> DueWork:
    """Wish, inside the caller's transaction, for a task that the caller does itself once that is committed.

    It is claimed from the start: a worker takes it up only when the lease runs out and nobody has finished it.
    """
    lease_until = clock.now() + LEASE
    return DueWork.objects.create(
        task=task, subject=str(subject), state=State.CLAIMED, claim=uuid.uuid4(), lease_until=lease_until, attempts=1
    )


def plan_anew() -> None:
    """Ask, inside the caller's transaction, for a new plan: something that it is made from has changed."""
    wake(REPLAN, CHANGED)
