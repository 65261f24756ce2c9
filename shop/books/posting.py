"""From bills and payments to postings.

A bill puts its total on what customers owe, against sales, postage and tax. Money that comes before the bill is a
deposit; the bill turns it into a payment of itself. So after the bill the unit's share of what customers owe is
always exactly what is still due.
"""

from datetime import date

from shop.books.models import Invoice, Payment
from shop.core import clock
from shop.core.profile import profile
from shop.ledger import accounts
from shop.ledger.steps import post

_MONEY: dict[str, str] = {
    Payment.Method.CASH: accounts.CASH,
    Payment.Method.CARD: accounts.CARD,
    Payment.Method.TRANSFER: accounts.BANK,
    Payment.Method.OTHER: accounts.OTHER_MONEY,
}


def today() -> date:
    """Return the business date: today where the shop stands."""
    return clock.day_of(clock.now(), profile().time_zone)


def post_invoice(invoice: Invoice, *, postage_minor: int, deposited_minor: int) -> None:
    """Post a new bill. postage_minor is the part of its net that is postage; deposits were paid before it."""
    source, owed = f"invoice:{invoice.id}", accounts.RECEIVABLE
    for income, amount_minor in (
        (accounts.SALES, invoice.net_minor - postage_minor),
        (accounts.POSTAGE, postage_minor),
        (accounts.TAX_OWED, invoice.tax_minor),
    ):
        _move(owed, income, amount_minor, on=invoice.issued_on, currency=invoice.currency, source=source)
    _move(accounts.DEPOSITS, owed, deposited_minor, on=invoice.issued_on, currency=invoice.currency, source=source)


def post_payment(payment: Payment, *, billed: bool) -> None:
    """Post money taken or, below zero, given back: against the bill once there is one, else as a deposit."""
    against = accounts.RECEIVABLE if billed else accounts.DEPOSITS
    source = f"payment:{payment.id}"
    money = _MONEY[payment.method]
    _move(money, against, payment.amount_minor, on=today(), currency=payment.currency, source=source)


def _move(debit: str, credit: str, amount_minor: int, *, on: date, currency: str, source: str) -> None:
    """Post an amount of either sign, the other way round below zero; nothing for zero."""
    if amount_minor < 0:
        debit, credit = credit, debit
    if amount_minor:
        post(on=on, debit=debit, credit=credit, amount_minor=abs(amount_minor), currency=currency, source=source)
