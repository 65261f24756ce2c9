"""Whether what is stored still adds up: the trail's chains, decisions and their papers, the stock's sums, the books."""

from itertools import groupby
from typing import Any

from django.db.models import Manager, QuerySet, Sum
from django.utils.translation import gettext as _

from shop.books.models import Invoice, Payment
from shop.core.models import TrailEntry
from shop.core.seals import broken_seal
from shop.core.trail import broken_links
from shop.ledger import accounts
from shop.ledger.models import Posting
from shop.ledger.queries import trial_balance
from shop.quotes.papers import changed_since_stored
from shop.stock.queries import verify as stock_mismatches
from shop.units.models import Unit

_MONEY = (accounts.CASH, accounts.BANK, accounts.CARD, accounts.OTHER_MONEY)


def problems() -> list[str]:
    """Return a sentence for each thing that does not add up; an empty list when all does."""
    return [*_trails(), *_seals(), *_decisions(), *_stock(), *_books()]


def _trails() -> list[str]:
    """Recompute every chain. Reads the whole trail once, in order, a subject at a time."""
    found = []
    entries = TrailEntry.objects.order_by("subject_id", "seq").iterator()
    for subject, rows in groupby(entries, key=lambda entry: (entry.subject_kind, entry.subject_id)):
        broken = broken_links(rows)
        if broken:
            facts = {"kind": subject[0], "id": subject[1], "seq": broken[0]}
            found.append(_("The trail of %(kind)s %(id)s was changed at entry %(seq)s.") % facts)
    return found


def _seals() -> list[str]:
    """Compare the whole trail with its seals: what was cut off a subject's end breaks no chain, but a seal."""
    broken = broken_seal()
    facts = {"date": broken.sealed_at.isoformat(timespec="minutes")} if broken else {}
    return [_("Rows of the trail that were sealed at %(date)s are missing or were changed.") % facts] if broken else []


def _decisions() -> list[str]:
    """Hash again what was shown, what was decided, and the papers of it. Reads all of them."""
    words = {
        "shown": _("What unit %(unit)s was shown in edition %(edition)s of its quote was changed since."),
        "evidence": _("The evidence of the answer to edition %(edition)s of unit %(unit)s's quote was changed."),
        "paper": _("The paper of the answer to edition %(edition)s of unit %(unit)s's quote was changed."),
    }
    return [words[what] % {"unit": quote.unit, "edition": quote.edition} for what, quote in changed_since_stored()]


def _stock() -> list[str]:
    return [
        _("Lot %(lot)s of %(part)s does not hold what its movements say.") % {"lot": wrong.lot_id, "part": wrong.part}
        for wrong in stock_mismatches()
    ]


def _books() -> list[str]:
    """Compare each bill and payment with its postings' sums, and look for gaps in the numbers."""
    found = []
    for label, rows in ((_("bills"), Invoice.objects), (_("receipts"), Payment.objects)):
        numbers = list(rows.order_by("number").values_list("number", flat=True))
        if numbers != list(range(1, len(numbers) + 1)):
            found.append(_("The numbers of the %(documents)s have a gap.") % {"documents": label})
    currencies = {*_currencies(Invoice.objects), *_currencies(Payment.objects), *_currencies(Posting.objects)}
    for currency in sorted(currencies):
        found += _accounts(currency)
    gone = Unit.objects.exclude(outcome="").filter(release=None).count()
    if gone:
        found.append(_("Units that left without a release: %(count)s.") % {"count": gone})
    return found


def _currencies(rows: Manager[Any]) -> QuerySet[Any, str]:
    return rows.order_by().values_list("currency", flat=True).distinct()


def _accounts(currency: str) -> list[str]:
    """Compare the accounts with the documents that they come from; amounts are minor units, debit above zero.

    Billed money is off what customers owe, money before the bill is their deposit (see `shop.books.posting`).
    """
    bills = Invoice.objects.filter(currency=currency)
    payments = Payment.objects.filter(currency=currency)
    billed = payments.filter(unit__invoice__currency=currency)
    paid, paid_billed = _sum(payments, "amount_minor"), _sum(billed, "amount_minor")
    total, net, tax = (_sum(bills, field) for field in ("total_minor", "net_minor", "tax_minor"))
    balance = trial_balance(currency)
    expected = [
        (_("money taken"), _MONEY, paid),
        (_("what customers owe"), (accounts.RECEIVABLE,), total - paid_billed),
        (_("deposits"), (accounts.DEPOSITS,), paid_billed - paid),
        (_("sales and postage"), (accounts.SALES, accounts.POSTAGE), -net),
        (_("tax owed"), (accounts.TAX_OWED,), -tax),
    ]
    found = []
    for label, codes, documents in expected:
        posted = sum(balance.get(code, 0) for code in codes)
        if posted != documents:
            facts = {"what": label, "currency": currency, "posted": posted, "documents": documents}
            words = _("%(currency)s, %(what)s: the postings say %(posted)s, the documents %(documents)s (minor units).")
            found.append(words % facts)
    return found


def _sum(rows: QuerySet[Any], field: str) -> int:
    return rows.aggregate(total=Sum(field))["total"] or 0
