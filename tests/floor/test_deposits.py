"""A unit that waits for its deposit: held, left out of the plan, without a date; and what ends that."""

from datetime import date
from importlib import import_module
from typing import Any

import pytest
from django.apps import apps

from shop.books.actions import give_back
from shop.core.profile import change_profile
from shop.core.reasons import Refused, sentence
from shop.floor.demo.journeys import Journey
from shop.floor.flows import bench, money, quote
from shop.floor.stages import Move
from shop.floor.story import headline
from shop.planning.models import Promise
from shop.quotes.queries import present_quote
from shop.units import queries
from shop.units.models import Hold, Unit
from tests.floor.conftest import now
from tests.floor.deposits_seen import holds, left_minor, left_out, offer_more, pay, refusals, ringed, seen, told


def test_it_is_held_and_left_out_of_the_plan_and_has_no_date(unpaid: Journey) -> None:
    assert holds(unpaid) == ["deposit"]
    reason = left_out(unpaid)
    assert reason is not None
    assert sentence(reason) == f"{unpaid.unit} waits for its deposit, and is planned when that is paid or waived."
    assert not Promise.objects.exists()
    assert refusals(unpaid) == ["deposit_open"]
    view = seen(unpaid)
    assert (view.where, view.when) == ("With us, waiting for your deposit.", "We name a day when your deposit is here.")
    assert ringed(unpaid) == ["held: deposit"]
    assert headline(queries.one(unpaid.unit.id)) == "Waits for the customer's deposit."


def test_money_that_covers_it_lets_it_go_on_and_names_a_day(unpaid: Journey) -> None:
    pay(unpaid, left_minor(unpaid) - 1)
    assert holds(unpaid) == ["deposit"]
    assert not Promise.objects.exists()
    pay(unpaid, 1)
    assert (holds(unpaid), left_out(unpaid), refusals(unpaid)) == ([], None, [])
    assert now(unpaid).promised_on is not None
    assert seen(unpaid).where == "With us, in the queue for a bench."
    assert ringed(unpaid) == ["queue"]
    words = told(unpaid, "deposit_paid")
    assert "Your deposit has arrived" in words
    assert "We expect to have it ready on" in words


def test_without_the_deposit_it_goes_on_as_well(unpaid: Journey) -> None:
    with pytest.raises(Refused, match="blank"):
        money.waive_deposit(actor=unpaid.house.counter, unit_id=unpaid.unit.id, reason=" ")
    money.waive_deposit(actor=unpaid.house.counter, unit_id=unpaid.unit.id, reason="A regular")
    assert (holds(unpaid), left_out(unpaid)) == ([], None)
    assert now(unpaid).promised_on is not None
    assert "You need not pay the deposit" in told(unpaid, "deposit_paid")


def test_only_the_desk_takes_money_or_waives_it(unpaid: Journey) -> None:
    given: dict[str, Any] = {"actor": unpaid.house.technician, "unit_id": unpaid.unit.id}
    with pytest.raises(Refused, match="not_permitted"):
        money.take_payment(**given, amount_minor=100, method="cash")
    with pytest.raises(Refused, match="not_permitted"):
        money.waive_deposit(**given, reason="Why not")


def test_money_given_back_before_it_is_covered_leaves_it_waiting(unpaid: Journey) -> None:
    wanted = left_minor(unpaid)
    pay(unpaid, wanted - 1)
    give_back(
        actor=unpaid.house.owner, unit_id=unpaid.unit.id, amount_minor=500, method="cash", reason="The wrong unit"
    )  # fmt: skip
    assert (left_minor(unpaid), holds(unpaid)) == (501, ["deposit"])


def test_nobody_lifts_it_or_opens_it_by_hand(unpaid: Journey) -> None:
    given: dict[str, Any] = {"actor": unpaid.house.technician, "unit_id": unpaid.unit.id, "kind": "deposit"}
    with pytest.raises(Refused, match="not_a_choice"):
        bench.lift_hold(**given)
    with pytest.raises(Refused, match="not_a_choice"):
        bench.hold_unit(**given, text="more")


