"""Whether what is stored still adds up: the trail's chains, the stock's sums, the books against their documents."""

from itertools import groupby

from django.db.models import Sum
from django.utils.translation import gettext as _

from shop.books.models import Invoice, Payment
from shop.core.models import TrailEntry
from shop.core.trail import broken_links
from shop.ledger import accounts
from shop.ledger.queries import trial_balance
from shop.stock.queries import verify as stock_mismatches
from shop.units.models import Unit

_MONEY = (accounts.CASH, accounts.BANK, accounts.CARD, accounts.OTHER_MONEY)


def problems() -> list[str]:
    """Return a sentence for each thing that does not add up; an empty list when all does."""
    return [*_trails(), *_stock(), *_books()]


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


def _stock() -> list[str]:
    return [
        _("Lot %(lot)s of %(part)s does not hold what its movements say.") % {"lot": wrong.lot_id, "part": wrong.part}
        for wrong in stock_mismatches()
    ]


def _books() -> list[str]:
    """Compare money taken with the units' payments, and each bill with its number's place in the series."""
    found = []
    numbers = list(Invoice.objects.order_by("number").values_list("number", flat=True))
    if numbers != list(range(1, len(numbers) + 1)):
        found.append(_("The numbers of the bills have a gap."))
    for currency in Payment.objects.values_list("currency", flat=True).distinct():
        taken = Payment.objects.filter(currency=currency).aggregate(sum=Sum("amount_minor"))["sum"] or 0
        balance = trial_balance(currency)
        in_hand = sum(amount for account, amount in balance.items() if account in _MONEY)
        if in_hand != taken:
            found.append(_("The books hold %(a)s, the payments say %(b)s.") % {"a": in_hand, "b": taken})
    gone = Unit.objects.exclude(outcome="").filter(release=None).count()
    if gone:
        found.append(_("%(n)s units left without a release.") % {"n": gone})
    return found
