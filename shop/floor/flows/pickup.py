"""Out of the shop: bill, release, and the outcome."""

from uuid import UUID

from django.db import transaction

from shop.books import steps as books
from shop.books.models import Invoice
from shop.books.queries import invoice_of
from shop.core import duework, money, trail
from shop.core.actor import Actor, permit
from shop.core.profile import profile
from shop.core.reasons import Noted, Reason, Refused
from shop.core.text import choice, words
from shop.floor.flows.common import tell_ready
from shop.floor.gates import facts_of, insist
from shop.floor.stages import Move, outcomes
from shop.floor.warranty import warranty_until
from shop.notices import steps as notices
from shop.quotes.elections import rules_of
from shop.quotes.pricing import Line, price
from shop.quotes.queries import owed
from shop.stock import steps as stock
from shop.units import links, steps
from shop.units.actions import present
from shop.units.models import Outcome, Parcel, Stage, Unit

_NEEDS_TRANSFER = (Outcome.KEPT_FOR_PARTS, Outcome.RECYCLED)


def return_unopened(*, actor: Actor, unit_id: UUID, version: int | None = None) -> Unit:
    """Send a declined unit that was never opened straight to pickup: there is nothing to close and nothing to test."""
    permit(actor, "units.move")
    with transaction.atomic():
        unit = present(unit_id, version=version)
        insist(unit, Move.RETURN_UNOPENED)
        steps.move(unit, actor, to=Stage.PICKUP)
        tell_ready(unit, f"{unit.id}:{unit.test_round}")
        duework.plan_anew()
    return unit


def bill(*, actor: Actor, unit_id: UUID) -> Invoice | None:
    """Issue the bill of a unit in pickup; None when nothing is owed. Issuing it twice is issuing it once."""
    permit(actor, "books.bill")
    with transaction.atomic():
        unit = _in_pickup(unit_id)
        return _bill(unit, actor)


def sell(*, actor: Actor, unit_id: UUID, price_minor: int) -> Invoice:
    """Bill the sale of the shop's own unit at a price in minor units, before tax. Raises Refused with `not_our_own`."""
    permit(actor, "books.bill")
    money.checked(price_minor, label="Price", field="price")
    with transaction.atomic():
        unit = _in_pickup(unit_id)
        if not unit.own:
            raise Refused(Reason("not_our_own", {"number": str(unit)}))
        shop = profile()
        line = Line(words=str(unit.model), kind="part", quantity=1, unit_minor=price_minor)
        totals = price([line], rules_of(shop))
        return books.issue_invoice(actor=actor, unit=unit, totals=totals, tax_name=shop.tax_name)


def _in_pickup(unit_id: UUID) -> Unit:
    unit = present(unit_id)
    if unit.stage != Stage.PICKUP:
        raise Refused(Reason("wrong_stage", {"stage": unit.get_stage_display(), "wanted": Stage.PICKUP.label}))
    return unit


def _bill(unit: Unit, actor: Actor) -> Invoice | None:
    """Issue the bill over what is owed, unless there is one; a unit that owes nothing gets none."""
    issued = invoice_of(unit)
    if issued:
        return issued
    owes = owed(unit, diagnosed=unit.diagnosed)
    if not owes.lines:
        return None
    return books.issue_invoice(actor=actor, unit=unit, totals=owes.totals, tax_name=owes.tax_name)


def hand_over(
    *,
    actor: Actor,
    unit_id: UUID,
    outcome: str,
    check_kind: str,
    code: str = "",
    document: str = "",
    version: int | None = None,
) -> Unit:
    """Release a unit and write its outcome.

    check_kind says how we knew the person: code (from the customer's page), identity (document names which kind was
    seen), post (to the recorded address), own. A wrong code is recorded in the trail and refused.
    """
    permit(actor, "books.release")
    chosen = choice(outcome, list(Outcome.values), label="Outcome", field="outcome")
    seen = words(document, label="Document", field="document", limit=60, required=False)
    try:
        with transaction.atomic():
            unit = present(unit_id, version=version)
            _bill(unit, actor)
            insist(unit, Move.HAND_OVER)
            _insist_outcome(unit, chosen, seen)
            books.release(actor=actor, unit=unit, check_kind=check_kind, code=code, document=seen)
            stock.release(actor=actor, unit=unit)
            steps.leave(unit, actor, chosen)
            _tell(unit, chosen)
    except Refused as refused:
        if refused.code != "pickup_code_wrong":
            raise
        with transaction.atomic():
            books.note_wrong_code(actor=actor, unit=present(unit_id))
        raise Noted(*refused.reasons) from None
    return unit


def _insist_outcome(unit: Unit, chosen: str, document: str) -> None:
    true_ones = outcomes(facts_of(unit))
    if chosen not in true_ones:
        names = ", ".join(str(Outcome(value).label) for value in true_ones)
        raise Refused(Reason("outcome_not_true", {"outcome": Outcome(chosen).label, "choices": names}, "outcome"))
    if chosen in _NEEDS_TRANSFER and not unit.own and not document:
        raise Refused(Reason("owner_transfer_needed", {}, "document"))


def _tell(unit: Unit, outcome: str) -> None:
    parcel = Parcel.objects.filter(unit=unit, direction=Parcel.Direction.OUT).last()
    facts: dict[str, object] = {}
    if until := warranty_until(unit):
        facts["warranty_until"] = until.isoformat()
    if parcel and outcome not in (Outcome.COLLECTED, *_NEEDS_TRANSFER):
        facts |= {"carrier": parcel.carrier, "tracking": parcel.tracking}
        notices.tell(event="shipped", unit=unit, key=str(unit.id), facts=facts)
    else:
        notices.tell(event="collected", unit=unit, key=str(unit.id), facts=facts)


def renew_link(*, actor: Actor, unit_id: UUID) -> Unit:
    """Revoke the customer's link and make a new one; it is sent to the customer with the state of things."""
    permit(actor, "units.link")
    with transaction.atomic():
        unit = present(unit_id)
        link = links.make_link(unit)
        trail.write(unit, actor, "link_renewed", facts={"link": link.id})
        notices.tell(event="received", unit=unit, key=str(link.id), facts={"renewed": True})
    return unit


def revoke_link(*, actor: Actor, unit_id: UUID) -> Unit:
    """Withdraw the customer's link; whoever has it sees nothing any more."""
    permit(actor, "units.link")
    with transaction.atomic():
        unit = present(unit_id)
        if links.revoke(unit):
            trail.write(unit, actor, "link_withdrawn")
    return unit
