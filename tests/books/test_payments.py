"""Payments: taken in part or in full, never too much, given back only by the owner."""

import json
import threading
import uuid
from functools import partial
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction
from hypothesis import given, settings
from hypothesis import strategies as st
from hypothesis.extra.django import TestCase

from shop.boards.models import DeviceModel
from shop.books import actions, queries
from shop.books.models import Payment
from shop.books.queries import Due
from shop.core.actor import Actor, Role
from shop.core.models import PersonalText, ShopProfile, TrailEntry
from shop.core.reasons import Missing, Refused, sentence
from shop.ledger.queries import balance, trial_balance
from shop.people.models import Customer
from shop.quotes.pricing import Line
from shop.units.models import Unit
from tests.books.conftest import approve, bill


def pay(actor: Actor, unit: Unit, amount_minor: int, method: str = "cash", reference: str = "") -> Payment:
    return actions.take_payment(
        actor=actor, unit_id=unit.id, amount_minor=amount_minor, method=method, reference=reference
    )


def give(actor: Actor, unit: Unit, amount_minor: int, reason: str = "A promise was missed.") -> Payment:
    return actions.give_back(actor=actor, unit_id=unit.id, amount_minor=amount_minor, method="cash", reason=reason)


def refused_as(code: str, act: Any) -> str:
    """Return the sentence of the refusal that the act must end in, having written nothing."""
    before = Payment.objects.count(), TrailEntry.objects.count()
    with pytest.raises(Refused) as refused:
        act()
    assert refused.value.code == code
    assert (Payment.objects.count(), TrailEntry.objects.count()) == before
    return sentence(refused.value.reasons[0])


def test_it_takes_a_bill_in_parts_until_nothing_is_due(helper: Actor, unit: Unit) -> None:
    bill(unit)
    assert queries.amount_due(unit) == Due(7380, 0, 7380, "USD", True)
    first = pay(helper, unit, 2380, "card", "terminal slip 88")
    assert queries.amount_due(unit) == Due(7380, 2380, 5000, "USD", True)
    second = pay(helper, unit, 5000, "transfer")
    assert queries.amount_due(unit) == Due(7380, 7380, 0, "USD", True)
    assert [(row.number, row.reference) for row in queries.payments(unit)] == [(1, "terminal slip 88"), (2, "")]
    assert (first.by_id, second.currency) == (helper.id, "USD")


@pytest.mark.parametrize(
    ("method", "account"),
    [("cash", "cash"), ("card", "card_clearing"), ("transfer", "bank"), ("other", "other_money")],
)
def test_it_posts_money_where_it_went(helper: Actor, unit: Unit, method: str, account: str) -> None:
    bill(unit)
    pay(helper, unit, 1000, method)
    assert balance(account, "USD") == 1000
    assert balance("receivable", "USD") == 6380


def test_it_refuses_a_second_payment_of_the_same_bill(helper: Actor, unit: Unit) -> None:
    bill(unit)
    pay(helper, unit, 7380)
    said = refused_as("paid_in_full", lambda: pay(helper, unit, 7380))
    assert said == "Unit 1042 is paid in full. Take no more money for it."


def test_it_names_what_is_due_when_too_much_is_offered(helper: Actor, unit: Unit) -> None:
    bill(unit)
    pay(helper, unit, 2380)
    said = refused_as("overpaid", lambda: pay(helper, unit, 5001))
    assert said == "$50.01 is more than the $50.00 still due for unit 1042. Take $50.00 at most."


@pytest.mark.parametrize(
    ("currency", "unit_minor", "due"), [("JPY", 5000, "¥5,400"), ("KWD", 5000, "KWD5.400"), ("CLF", 50, "CLF0.0054")]
)
def test_it_writes_the_due_amount_with_the_digits_of_its_currency(
    helper: Actor, unit: Unit, currency: str, unit_minor: int, due: str
) -> None:
    bill(unit, Line("Recap", "labour", 1, unit_minor), currency=currency)
    said = refused_as("overpaid", lambda: pay(helper, unit, unit_minor * 2))
    assert f"more than the {due} still due" in said
    total = queries.amount_due(unit).due_minor
    assert pay(helper, unit, total).currency == currency
    assert queries.amount_due(unit).due_minor == 0


