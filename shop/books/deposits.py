"""Deposits asked for on an approved quote. The shop's own instructions or link say how to pay; no card data is touched.

While a request is open the unit has a hold of kind deposit: by it rooms that know nothing of money see that it waits.
The functions that take a unit are steps of a flow or of another action: the unit is locked.
"""

import json
from collections.abc import Iterable
from dataclasses import dataclass
from uuid import UUID

from django.db import transaction
from django.db.models import OuterRef, Subquery, Sum, Value
from django.db.models.functions import Coalesce

from shop.books.models import Payment, PaymentRequest
from shop.books.queries import paid_minor
from shop.core import clock, duework, text, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.core.reasons import Reason, Refused
from shop.quotes.models import QuoteVersion
from shop.quotes.queries import approved
from shop.units import steps as units
from shop.units.models import Hold, Stage, Unit


@dataclass(frozen=True, slots=True)
class OpenDeposit:
    """A deposit that a unit waits for. left_minor is what is missing after what was paid; amounts in minor units."""

    request: PaymentRequest
    unit_id: UUID
    amount_minor: int
    left_minor: int
    currency: str


def open_request(unit_id: UUID) -> OpenDeposit | None:
    """Return the deposit that a unit waits for, or None. One query."""
    return next(iter(open_requests([unit_id])), None)


def open_requests(unit_ids: Iterable[UUID]) -> list[OpenDeposit]:
    """Return the deposits that any of these units waits for. One query."""
    paid = Payment.objects.filter(unit=OuterRef("unit"), currency=OuterRef("currency")).order_by().values("unit")
    found = PaymentRequest.objects.filter(unit_id__in=unit_ids, settled_at=None, waived_at=None).annotate(
        paid_minor=Coalesce(Subquery(paid.annotate(total=Sum("amount_minor")).values("total")), Value(0))
    )
    return [
        OpenDeposit(each, each.unit_id, each.amount_minor, each.amount_minor - each.paid_minor, each.currency)
        for each in found
    ]


def ask_deposit(*, actor: Actor, unit: Unit, quote: QuoteVersion, amount_minor: int) -> PaymentRequest | None:
    """Ask for a deposit on a quote just approved; one that was open for an earlier edition is taken back.

    amount_minor is what is asked for in all, so that what was paid before counts. Returns None when nothing is left
    to ask for. The unit is held for it, or no longer; the flow asks for a new plan.
    """
    PaymentRequest.objects.filter(unit=unit, settled_at=None, waived_at=None).update(waived_at=clock.now())
    if amount_minor <= 0 or paid_minor(unit, quote.currency) >= amount_minor:
        units.lift_holds(unit, actor, kinds=[Hold.Kind.DEPOSIT])
        return None
    asked = _request(unit, quote, amount_minor)
    trail.write(unit, actor, "deposit_asked", facts=_facts(asked, amount_minor))
    units.open_hold(unit, actor, kind=Hold.Kind.DEPOSIT)
    return asked


def ask_again(unit: Unit, actor: Actor) -> None:
    """Ask once more for the deposit of a locked unit where money that went back leaves it uncovered.

    Nothing is asked for where it was waived, where no quote with a deposit is approved, or once the work is over. The
    unit is held for it, and planned anew where that keeps it from the bench.
    """
    quote = None if unit.ending or unit.stage == Stage.PICKUP else approved(unit.pk)
    if quote is None or PaymentRequest.objects.filter(quote=quote, settled_at=None).exists():
        return
    wanted = json.loads(quote.decision.content).get("deposit_minor", 0)
    missing = wanted - paid_minor(unit, quote.currency)
    if missing <= 0:
        return
    asked = _request(unit, quote, wanted)
    trail.write(unit, actor, "deposit_uncovered", facts=_facts(asked, missing))
    units.open_hold(unit, actor, kind=Hold.Kind.DEPOSIT)
    if unit.before_bench:
        duework.plan_anew()


def _request(unit: Unit, quote: QuoteVersion, amount_minor: int) -> PaymentRequest:
    return PaymentRequest.objects.create(unit=unit, quote=quote, amount_minor=amount_minor, currency=quote.currency)


def _facts(asked: PaymentRequest, amount_minor: int) -> dict[str, object]:
    return {
        "request": asked.id,
        "amount_minor": amount_minor,
        "currency": asked.currency,
        "edition": asked.quote.edition,
    }


def settle(unit: Unit, actor: Actor) -> None:
    """Close the open request of a locked unit once what was paid reaches it."""
    found = open_request(unit.pk)
    if found and found.left_minor <= 0:
        asked = found.request
        asked.settled_at = clock.now()
        asked.save(update_fields=["settled_at"])
        trail.write(unit, actor, "deposit_paid", facts={"request": asked.id, "amount_minor": asked.amount_minor})
        _lift(unit, actor)


def _lift(unit: Unit, actor: Actor) -> None:
    units.lift_holds(unit, actor, kinds=[Hold.Kind.DEPOSIT])
    duework.plan_anew()


def waive_deposit(*, actor: Actor, unit_id: UUID, reason: str) -> PaymentRequest:
    """Let work begin without the deposit that was asked for; the reason is for the trail.

    Raises Missing, or Refused with `no_deposit_open`, `blank`, `too_long`.
    """
    permit(actor, "books.waive_deposit")
    said = text.words(reason, label="Reason", field="reason", limit=300)
    with transaction.atomic():
        unit = lock(Unit, pk=unit_id)
        found = open_request(unit_id)
        if found is None:
            raise Refused(Reason("no_deposit_open", {"number": str(unit)}))
        asked = found.request
        asked.waived_at = clock.now()
        asked.save(update_fields=["waived_at"])
        trail.write(unit, actor, "deposit_waived", facts={"request": asked.id}, note=said)
        _lift(unit, actor)
    return asked
