"""What a face may do to a quote within this room: write and change drafts. Sending and deciding are flows."""

from collections.abc import Sequence
from uuid import UUID

from django.db import transaction
from django.db.models import F

from shop.core import clock, money, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock, save, stale
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.core.rows import existing
from shop.notices import steps as notices
from shop.quotes import drafting, pricing, queries, steps
from shop.quotes.content import in_customers_language, priced
from shop.quotes.drafting import SHARED, numbered
from shop.quotes.elections import COPIED, elected, rules_of
from shop.quotes.models import QuoteLine, QuoteVersion
from shop.quotes.operations import MOST_LINES, Draft, Operation
from shop.units.actions import present
from shop.units.models import Unit

SHARED_FIELDS = tuple(name.removesuffix("_id") for name in SHARED)


def draft_quote(*, actor: Actor, unit_id: UUID, postage_minor: int | None = None) -> QuoteVersion:
    """Start a draft, or return the one that is open.

    A first draft comes from the unit's wished services; a later edition copies the one that is now sent or approved
    (else the last there was), at the shop's present tax. postage_minor is what the parcel back costs before tax.
    Raises Refused with `unit_left`, `quote_own_unit`, `negative_money`, `out_of_range`.
    """
    permit(actor, "quotes.write")
    if postage_minor is not None:
        money.checked(postage_minor, label="Postage", field="postage_minor")
    with transaction.atomic():
        unit = present(unit_id)
        if unit.own:
            raise Refused(Reason("quote_own_unit", {"number": str(unit)}))
        return queries.draft_of(unit_id) or _new_draft(actor, unit, postage_minor)


def _new_draft(actor: Actor, unit: Unit, postage_minor: int | None) -> QuoteVersion:
    shop = profile()
    last = QuoteVersion.objects.filter(unit=unit).order_by("-edition").first()
    source = queries.present_quote(unit.id) or last
    quote = QuoteVersion.objects.create(
        unit=unit,
        edition=last.edition + 1 if last else 1,
        currency=shop.currency,
        tax_name=shop.tax_name,
        **elected(shop),
        note=source.note if source else "",
    )
    with in_customers_language(unit):
        lines = drafting.copied_lines(quote, source) if source else drafting.first_lines(quote, unit)
        lines = drafting.with_repairs(lines, quote, unit)
        lines = drafting.numbered(drafting.with_postage(lines, quote, unit, postage_minor))
    _check(quote, lines)
    QuoteLine.objects.bulk_create(lines)
    facts = {"quote": quote.id, "edition": quote.edition, "copied_from": source.edition if source else None}
    trail.write(unit, actor, "quote_drafted", facts=facts)
    return quote


def _check(quote: QuoteVersion, lines: list[QuoteLine]) -> None:
    """Refuse lines that could not be priced under some choice of options."""
    pricing.check_every_choice([priced(line) for line in lines], rules_of(quote))


def change_quote(*, actor: Actor, quote_id: UUID, version: int, operations: Sequence[Operation]) -> QuoteVersion:
    """Apply named operations to a draft, all or none, and reckon it at the shop's present tax.

    version is what the page showed. Raises Stale for an older one, Missing for a quote, line, service or part that is
    not there, Refused with `quote_not_draft`, `unit_left`, `too_many_lines`, `discount_too_large`, `quote_too_large`
    or with what is wrong about a field.
    """
    permit(actor, "quotes.write")
    with transaction.atomic():
        unit = present(_unit_of(quote_id))
        quote = steps.locked(unit, quote_id)
        if quote.state != QuoteVersion.State.DRAFT:
            raise Refused(Reason("quote_not_draft", {"state": quote.get_state_display()}))
        if quote.version != version:
            raise stale(quote, subject_id=unit.pk)
        if not operations:
            return quote
        draft = Draft(quote)
        for operation in operations:
            draft.apply(operation)
        _store(draft)
        facts = {
            "quote": quote.id,
            "edition": quote.edition,
            "operations": [type(each).__name__ for each in operations],
        }
        trail.write(unit, actor, "quote_changed", facts=facts)
    return quote


def _store(draft: Draft) -> None:
    quote, shop = draft.quote, profile()
    quote.tax_name = shop.tax_name
    for name, value in elected(shop).items():
        setattr(quote, name, value)
    draft.check()
    _check(quote, draft.lines)
    quote.lines.exclude(pk__in=[line.pk for line in draft.lines]).delete()
    kept = [line for line in draft.lines if not line._state.adding]
    # Positions are unique: those that stay make room before they take their new places.
    quote.lines.update(position=F("position") + 2 * MOST_LINES)
    numbered(draft.lines)
    QuoteLine.objects.bulk_update(kept, [*SHARED_FIELDS, "donor", "position"])
    QuoteLine.objects.bulk_create([line for line in draft.lines if line._state.adding])
    save(quote, "note", "why_changed", "tax_name", *COPIED)


def _unit_of(quote_id: UUID) -> UUID:
    """Return which unit to lock first."""
    return existing(QuoteVersion.objects.only("unit_id"), quote_id).unit_id


def expire_quote(*, actor: Actor, quote_id: UUID) -> bool:
    """End a sent edition whose last day has passed; False when there is nothing to end any more. Raises Missing."""
    permit(actor, "quotes.watch")
    with transaction.atomic():
        unit = lock(Unit, pk=_unit_of(quote_id))
        quote = steps.locked(unit, quote_id)
        if not queries.due_for_expiry().filter(pk=quote_id).exists():
            return False
        steps.expire(actor=actor, unit=unit, quote=quote)
    return True


def remind(*, actor: Actor, quote_id: UUID) -> bool:
    """Tell the customer once that an edition waits; False when it does not wait any more. Raises Missing."""
    permit(actor, "quotes.watch")
    with transaction.atomic():
        unit = lock(Unit, pk=_unit_of(quote_id))
        quote = steps.locked(unit, quote_id)
        if not queries.due_for_reminder().filter(pk=quote_id).exists():
            return False
        # Not a change that a page must know of, so the version stays.
        quote.reminded_at = clock.now()
        quote.save(update_fields=["reminded_at"])
        notices.tell(event="quote_reminder", unit=unit, key=str(quote.id), facts={"valid_until": quote.valid_until})
    return True
