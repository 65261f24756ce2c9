"""What a flow needs of the quotes inside its transaction. The unit is locked already; permits are the flow's."""

from collections.abc import Collection, Iterable
from datetime import timedelta
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from shop.core import clock, duework, money, trail
from shop.core.actor import Actor
from shop.core.locks import lock, stale
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.core.rows import no_such
from shop.core.text import words
from shop.notices import steps as notices
from shop.quotes import content as contents
from shop.quotes import pricing
from shop.quotes.elections import rules_of
from shop.quotes.evidence import insist_on_terms, move, record, repeated, take
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.units import steps as units
from shop.units.models import Hold, Unit

State = QuoteVersion.State


def locked(unit: Unit, quote_id: UUID) -> QuoteVersion:
    """Lock one edition of this unit's quote. Raises Missing for another unit's as for none."""
    quote = lock(QuoteVersion, pk=quote_id)
    if quote.unit_id != unit.pk:
        raise no_such(QuoteVersion, quote_id)
    return quote


def send(*, actor: Actor, unit: Unit, quote_id: UUID, version: int) -> QuoteVersion:
    """Freeze a draft as what the customer is asked, valid for the shop's quote days from today in the shop's zone.

    An edition that was waiting for an answer is replaced; an approved one holds until the new one is approved. Raises
    Stale, Missing, or Refused with `quote_not_draft`, `quote_own_unit`, `quote_empty`, `quote_postage_open`,
    `quote_tax_changed`.
    """
    quote, lines = _ready(unit, quote_id, version)
    shop = profile()
    if unit.by_mail and not unit.free_of_charge and any(_unfilled_postage(line) for line in lines):
        raise Refused(Reason("quote_postage_open"))
    waiting = QuoteVersion.objects.filter(unit=unit, state=State.SENT).first()
    if waiting:
        move(waiting, State.REPLACED)
    quote.sent_at = clock.now()
    quote.valid_until = clock.day_of(quote.sent_at, shop.time_zone) + timedelta(days=shop.quote_days)
    shown = _freeze(quote, lines, unit)
    move(quote, State.SENT, "sent_at", "valid_until", "content", "content_sha256")
    facts = {
        "quote": quote.id,
        "edition": quote.edition,
        "total_minor": shown["totals"]["total_minor"],
        "currency": quote.currency,
        "valid_until": quote.valid_until,
        "content_sha256": quote.content_sha256,
        "replaces": waiting.edition if waiting else None,
    }
    trail.write(unit, actor, "quote_sent", after=str(quote.edition), facts=facts)
    return quote


def _ready(unit: Unit, quote_id: UUID, version: int | None) -> tuple[QuoteVersion, list[QuoteLine]]:
    """Return a draft that may become binding, and its lines. Raises what `send` raises."""
    quote = locked(unit, quote_id)
    shop = profile()
    if quote.state != State.DRAFT:
        raise Refused(Reason("quote_not_draft", {"state": quote.get_state_display()}))
    if version is not None and quote.version != version:
        raise stale(quote, subject_id=unit.pk)
    if unit.own:
        raise Refused(Reason("quote_own_unit", {"number": str(unit)}))
    lines = list(quote.lines.select_related("service", "donor"))
    if not lines:
        raise Refused(Reason("quote_empty"))
    if (quote.tax_name, rules_of(quote)) != (shop.tax_name, rules_of(shop)):
        raise Refused(Reason("quote_tax_changed", {"rate": pricing.rate_words(shop.tax_rate_millipercent)}))
    return quote, lines


def _unfilled_postage(line: QuoteLine) -> bool:
    return line.kind == QuoteLine.Kind.POSTAGE and line.unit_minor == 0


def _freeze(quote: QuoteVersion, lines: Iterable[QuoteLine], unit: Unit) -> dict[str, Any]:
    """Keep what the edition says as text with its hash, in the customer's language, and return it."""
    with contents.in_customers_language(unit):
        shown = contents.content_of(quote, lines, unit, profile())
    quote.content = contents.canonical(shown)
    quote.content_sha256 = contents.sha256(quote.content)
    return shown


