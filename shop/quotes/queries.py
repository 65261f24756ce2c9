"""Reads of quotes. Each takes a fixed number of queries, whatever the number of rows."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal
from uuid import UUID

from django.db.models import Case, IntegerField, QuerySet, Value, When

from shop.core import clock
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.quotes import content as contents
from shop.quotes import pricing
from shop.quotes.elections import rules_of
from shop.quotes.lines import PricedLine
from shop.quotes.models import QuoteVersion
from shop.quotes.shown import ShownLine, ShownOption, ShownQuote, decision_of, read_taken, shown, taken_lines
from shop.units.models import Unit

__all__ = [
    "Owed",
    "ShownLine",
    "ShownOption",
    "ShownQuote",
    "approved",
    "cleared",
    "draft_of",
    "due_for_expiry",
    "due_for_reminder",
    "editions",
    "latest_shown",
    "owed",
    "owed_under",
    "present_quote",
    "read_taken",
    "shown",
    "shown_editions",
]
State = QuoteVersion.State


def _whole(quotes: QuerySet[QuoteVersion]) -> QuerySet[QuoteVersion]:
    """Fetch with each edition its unit, lines and decision."""
    return quotes.select_related("unit__model", "decision__words").prefetch_related("lines")


def present_quote(unit_id: UUID) -> QuoteVersion | None:
    """Return the edition that the customer is to look at: the sent one, else the approved one. Two queries."""
    sent_first = Case(When(state=State.SENT, then=Value(0)), default=Value(1), output_field=IntegerField())
    quotes = _whole(QuoteVersion.objects.filter(unit_id=unit_id, state__in=[State.SENT, State.APPROVED]))
    return quotes.order_by(sent_first).first()


def shown_editions(unit_id: UUID) -> QuerySet[QuoteVersion]:
    """Return the editions that are no draft with their decisions, newest first, without their lines. One query."""
    shown_ones = QuoteVersion.objects.filter(unit_id=unit_id).exclude(state=State.DRAFT)
    return shown_ones.select_related("decision__words").order_by("-edition")


def latest_shown(unit_id: UUID) -> QuoteVersion | None:
    """Return the newest edition that is no draft, whatever became of it. Two queries."""
    return _whole(QuoteVersion.objects.filter(unit_id=unit_id).exclude(state=State.DRAFT)).order_by("-edition").first()


def draft_of(unit_id: UUID) -> QuoteVersion | None:
    """Return the unit's open draft. Two queries."""
    return _whole(QuoteVersion.objects.filter(unit_id=unit_id, state=State.DRAFT)).first()


def editions(unit_id: UUID) -> QuerySet[QuoteVersion]:
    """Return every edition of the unit's quote, newest first. Two queries."""
    return _whole(QuoteVersion.objects.filter(unit_id=unit_id)).order_by("-edition")


def approved(unit_id: UUID) -> QuoteVersion | None:
    """Return the edition under which work is done. Two queries."""
    return _whole(QuoteVersion.objects.filter(unit_id=unit_id, state=State.APPROVED)).first()


def cleared(unit_id: UUID) -> Literal["quote", "limit", ""]:
    """Tell what allows work: an approved quote, the spending limit, or nothing. One query.

    There is at most one approved edition: a newer approval ends the one before it, a declined extra does not.
    """
    found = QuoteVersion.objects.filter(unit_id=unit_id, state=State.APPROVED).values_list("within_limit", flat=True)
    return "" if not found else "limit" if found[0] else "quote"


@dataclass(frozen=True, slots=True)
class Owed:
    """What is to be billed: the lines, what they come to, and the tax's name. No lines: nothing is owed."""

    totals: pricing.Totals
    tax_name: str

    @property
    def lines(self) -> tuple[PricedLine, ...]:
        """Return the lines to bill, in order."""
        return self.totals.lines


def owed(unit: Unit, *, diagnosed: bool = False) -> Owed:
    """Return what the customer owes for the visit, tax included; see `owed_under`. Queries: at most 3."""
    return owed_under(unit, [] if unit.own else list(shown_editions(unit.pk)), diagnosed=diagnosed)


def owed_under(unit: Unit, editions: Sequence[QuoteVersion], *, diagnosed: bool = False) -> Owed:
    """Return what the customer owes for the visit under these editions, newest first, as `shown_editions` has them.

    The taken lines of the approved edition; else, when the newest decision was a decline, the agreed diagnosis fee if
    the unit was opened for it (it is open now, or `diagnosed` says that it was); else nothing: own units, free
    comebacks, units that nobody worked on. Where the shop credits the fee, an approved quote does not hold it, which
    is common practice: finding the fault is then part of mending it.
    """
    quote = next((each for each in editions if each.state == State.APPROVED and not unit.own), None)
    if quote:
        return Owed(contents.totals_of(quote, taken_lines(quote)), quote.tax_name)
    shop = profile()
    lines = contents.fee_lines(unit) if (diagnosed or unit.opened) and _declined(unit, editions) else ()
    return Owed(pricing.price(lines, rules_of(shop)), shop.tax_name)


def _declined(unit: Unit, editions: Sequence[QuoteVersion]) -> bool:
    decided = next((each for each in editions if decision_of(each)), None)
    return (decided is not None and decided.state == State.DECLINED) or unit.ending == Unit.Ending.DECLINED


def due_for_expiry() -> QuerySet[QuoteVersion]:
    """Return the sent editions whose last day has passed in the shop's zone, oldest first."""
    return QuoteVersion.objects.filter(state=State.SENT, valid_until__lt=_today(profile())).order_by("sent_at")


def due_for_reminder() -> QuerySet[QuoteVersion]:
    """Return the sent editions that still hold, wait longer than the shop's reminder days, and were not reminded of."""
    shop = profile()
    since = clock.now() - timedelta(days=shop.reminder_days)
    waiting = QuoteVersion.objects.filter(state=State.SENT, unit__outcome="", valid_until__gte=_today(shop))
    return waiting.filter(sent_at__lte=since, reminded_at=None).order_by("sent_at")


def _today(shop: ShopProfile) -> date:
    return clock.day_of(clock.now(), shop.time_zone)
