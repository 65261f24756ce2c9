"""The quote goes out, and the answer comes back."""

import json
from uuid import UUID

from django.db import transaction

from shop.books import deposits
from shop.core import clock, duework
from shop.core.actor import Actor, permit
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
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
            _after_decision(unit, actor, decision)
    return decision


def _after_decision(unit: Unit, actor: Actor, decision: Decision) -> None:
    """Lift the hold, tell the customer, and promise a date or end the work.

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
    told: dict[str, object] = {"total_minor": decision.total_minor} if approved else {}
    notices.tell(event="approved" if approved else "declined", unit=unit, key=str(decision.quote_id), facts=told)
    if approved and _ask_deposit(unit, actor, decision) and unit.before_bench:
        planning.withdraw_promise(actor=actor, unit=unit)  # before the deposit no date is worth promising
    elif approved:
        planning.promise(actor=actor, unit=unit, today=clock.day_of(clock.now(), profile().time_zone))
    duework.plan_anew()


def _ask_deposit(unit: Unit, actor: Actor, decision: Decision) -> bool:
    """Ask for the deposit that the approved quote names, unless what was paid already covers it; tell whether."""
    wanted = json.loads(decision.content)["deposit_minor"]
    asked = deposits.ask_deposit(actor=actor, unit=unit, quote=decision.quote, amount_minor=wanted)
    left = deposits.open_request(unit.pk)
    if asked and left:
        facts: dict[str, object] = {"deposit_minor": left.left_minor, "total_minor": decision.total_minor}
        notices.tell(event="deposit_asked", unit=unit, key=str(asked.id), facts=facts)
    return asked is not None


def go_ahead(*, actor: Actor, quote_id: UUID) -> Decision:
    """Go ahead with a draft unasked, where its total stays within the spending limit (with tax, cumulative)."""
    permit(actor, "quotes.send")
    with transaction.atomic():
        unit = _unit_of_quote(quote_id)
        decision = quotes.go_ahead_within_limit(actor=actor, unit=unit, quote_id=quote_id)
        _after_decision(unit, actor, decision)
    return decision
