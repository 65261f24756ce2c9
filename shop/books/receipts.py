"""The receipt: what the bill froze, what was paid, and what is still due, as a PDF for paper.

Gathers the content; `shop.books.paper` draws it.
"""

import json
from dataclasses import dataclass
from datetime import date

from babel.dates import format_date
from django.utils.translation import gettext as _

from shop.books.models import Invoice, Payment
from shop.books.paper import Block, Sheet, draw
from shop.books.queries import Due, amount_due, invoice_of, payments
from shop.books.steps import bill_to, from_shop
from shop.core import clock, money
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.core.reader import reader_locale
from shop.core.reasons import Reason, Refused
from shop.units.models import Unit


def receipt_pdf(unit: Unit) -> bytes:
    """Return the receipt for a unit: of its invoice, or of the deposits while there is none.

    Names, lines and rates are those of the issued invoice, whatever has changed since. Raises Refused with
    `nothing_to_print` when there is neither an invoice nor a payment.
    """
    invoice, paid = invoice_of(unit), list(payments(unit))
    if invoice is None and not paid:
        raise Refused(Reason("nothing_to_print", {"number": str(unit)}))
    due = amount_due(unit)
    words = _Words(profile(), due.currency)
    return draw(_billed(invoice, paid, due, words) if invoice else _deposited(unit, paid, due, words))


@dataclass(frozen=True, slots=True)
class _Words:
    """How amounts and days are written for whoever reads the receipt; the paper is the shop's."""

    shop: ShopProfile
    currency: str

    def amount(self, minor: int) -> str:
        return money.show(minor, self.currency, reader_locale())

    def day(self, on: date) -> str:
        return str(format_date(on, "long", locale=reader_locale()))

    def payments(self, paid: list[Payment]) -> Block:
        head = (_("Receipt no."), _("Day"), _("How"), _("Amount"))
        rows = tuple(
            (
                str(row.number),
                self.day(clock.day_of(row.created_at, self.shop.time_zone)),
                _("given back, {method}").format(method=row.get_method_display())
                if row.amount_minor < 0
                else row.get_method_display(),
                money.show(row.amount_minor, row.currency, reader_locale()),
            )
            for row in paid
        )
        return Block(head=head, rows=rows, shares=(0.18, 0.32, 0.30, 0.20), figures_from=3)

    def standing(self, due: Due) -> tuple[tuple[str, str], ...]:
        """Word what was paid and what is left, either way round."""
        paid = (_("Paid"), self.amount(due.paid_minor))
        if due.due_minor < 0:
            return (paid, (_("To be given back"), self.amount(-due.due_minor)))
        return (paid, (_("Still due"), self.amount(due.due_minor)))


def _billed(invoice: Invoice, paid: list[Payment], due: Due, words: _Words) -> Sheet:
    amount = words.amount
    lines = tuple(
        (line["words"], str(line["quantity"]), amount(line["unit_minor"]), amount(line["net_minor"]))
        for line in json.loads(invoice.lines)
    )
    head = (_("What"), _("Quantity"), _("Each"), _("Amount"))
    return Sheet(
        title=_("Invoice {invoice}").format(invoice=invoice.number),
        about=_("Unit {number}, issued on {day}").format(number=invoice.unit, day=words.day(invoice.issued_on)),
        sender=invoice.from_shop,
        recipient=invoice.bill_to,
        locale=words.shop.locale,
        lines=Block(head=head, rows=lines, shares=(0.46, 0.14, 0.20, 0.20), figures_from=1),
        sums=((_("Net"), amount(invoice.net_minor)), *_taxes(invoice, words),
              (_("Total"), amount(invoice.total_minor))),
        payments=words.payments(paid),
        standing=words.standing(due),
        closing=words.shop.payment_words if due.due_minor > 0 else "",
    )  # fmt: skip


def _taxes(invoice: Invoice, words: _Words) -> tuple[tuple[str, str], ...]:
    """Word the tax, a row for each rate; a bill of before that was kept has one."""
    only = {"rate_millipercent": invoice.tax_rate_millipercent, "tax_minor": invoice.tax_minor}
    return tuple(
        (
            f"{invoice.tax_name} {money.show_rate(row['rate_millipercent'], reader_locale())}",
            words.amount(row["tax_minor"]),
        )
        for row in json.loads(invoice.taxes) or [only]
    )


def _deposited(unit: Unit, paid: list[Payment], due: Due, words: _Words) -> Sheet:
    return Sheet(
        title=_("Receipt for a deposit"),
        about=_("Unit {number}. The invoice follows when the work is done.").format(number=unit),
        sender=from_shop(words.shop),
        recipient=bill_to(unit),
        locale=words.shop.locale,
        lines=None,
        sums=((_("Agreed in the quote"), words.amount(due.total_minor)),),
        payments=words.payments(paid),
        standing=words.standing(due),
        closing="",
    )
