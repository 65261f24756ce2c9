"""What flows and other rooms' actions need of the books inside their transaction."""

from datetime import date

from shop.ledger.accounts import CHART
from shop.ledger.models import Account, Posting


def post(*, on: date, debit: str, credit: str, amount_minor: int, currency: str, source: str) -> Posting:
    """Move an amount from the credit account to the debit account, and return the posting.

    amount_minor is above zero, in minor units of the currency; source names the document (``payment:<id>``).
    Raises ValueError for an amount that is not above zero, one account on both sides, or one outside the chart: the
    caller is wrong, not the person at the counter.
    """
    if amount_minor <= 0:
        raise ValueError(f"a posting moves an amount above zero, not {amount_minor}: swap debit and credit instead")
    if debit == credit:
        raise ValueError(f"a posting moves between two accounts, not from {debit} to itself")
    _open({debit, credit})
    return Posting.objects.create(
        on=on, debit_id=debit, credit_id=credit, amount_minor=amount_minor, currency=currency, source=source
    )


def _open(codes: set[str]) -> None:
    """Open accounts of the chart that this database has not yet: one that a later chart brought, or an emptied one."""
    missing = codes - set(Account.objects.filter(code__in=codes).values_list("code", flat=True))
    if unknown := missing - set(CHART):
        raise ValueError(f"no such account: {sorted(unknown)}")
    if missing:
        rows = [Account(code=code, name=CHART[code].name, kind=CHART[code].kind) for code in sorted(missing)]
        Account.objects.bulk_create(rows, ignore_conflicts=True)
