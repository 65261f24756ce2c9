"""Reads of bills, payments and releases. Money is minor units."""

from collections.abc import Sequence
from dataclasses import dataclass

from django.db.models import QuerySet, Sum

from shop.books.models import Invoice, Payment, Release
from shop.quotes.models import QuoteVersion
from shop.quotes.queries import owed, owed_under
from shop.units.models import Unit


@dataclass(frozen=True, slots=True)
class Due:
    """What a unit comes to, what was paid, and what is left; due_minor is below zero where money must go back.

    billed tells whether total_minor is an issued invoice's, and not yet only what would be billed now.
    """

    total_minor: int
    paid_minor: int
    due_minor: int
    currency: str
    billed: bool


@dataclass(frozen=True, slots=True)
class MoneySoFar:
    """What was paid in a currency, and what the unit's invoice comes to; None before it is issued."""

    currency: str
    paid_minor: int
    invoice_minor: int | None


def due_of(unit: Unit, editions: Sequence[QuoteVersion], so_far: MoneySoFar) -> Due:
    """Return what is due for a unit as `amount_due` does, from what was read already. No query but the profile's."""
    if so_far.invoice_minor is not None:
        total, currency, billed = so_far.invoice_minor, so_far.currency, True
    else:
        totals = owed_under(unit, editions, diagnosed=unit.diagnosed).totals
        total, currency, billed = totals.total_minor, totals.rules.currency, False
    return Due(total, so_far.paid_minor, total - so_far.paid_minor, currency, billed)


def invoice_of(unit: Unit) -> Invoice | None:
    """Return the unit's invoice, or None before it is issued."""
    return Invoice.objects.filter(unit=unit).first()


def payments(unit: Unit) -> QuerySet[Payment]:
    """Return the unit's payments in order; money given back is below zero."""
    return Payment.objects.filter(unit=unit).order_by("number")


def release_of(unit: Unit) -> Release | None:
    """Return how the unit was handed over, or None while it is here."""
    return Release.objects.filter(unit=unit).first()


def paid_minor(unit: Unit, currency: str) -> int:
    """Return what was paid less what was given back, in one currency. One query."""
    rows = Payment.objects.filter(unit=unit, currency=currency)
    return rows.aggregate(paid=Sum("amount_minor"))["paid"] or 0


def amount_due(unit: Unit) -> Due:
    """Return what is due for a unit: by its invoice, before that by what would be billed now.

    A fixed number of queries.
    """
    total, currency, billed = _owed(unit)
    paid = paid_minor(unit, currency)
    return Due(total, paid, total - paid, currency, billed)


def _owed(unit: Unit) -> tuple[int, str, bool]:
    invoice = invoice_of(unit)
    if invoice:
        return invoice.total_minor, invoice.currency, True
    owes = owed(unit, diagnosed=unit.diagnosed)
    return owes.totals.total_minor, owes.totals.currency, False