def test_a_newer_edition_that_is_taken_back_or_declined_leaves_it_as_it_was(unpaid: Journey) -> None:
    offer_more(unpaid)
    assert sorted(holds(unpaid)) == ["approval", "deposit"]
    sent = present_quote(unpaid.unit.id)
    assert sent is not None
    quote.withdraw_quote(actor=unpaid.house.counter, quote_id=sent.id, reason="A slip")
    assert holds(unpaid) == ["deposit"]
    unpaid.quote().answer(approve=False)
    assert holds(unpaid) == ["deposit"]


def test_a_newer_edition_without_a_deposit_ends_it(unpaid: Journey) -> None:
    change_profile(actor=unpaid.house.owner, deposit_percent=0)
    offer_more(unpaid)
    unpaid.answer(approve=True)
    assert (holds(unpaid), left_out(unpaid)) == ([], None)
    assert now(unpaid).promised_on is not None


def test_a_newer_edition_asks_anew_for_what_is_missing(unpaid: Journey) -> None:
    pay(unpaid, left_minor(unpaid))
    assert now(unpaid).promised_on is not None
    offer_more(unpaid)
    unpaid.answer(approve=True)
    assert (holds(unpaid), now(unpaid).promised_on) == (["deposit"], None)
    assert seen(unpaid).when == "We name a day when your deposit is here."
    pay(unpaid, left_minor(unpaid))
    assert now(unpaid).promised_on is not None


def test_what_is_at_work_goes_on_with_a_date(approved: Journey) -> None:
    """An extra is approved with a deposit of its own while the unit lies on a bench; parked, it waits for that."""
    approved.start(Move.START_WORK, 0)
    change_profile(actor=approved.house.owner, deposit_percent=50)
    offer_more(approved)
    Unit.objects.filter(pk=approved.unit.pk).update(promised_on=None)
    approved.answer(approve=True)
    assert (holds(approved), left_out(approved)) == (["deposit"], None)
    assert now(approved).promised_on is not None
    assert seen(approved).where == "On a bench, being worked on."
    assert headline(queries.one(approved.unit.id)).startswith("On Bench 1 for work")
    assert ringed(approved) == ["bench"]
    bench.park(actor=approved.house.technician, unit_id=approved.unit.id, text="The day is over")
    reason = left_out(approved)
    assert reason is not None
    assert (reason.code, refusals(approved)) == ("plan_waits_deposit", ["deposit_open"])


def test_money_is_taken_where_no_day_can_be_told(unpaid: Journey) -> None:
    """Parts that are due beyond all that can be promised: nothing is promised, and the payment stands."""
    bench.hold_unit(
        actor=unpaid.house.counter, unit_id=unpaid.unit.id, kind="parts", text="A tube", due_on=date(2090, 1, 1)
    )  # fmt: skip
    pay(unpaid, left_minor(unpaid))
    assert holds(unpaid) == ["parts"]
    assert now(unpaid).promised_on is None


def test_those_who_waited_before_the_upgrade_are_held_by_it(unpaid: Journey) -> None:
    Hold.objects.filter(unit=unpaid.unit).delete()
    upgrade = import_module("shop.books.migrations.0005_hold_what_waits_for_a_deposit")
    upgrade.hold(apps, None)
    upgrade.hold(apps, None)
    assert holds(unpaid) == ["deposit"]
    pay(unpaid, left_minor(unpaid))
    Hold.objects.filter(unit=unpaid.unit).delete()
    upgrade.hold(apps, None)
    assert holds(unpaid) == []


def test_what_ran_out_before_the_upgrade_waits_for_nobody(approved: Journey) -> None:
    upgrade = import_module("shop.quotes.migrations.0010_nobody_waits_for_what_ran_out")
    offer_more(approved)
    upgrade.lift(apps, None)
    assert holds(approved) == ["approval"]
    approved.unit.quotes.filter(state="sent").update(state="expired")
    upgrade.lift(apps, None)
    assert holds(approved) == []
