"""Accounts and postings: what is moved, and that nothing appears or gets lost."""

from datetime import date
from typing import Any

import pytest
from django.db import DatabaseError, IntegrityError, transaction
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from shop.ledger import accounts, queries
from shop.ledger.models import Account, Posting
from shop.ledger.steps import post

DAY = date(2026, 3, 10)


def move(debit: str, credit: str, amount_minor: int, currency: str = "USD", source: str = "test:1") -> Posting:
    return post(on=DAY, debit=debit, credit=credit, amount_minor=amount_minor, currency=currency, source=source)


@pytest.mark.django_db
def test_it_opens_every_account_of_the_chart_with_the_database() -> None:
    kept = {row.code: (row.name, row.kind) for row in Account.objects.all()}
    assert kept == {code: tuple(line) for code, line in accounts.CHART.items()}


@pytest.mark.django_db
def test_it_opens_an_account_of_the_chart_that_is_not_there_yet() -> None:
    Account.objects.all().delete()
    move(accounts.CASH, accounts.SALES, 5)
    assert {row.code: row.kind for row in Account.objects.all()} == {"cash": "asset", "sales": "income"}


@pytest.mark.django_db
def test_it_shows_each_balance_above_zero_on_its_usual_side() -> None:
    move(accounts.RECEIVABLE, accounts.SALES, 6000)
    move(accounts.RECEIVABLE, accounts.TAX_OWED, 480)
    move(accounts.CASH, accounts.RECEIVABLE, 1480)
    move(accounts.PARTS, accounts.BANK, 300)
    found = {code: queries.balance(code, "USD") for code in ("receivable", "sales", "tax_owed", "cash", "parts_cost")}
    assert found == {"receivable": 5000, "sales": 6000, "tax_owed": 480, "cash": 1480, "parts_cost": 300}
    assert queries.balance("bank", "USD") == -300
    assert queries.balance("postage_income", "USD") == 0


@pytest.mark.django_db
def test_it_never_adds_currencies_together() -> None:
    move(accounts.CASH, accounts.SALES, 100, "USD")
    move(accounts.CASH, accounts.SALES, 7, "JPY")
    assert (queries.balance("cash", "USD"), queries.balance("cash", "JPY"), queries.balance("cash", "KWD")) == (
        100, 7, 0,
    )  # fmt: skip


@pytest.mark.django_db
def test_it_finds_the_postings_of_a_document() -> None:
    move(accounts.CASH, accounts.SALES, 100, source="payment:a")
    move(accounts.CASH, accounts.SALES, 200, source="payment:b")
    assert [row.amount_minor for row in queries.postings_of("payment:b")] == [200]


@pytest.mark.django_db
@pytest.mark.parametrize(
    ("debit", "credit", "amount_minor", "says"),
    [
        ("cash", "sales", 0, "above zero"),
        ("cash", "sales", -5, "swap debit and credit"),
        ("cash", "cash", 5, "two accounts"),
        ("cash", "moon", 5, "no such account.*moon"),
    ],
)
def test_it_refuses_a_posting_that_cannot_be(debit: str, credit: str, amount_minor: int, says: str) -> None:
    with pytest.raises(ValueError, match=says):
        move(debit, credit, amount_minor)
    assert not Posting.objects.exists()


@pytest.mark.django_db
@pytest.mark.parametrize("wrong", [{"amount_minor": 0}, {"credit_id": "cash"}])
def test_it_is_refused_by_the_database_as_well(wrong: dict[str, Any]) -> None:
    fields = {"on": DAY, "debit_id": "cash", "credit_id": "sales", "amount_minor": 5, "currency": "USD", "source": "x"}
    with pytest.raises(IntegrityError), transaction.atomic():
        Posting.objects.create(**(fields | wrong))


@pytest.mark.django_db
@pytest.mark.parametrize("act", ["update", "delete"])
def test_it_cannot_be_changed_behind_the_application(act: str) -> None:
    move(accounts.CASH, accounts.SALES, 100)
    rows = Posting.objects.all()
    with pytest.raises(DatabaseError, match="only grows"), transaction.atomic():
        rows.update(amount_minor=1) if act == "update" else rows._raw_delete(rows.db)
    assert Posting.objects.get().amount_minor == 100


@pytest.mark.django_db
def test_it_asks_a_fixed_number_of_queries(django_assert_num_queries: Any) -> None:
    for amount in range(1, 9):
        move(accounts.CASH, accounts.SALES, amount)
    with django_assert_num_queries(2):
        move(accounts.CASH, accounts.SALES, 9)
    with django_assert_num_queries(3):
        queries.balance("cash", "USD")
    with django_assert_num_queries(2):
        queries.trial_balance("USD")


_CODES = st.sampled_from(sorted(accounts.CHART))
_MOVES = st.lists(
    st.tuples(_CODES, _CODES, st.integers(1, 10**12), st.sampled_from(["USD", "JPY", "KWD"])).filter(
        lambda move: move[0] != move[1]
    ),
    max_size=12,
)


class Balances(TestCase):
    @settings(deadline=None, max_examples=30)
    @given(_MOVES)
    def test_it_balances_whatever_is_posted(self, moves: list[tuple[str, str, int, str]]) -> None:
        for debit, credit, amount_minor, currency in moves:
            move(debit, credit, amount_minor, currency)
        for currency in ("USD", "JPY", "KWD"):
            totals = queries.trial_balance(currency)
            assert sum(totals.values()) == 0
            used = [(debit, credit, amount) for debit, credit, amount, of in moves if of == currency]
            for code, total in totals.items():
                debits = sum(amount for debit, _credit, amount in used if debit == code)
                credits = sum(amount for _debit, credit, amount in used if credit == code)
                assert total == debits - credits
                usual = 1 if accounts.CHART[code].kind in ("asset", "expense") else -1
                assert queries.balance(code, currency) == usual * total
