"""The day for work that was agreed: promised, and told, right after the agreement is stored.

Playing the plan through takes most of a second in a full shop. It reads and locks nothing, so it is no part of the
transaction that stores the agreement: on SQLite that one holds the only write lock. Who agrees last reckons with all
who agreed before. The wish is stored with the agreement, so that a worker names the day where this process cannot.
"""

from collections.abc import Callable
from contextlib import suppress
from datetime import datetime
from uuid import UUID

from django.db import transaction

from shop.books import deposits
from shop.books.models import PaymentRequest
from shop.core import clock, duework, tasks
from shop.core.actor import Actor
from shop.core.locks import lock
from shop.core.models import DueWork
from shop.core.profile import profile
from shop.core.reasons import Refused
from shop.notices import steps as notices
from shop.planning import steps as planning
from shop.planning.queries import latest
from shop.quotes.models import Decision, QuoteVersion
from shop.units.models import Stage, Unit

APPROVED, DEPOSIT = "floor.name_day_approved", "floor.name_day_deposit"
_APPROVED = QuoteVersion.State.APPROVED
# Each further look finds what somebody else promised meanwhile; after so many a worker tries it in a while.
_LOOKS = 4


def wish_approved(decision: Decision) -> DueWork:
    """Wish, inside the transaction of an approval, for its day; hand it to `name` when that is over."""
    return duework.undertake(APPROVED, decision.quote_id)


def wish_deposit(asked: PaymentRequest) -> DueWork:
    """Wish, inside the transaction that ends a deposit, for the day of its unit; hand it to `name` afterwards."""
    return duework.undertake(DEPOSIT, asked.id)


def name(wish: DueWork | None, *, actor: Actor) -> None:
    """Name the day that was wished for, as soon as nothing is uncommitted any more."""
    if wish:
        act = approved if wish.task == APPROVED else deposit_over
        tasks.at_once(wish, lambda: act(actor=actor, subject_id=UUID(wish.subject)))


def approved(*, actor: Actor, subject_id: UUID) -> None:
    """Promise a day for an approved quote, and tell the customer of the approval with it. Twice is once."""
    decision = Decision.objects.select_related("quote").get(quote_id=subject_id)
    _name(actor, decision.quote.unit_id, decision.created_at, lambda unit: tell_approved(unit, decision))


def tell_approved(unit: Unit, decision: Decision) -> None:
    """Thank the customer for an approval; the message names the unit's day, if it has one when it is sent."""
    facts: dict[str, object] = {"total_minor": decision.total_minor}
    notices.tell(event="approved", unit=unit, key=str(decision.quote_id), facts=facts)


def deposit_over(*, actor: Actor, subject_id: UUID) -> None:
    """Promise a day where a deposit was paid or waived, and tell the customer of both. Twice is once."""
    asked = PaymentRequest.objects.get(pk=subject_id)
    over = asked.settled_at or asked.waived_at
    assert over, "a deposit that is open has no day"

    def tell(unit: Unit) -> None:
        facts: dict[str, object] = {"waived": True} if asked.waived_at else {}
        notices.tell(event="deposit_paid", unit=unit, key=str(subject_id), facts=facts)

    _name(actor, asked.unit_id, over, tell)


def _name(actor: Actor, unit_id: UUID, agreed_at: datetime, tell: Callable[[Unit], None]) -> None:
    """Reckon, then promise under the lock if the unit still waits for its day. Without one it is told all the same."""
    for _look in range(_LOOKS):
        day = _reckoned(Unit.objects.get(pk=unit_id), agreed_at)
        with transaction.atomic():
            unit = lock(Unit, pk=unit_id)
            if day and _waits(unit, agreed_at):
                if not planning.promise_reckoned(actor=actor, unit=unit, day=day):
                    continue
                duework.plan_anew()
            tell(unit)
            return
    raise TimeoutError("so much is being promised and planned just now that no day could be reckoned")


def _reckoned(unit: Unit, agreed_at: datetime) -> planning.Reckoned | None:
    if _waits(unit, agreed_at):
        with suppress(Refused):
            return planning.reckon(unit, clock.day_of(clock.now(), profile().time_zone))
    return None


def _waits(unit: Unit, agreed_at: datetime) -> bool:
    """Tell whether a unit is still to be worked on, held by no deposit, and got no other day since the agreement.

    What was agreed later has a wish of its own.
    """
    if unit.outcome or unit.ending or unit.stage == Stage.PICKUP:
        return False
    if unit.before_bench and deposits.open_request(unit.pk):
        return False
    if Decision.objects.filter(quote__unit=unit, quote__state=_APPROVED, created_at__gt=agreed_at).exists():
        return False
    last = latest(unit)
    return last is None or unit.promised_on is None or last.created_at <= agreed_at
