"""The quote goes out, and the answer comes back."""

import json
from uuid import UUID

from django.db import transaction

from shop.books import deposits
from shop.core import duework
from shop.core.actor import Actor, permit
from shop.core.models import DueWork
from shop.core.reasons import Reason, Refused
from shop.floor.flows import days
from shop.floor.flows.common import lay_out
from shop.floor.gates import work_clearance
from shop.notices import steps as notices
from shop.planning import steps as planning
from shop.quotes import steps as quotes
from shop.quotes.models import Decision, QuoteVersion
from shop.quotes.queries import shown, shown_editions
from shop.quotes.shown import changed_since
from shop.stock import steps as stock
from shop.units import steps
from shop.units.actions import present
from shop.units.models import Hold, Stage, Unit, Visit


def _unit_of_quote(quote_id: UUID) -> Unit:
    unit_id = QuoteVersion.objects.filter(pk=quote_id).values_list("unit_id", flat=True).first()
    if unit_id is None:
        raise Refused(Reason("quote_not_of_unit"))
    return present(unit_id)


def send_quote(*, actor: Actor, quote_id: UUID, version: int) -> QuoteVersion:
    """Send the draft to the customer: the unit is held for approval, a notice with the link goes out."""
    permit(actor, "quotes.send")
    with transaction.atomic():
        unit = _unit_of_quote(quote_id)
        if unit.stage == Stage.PICKUP:
            raise Refused(Reason("already_billed"))
        quote = quotes.send(actor=actor, unit=unit, quote_id=quote_id, version=version)
        steps.open_hold(unit, actor, kind=Hold.Kind.APPROVAL)
        notices.tell(event="quote_ready", unit=unit, key=str(quote.id), facts=_quote_facts(unit, quote))
        duework.plan_anew()
    return quote


def _quote_facts(unit: Unit, quote: QuoteVersion) -> dict[str, object]:
    """Return what the message about a sent quote says: its total, until when it holds, and what it changes."""
    changes, _before = changed_since(quote, shown_editions(unit.pk))
    return {
        "edition": quote.edition,
        "total_minor": shown(quote).total_minor,
        "valid_until": quote.valid_until.isoformat() if quote.valid_until else "",
        "changes": [change.words for change in changes],
    }


def withdraw_quote(*, actor: Actor, quote_id: UUID, reason: str) -> QuoteVersion:
    """Take back a quote that waits for its answer, with the reason for the trail.

    The customer is told, and the hold for approval is lifted.
    """
    permit(actor, "quotes.send")
    with transaction.atomic():
        unit = _unit_of_quote(quote_id)
        quote = quotes.withdraw(actor=actor, unit=unit, quote_id=quote_id, reason=reason)
        steps.lift_holds(unit, actor, kinds=[Hold.Kind.APPROVAL])
        notices.tell(event="quote_withdrawn", unit=unit, key=str(quote.id))
        duework.plan_anew()
    return quote


def decide_quote(
    *,
    actor: Actor,
    quote_id: UUID,
    approve: bool,
    taken_line_ids: tuple[UUID, ...] = (),
    agreed: tuple[str, ...] = (),
    shown_sha256: str = "",
    reason: str = "",
    agent: str = "",
    unit_id: UUID | None = None,
) -> Decision:
    """Record the customer's answer with its evidence.

    taken_line_ids are the optional lines taken, agreed the terms that got a yes of their own; shown_sha256 is the hash
    of what the page showed; unit_id, from the customer's link, must be the quote's own unit. A repeat of the same
    answer returns the same decision.
    """
    permit(actor, "quotes.decide")
    wish = None
    with transaction.atomic():
        unit = _unit_of_quote(quote_id)
        if unit_id is not None and unit.id != unit_id:
            raise Refused(Reason("quote_not_of_unit"))
        if approve and unit.stage == Stage.PICKUP:
            raise Refused(Reason("ready_already"))
        earlier = Decision.objects.filter(quote_id=quote_id).exists()
        decision = quotes.decide(
            actor=actor,
            unit=unit,
            quote_id=quote_id,
            approve=approve,
            taken_line_ids=taken_line_ids,
            agreed=agreed,
            shown_sha256=shown_sha256,
            reason=reason,
            agent=agent,
        )
        if not earlier:
            wish = _after_decision(unit, actor, decision)
    days.name(wish, actor=actor)
    return decision


def _after_decision(unit: Unit, actor: Actor, decision: Decision) -> DueWork | None:
    """Lift the hold, tell the customer, and end the work or return the wish for a day, told with the approval.

    A decline ends the work only where nothing was approved before it: who declines an extra keeps the first approval.
    """
    steps.lift_holds(unit, actor, kinds=[Hold.Kind.APPROVAL])
    approved = decision.kind != Decision.Kind.DECLINED
    if approved or work_clearance(unit):
        unit.ending = Unit.Ending.OPEN
    else:
        unit.ending = Unit.Ending.DECLINED
        stock.release(actor=actor, unit=unit)
    unit.save(update_fields=["ending"])
    if approved and unit.stage == Stage.BENCH and unit.visit == Visit.WORK:
        lay_out(unit, actor, parts_needed=False)  # an empty shelf is no reason to turn the customer's yes away
    duework.plan_anew()
    if not approved:
        notices.tell(event="declined", unit=unit, key=str(decision.quote_id))
        return None
    wanted = json.loads(decision.content)["deposit_minor"]
    asked = deposits.ask_deposit(actor=actor, unit=unit, quote=decision.quote, amount_minor=wanted)
    waits = asked is not None and unit.before_bench
    if waits:  # before the deposit no date is worth promising
        planning.withdraw_promise(actor=actor, unit=unit)
        days.tell_approved(unit, decision)
    _tell_of_deposit(unit, decision)
    return None if waits else days.wish_approved(decision)


def _tell_of_deposit(unit: Unit, decision: Decision) -> None:
    """Ask the customer for the deposit that is open, if there is one."""
    if asked := deposits.open_request(unit.pk):
        facts: dict[str, object] = {"deposit_minor": asked.left_minor, "total_minor": decision.total_minor}
        notices.tell(event="deposit_asked", unit=unit, key=str(asked.request.id), facts=facts)


def go_ahead(*, actor: Actor, quote_id: UUID) -> Decision:
    """Go ahead with a draft unasked, where its total stays within the spending limit (with tax, cumulative)."""
    permit(actor, "quotes.send")
    with transaction.atomic():
        unit = _unit_of_quote(quote_id)
        decision = quotes.go_ahead_within_limit(actor=actor, unit=unit, quote_id=quote_id)
        wish = _after_decision(unit, actor, decision)
    days.name(wish, actor=actor)
    return decision