@pytest.mark.parametrize(
    ("amount_minor", "code"),
    [(0, "payment_nil"), (-1, "negative_money"), (-7380, "negative_money"), (10**13, "out_of_range")],
)
def test_it_refuses_an_amount_that_cannot_be(owner: Actor, unit: Unit, amount_minor: int, code: str) -> None:
    bill(unit)
    refused_as(code, lambda: pay(owner, unit, amount_minor))
    refused_as(code, lambda: give(owner, unit, amount_minor))


def test_it_refuses_an_unknown_way_of_paying_and_a_long_reference(helper: Actor, unit: Unit) -> None:
    bill(unit)
    assert "cash, card, transfer, other" in refused_as("not_a_choice", lambda: pay(helper, unit, 5, "shells"))
    refused_as("too_long", lambda: pay(helper, unit, 5, "cash", "x" * 81))


def test_it_knows_no_unit_of_that_id(helper: Actor) -> None:
    with pytest.raises(Missing):
        actions.take_payment(actor=helper, unit_id=uuid.uuid4(), amount_minor=5, method="cash")


def test_it_takes_a_deposit_on_the_approved_quote(helper: Actor, unit: Unit) -> None:
    refused_as("nothing_to_pay", lambda: pay(helper, unit, 100))
    approve(unit, 7000)
    approve(unit, 7380, edition=2)
    assert queries.amount_due(unit) == Due(7380, 0, 7380, "USD", False)
    pay(helper, unit, 3000)
    assert (balance("deposits", "USD"), balance("receivable", "USD")) == (3000, 0)
    refused_as("overpaid", lambda: pay(helper, unit, 4381))
    bill(unit)
    assert (balance("deposits", "USD"), balance("receivable", "USD")) == (0, 4380)
    assert queries.amount_due(unit) == Due(7380, 3000, 4380, "USD", True)


def test_it_owes_money_back_when_the_deposit_was_more_than_the_bill(helper: Actor, owner: Actor, unit: Unit) -> None:
    approve(unit, 9000)
    pay(helper, unit, 9000)
    bill(unit)
    assert queries.amount_due(unit).due_minor == -1620
    refused_as("paid_in_full", lambda: pay(helper, unit, 1))
    give(owner, unit, 1620)
    assert queries.amount_due(unit).due_minor == 0
    assert (balance("receivable", "USD"), balance("cash", "USD")) == (0, 7380)


def test_it_gives_back_by_the_owner_with_a_reason_in_the_trail(owner: Actor, helper: Actor, unit: Unit) -> None:
    bill(unit)
    pay(helper, unit, 7380)
    refused_as("not_permitted", lambda: give(helper, unit, 100))
    refused_as("blank", lambda: give(owner, unit, 100, reason=" "))
    row = give(owner, unit, 380, reason="Bảo found a scratch.")
    assert (row.amount_minor, row.number, queries.amount_due(unit).due_minor) == (-380, 2, 380)
    entry = TrailEntry.objects.get(subject_id=unit.id, what="money_given_back")
    assert json.loads(entry.facts)["amount_minor"] == -380
    assert PersonalText.objects.get().text == "Bảo found a scratch."
    assert balance("cash", "USD") == 7000


def test_it_never_gives_back_more_than_was_paid(owner: Actor, unit: Unit) -> None:
    bill(unit)
    pay(owner, unit, 2000)
    give(owner, unit, 500)
    said = refused_as("gives_too_much", lambda: give(owner, unit, 1501))
    assert said == "$15.01 is more than the $15.00 that were paid for unit 1042. Give back $15.00 at most."