def decide(
    *,
    actor: Actor,
    unit: Unit,
    quote_id: UUID,
    approve: bool,
    taken_line_ids: Collection[UUID],
    shown_sha256: str,
    agreed: Collection[str] = (),
    reason: str = "",
    agent: str = "",
) -> Decision:
    """Record yes or no to the edition that is waiting, with the options taken, as evidence; repeat a repeat.

    taken_line_ids are the optional lines taken (ignored in a decline): whole options, as they were shown. agreed are
    the codes of the terms that got a yes of their own; an approval needs one for each that asks. shown_sha256 is the
    hash of what the asker saw; totals are reckoned here, from the stored lines. An approval ends an earlier one; a
    decline leaves it as it was. Raises Stale when something else was shown, Missing, or Refused with `quote_not_sent`,
    `quote_replaced`, `quote_withdrawn`, `quote_expired`, `quote_already_decided`, `terms_not_agreed`, `too_long`, or
    what `take` raises.
    """
    quote = locked(unit, quote_id)
    taken = frozenset(taken_line_ids) if approve else frozenset()
    same = repeated(quote_id=quote_id, approve=approve, taken_line_ids=taken, shown_sha256=shown_sha256)
    if same:
        return same
    _check_open(quote)
    if shown_sha256 != quote.content_sha256:
        raise stale(quote, subject_id=unit.pk)
    said = words(reason, label=_("The reason"), field="reason", limit=1000, required=False)
    lines = list(quote.lines.all())
    if approve:
        take(lines, taken)
    chosen = {contents.option_of(line) for line in lines if line.optional and line.taken}
    given = insist_on_terms(quote, chosen, agreed) if approve else frozenset()
    kind = Decision.Kind.APPROVED if approve else Decision.Kind.DECLINED
    return record(actor, unit, quote, kind=kind, lines=lines, agreed=given, said=said, agent=agent)


def _check_open(quote: QuoteVersion) -> None:
    """Refuse, each with its own sentence, every edition that nobody is asked about any more."""
    today = clock.day_of(clock.now(), profile().time_zone)
    facts = {"edition": quote.edition, "state": quote.get_state_display(), "valid_until": quote.valid_until}
    if quote.state == State.DRAFT:
        raise Refused(Reason("quote_not_sent", facts))
    if quote.state == State.REPLACED:
        raise Refused(Reason("quote_replaced", facts))
    if quote.state == State.WITHDRAWN:
        raise Refused(Reason("quote_withdrawn", facts))
    if quote.state in (State.APPROVED, State.DECLINED):
        raise Refused(Reason("quote_already_decided", facts))
    if quote.state == State.EXPIRED or (quote.valid_until and quote.valid_until < today):
        raise Refused(Reason("quote_expired", facts))


def go_ahead_within_limit(*, actor: Actor, unit: Unit, quote_id: UUID) -> Decision:
    """Let a draft's work begin unasked, since its total with tax is within the customer's spending limit.

    The limit is cumulative by construction: an edition holds everything that is to be paid for the visit (a later one
    copies what was approved before and adds to it), and the diagnosis fee is credited once work goes ahead, so the
    edition's total is all that the customer will owe. Options count as the draft has them. An edition that was waiting
    for an answer is replaced. Raises what `send` raises, and Refused with
    `limit_exceeded`, or `limit_needs_yes` where a term wants a yes of its own.
    """
    quote, lines = _ready(unit, quote_id, None)
    total = contents.totals_of(quote, map(contents.priced, lines)).total_minor
    if total > unit.spending_limit_minor:
        locale = profile().locale
        facts = {
            "total": money.show(total, quote.currency, locale),
            "limit": money.show(unit.spending_limit_minor, quote.currency, locale),
        }
        raise Refused(Reason("limit_exceeded", facts))
    waiting = QuoteVersion.objects.filter(unit=unit, state=State.SENT).first()
    if waiting:
        move(waiting, State.REPLACED)
    quote.within_limit = True
    shown = _freeze(quote, lines, unit)
    chosen = {contents.option_of(line) for line in lines if line.optional and line.taken}
    if any(term["asks"] and (not term["options"] or chosen & set(term["options"])) for term in shown["terms"]):
        raise Refused(Reason("limit_needs_yes"))
    return record(actor, unit, quote, kind=Decision.Kind.WITHIN_LIMIT, lines=lines)


def withdraw(*, actor: Actor, unit: Unit, quote_id: UUID, reason: str) -> QuoteVersion:
    """Take back an edition that waits for an answer; the reason is for the trail.

    What was approved before stays approved. Raises Missing, or Refused with `quote_not_waiting` or what is wrong about
    the reason.
    """
    quote = locked(unit, quote_id)
    if quote.state != State.SENT:
        raise Refused(Reason("quote_not_waiting", {"edition": quote.edition, "state": quote.get_state_display()}))
    said = words(reason, label=_("The reason"), field="reason", limit=500)
    move(quote, State.WITHDRAWN)
    facts = {"quote": quote.id, "edition": quote.edition}
    trail.write(unit, actor, "quote_withdrawn", before=str(quote.edition), facts=facts, note=said)
    return quote


def expire(*, actor: Actor, unit: Unit, quote: QuoteVersion) -> None:
    """End a sent edition, locked by the caller, that nobody answered in time: no answer is waited for any more."""
    move(quote, State.EXPIRED)
    facts = {"quote": quote.id, "edition": quote.edition, "valid_until": quote.valid_until}
    trail.write(unit, actor, "quote_expired", before=str(quote.edition), facts=facts)
    units.lift_holds(unit, actor, kinds=[Hold.Kind.APPROVAL])
    duework.plan_anew()
    notices.tell(event="quote_expired", unit=unit, key=str(quote.id))
