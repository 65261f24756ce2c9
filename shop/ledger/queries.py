"""Reads of the books. Money is minor units of one currency; currencies are never added together."""

from django.db.models import QuerySet, Sum

from shop.ledger.models import Account, Posting

_DEBIT_SIDE = (Account.Kind.ASSET, Account.Kind.EXPENSE)


def _sum(postings: QuerySet[Posting]) -> int:
    return postings.aggregate(total=Sum("amount_minor"))["total"] or 0


def balance(account_code: str, currency: str) -> int:
    """Return an account's balance, above zero on its usual side.

    That is the debit side for assets and expenses, the credit side for liabilities and income. Three queries.
    Raises Account.DoesNotExist.
    """
    account = Account.objects.get(code=account_code)
    postings = Posting.objects.filter(currency=currency)
    debit_less_credit = _sum(postings.filter(debit=account)) - _sum(postings.filter(credit=account))
    return debit_less_credit if account.kind in _DEBIT_SIDE else -debit_less_credit


def trial_balance(currency: str) -> dict[str, int]:
    """Return debits less credits of every account that was ever used. The sum of the values is 0. Two queries."""
    totals: dict[str, int] = {}
    postings = Posting.objects.filter(currency=currency).order_by()
    for code, amount in postings.values_list("debit_id").annotate(total=Sum("amount_minor")):
        totals[code] = totals.get(code, 0) + amount
    for code, amount in postings.values_list("credit_id").annotate(total=Sum("amount_minor")):
        totals[code] = totals.get(code, 0) - amount
    return totals


def postings_of(source: str) -> QuerySet[Posting]:
    """Return the postings that came from one document, oldest first."""
    return Posting.objects.filter(source=source).select_related("debit", "credit")