def test_it_lets_only_the_desk_take_money(technician: Actor, unit: Unit) -> None:
    bill(unit)
    refused_as("not_permitted", lambda: pay(technician, unit, 100))
    customer = Actor(role=Role.CUSTOMER, id="link")
    refused_as("not_permitted", lambda: pay(customer, unit, 100))


def test_it_takes_money_still_owed_after_the_unit_left(helper: Actor, unit: Unit, frozen: object) -> None:
    bill(unit)
    Unit.objects.filter(pk=unit.pk).update(outcome="collected", left_at="2026-03-09T09:00:00Z")
    assert pay(helper, unit, 7380).number == 1


def test_it_asks_a_fixed_number_of_queries(helper: Actor, unit: Unit, django_assert_num_queries: Any) -> None:
    bill(unit)
    for _turn in range(5):
        pay(helper, unit, 100)
    with django_assert_num_queries(2):
        queries.amount_due(unit)
    with django_assert_num_queries(1):
        list(queries.payments(unit))


@pytest.mark.parametrize("act", ["update", "delete"])
def test_it_cannot_be_changed_behind_the_application(helper: Actor, unit: Unit, act: str) -> None:
    bill(unit)
    pay(helper, unit, 100)
    rows = Payment.objects.all()
    with pytest.raises(DatabaseError, match="only grows"), transaction.atomic():
        rows.update(amount_minor=1) if act == "update" else rows._raw_delete(rows.db)
    assert Payment.objects.get().amount_minor == 100


@pytest.mark.django_db(transaction=True)
def test_it_takes_a_bill_once_when_two_take_it_at_the_same_time(helper: Actor, unit: Unit) -> None:
    bill(unit)
    start, answers = threading.Barrier(2), []

    def take() -> None:
        try:
            start.wait()
            answers.append(str(pay(helper, unit, 7380).number))
        except Refused as refused:
            answers.append(refused.code)
        finally:
            connection.close()

    threads = [threading.Thread(target=take) for _turn in range(2)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert sorted(answers) == ["1", "paid_in_full"]
    assert balance("receivable", "USD") == 0


_ACTS = st.lists(st.tuples(st.sampled_from(["pay", "give", "bill"]), st.integers(1, 9000)), max_size=8)
_ANSWERS = {"done", "overpaid", "paid_in_full", "gives_too_much", "invoice_issued_before"}


def answer_to(verb: Any, unit: Unit, amount_minor: int) -> str:
    try:
        verb(unit, amount_minor)
    except Refused as refused:
        return refused.code
    return "done"


class Books(TestCase):
    """Whatever is paid, billed and given back in any order, the books agree with what is due."""

    @settings(deadline=None, max_examples=30)
    @given(_ACTS)
    def test_it_keeps_the_books_in_step_with_what_is_due(self, acts: list[tuple[str, int]]) -> None:
        unit, boss = _lone_unit(), Actor(role=Role.OWNER, id="boss")
        approve(unit, 8000)
        for act, amount in acts:
            verb = {"pay": partial(pay, boss), "give": partial(give, boss), "bill": lambda unit, _amount: bill(unit)}[
                act
            ]
            assert answer_to(verb, unit, amount) in _ANSWERS
        due = queries.amount_due(unit)
        assert sum(trial_balance("USD").values()) == 0
        assert balance("receivable", "USD") == (due.due_minor if due.billed else 0)
        assert balance("deposits", "USD") == (0 if due.billed else due.paid_minor)
        assert balance("cash", "USD") == due.paid_minor >= 0
        assert due.total_minor == due.paid_minor + due.due_minor


def _lone_unit() -> Unit:
    ShopProfile.objects.create(only=1, name="Brandt & Daughter", tax_rate_millipercent=8000)
    customer = Customer.objects.create(name="Ada Kowalczyk", email="ada@post.example")
    model = DeviceModel.objects.create(maker="Quillon", name="Lantern")
    return Unit.objects.create(number=7, customer=customer, model=model, stage="pickup")
