"""Dates from the plan and the record, told again only when they move far enough, with the reason in words."""

import json
from collections.abc import Callable
from datetime import date, timedelta

import pytest
import time_machine
from django.db import connection
from django.test.utils import CaptureQueriesContext
from time_machine import Traveller

from shop.boards.models import Service
from shop.core.actor import SYSTEM, Actor
from shop.core.models import ShopProfile, TrailEntry
from shop.notices.models import Notice
from shop.people.models import Customer, Place, User
from shop.planning import actions, solving, steps
from shop.planning.keeping import outcomes
from shop.planning.models import Plan, Promise
from shop.planning.queries import record_of_promises
from shop.quotes.models import QuoteVersion
from shop.units.models import Hold, Unit
from shop.work.models import WorkInterval
from tests.conftest import NOW

WriteUp = Callable[..., Unit]
TUESDAY = date(2026, 3, 10)
pytestmark = pytest.mark.usefixtures("frozen")


@pytest.fixture
def approved(write_up: WriteUp, approve: Callable[..., QuoteVersion], recap: Service) -> WriteUp:
    """Write up a unit whose services are approved."""

    def make(number: int, *services: Service, **fields: object) -> Unit:
        unit = write_up(number, *(services or (recap,)), **fields)
        approve(unit, *(services or (recap,)))
        return unit

    return make


def plan() -> Plan:
    return actions.make_plan(actor=SYSTEM, effort=solving.QUICK)


def promise(unit: Unit, **asked: int) -> Promise:
    present = Unit.objects.get(pk=unit.pk)
    made = steps.promise_reckoned(actor=SYSTEM, unit=present, day=steps.reckon(present, TUESDAY, **asked))
    assert made is not None
    return made


def moved() -> list[Notice]:
    return list(Notice.objects.filter(event="promise_moved").order_by("created_at"))


def test_it_promises_by_the_plan_and_keeps_what_the_date_rests_on(approved: WriteUp, jun: User) -> None:
    for number in range(1, 4):
        approved(number)
    plan()
    made = promise(approved(4))
    assert made.percent == 80
    assert made.on >= date(2026, 3, 11)
    basis = json.loads(made.basis)
    assert basis["plan"] == Plan.objects.get().generation
    assert (basis["units_planned"], basis["records"]) == (4, 0)
    assert basis["chance_percent"] >= 80
    rests_on = basis["rests_on"]
    assert rests_on["ahead_min"] > rests_on["own_min"] > 100
    assert rests_on["until"] == made.on.isoformat()


def test_it_is_as_sure_as_the_profile_says(approved: WriteUp, jun: User) -> None:
    for number in range(1, 9):
        approved(number)
    plan()
    unit = approved(9)
    usual = promise(unit)
    ShopProfile.objects.update(promise_percent=99)
    surer = promise(unit)
    assert (usual.percent, surer.percent) == (80, 99)
    assert surer.on > usual.on


def test_without_a_plan_it_promises_by_the_estimates_ahead(approved: WriteUp, jun: User) -> None:
    assert "units_ahead" in json.loads(promise(approved(1)).basis)


def test_a_unit_that_nobody_can_do_is_promised_by_the_estimates_ahead(
    approved: WriteUp, owner: Actor, jun: User
) -> None:
    actions.set_skill(actor=owner, technician_id=jun.pk, skill="etching", percent=100)
    User.objects.filter(role="owner").update(retired_at=NOW)
    plan()
    glass = Service.objects.create(code="glass", name="Glass work", minutes=30, skill="glass blowing")
    assert "units_ahead" in json.loads(promise(approved(1, glass)).basis)


def test_the_record_of_slow_work_moves_dates_back(
    approved: WriteUp, jun: User, bench_one: Place, recap: Service
) -> None:
    for number in range(1, 9):
        approved(number)
    plan()
    before = promise(approved(20)).on
    for number in range(30, 60):
        gone = approved(number, stage="pickup", technician=jun)
        WorkInterval.objects.create(
            unit=gone, user=jun, bench=bench_one, began_at=NOW - timedelta(hours=19), ended_at=NOW - timedelta(hours=14)
        )
    made = promise(approved(21))
    assert json.loads(made.basis)["records"] == 30
    assert made.on > before + timedelta(days=3)


def test_it_tells_nobody_of_a_wobble(approved: WriteUp, jun: User, frozen: Traveller) -> None:
    units = [approved(number) for number in range(1, 4)]
    plan()
    for unit in units:
        promise(unit)
    frozen.shift(timedelta(minutes=20))
    plan()
    frozen.shift(timedelta(hours=1))
    plan()
    assert moved() == []
    assert Promise.objects.count() == 3


def test_it_tells_the_customer_that_parts_make_it_later_and_says_why(
    approved: WriteUp, jun: User, frozen: Traveller
) -> None:
    unit = approved(1)
    plan()
    before = promise(unit)
    Hold.objects.create(unit=unit, kind="parts", due_on=TUESDAY + timedelta(days=20))
    frozen.shift(timedelta(hours=1))
    plan()
    newest = Promise.objects.filter(unit=unit).latest("created_at")
    assert newest.on >= TUESDAY + timedelta(days=20)
    [notice] = moved()
    assert notice.facts["moved_from"] == before.on.isoformat()
    assert notice.facts["promised_on"] == newest.on.isoformat()
    assert notice.facts["reason"] == "It needs a part that we have to wait for."
    unit.refresh_from_db()
    assert unit.promised_on == newest.on
    assert json.loads(newest.basis)["moved"] == "later"
    assert [row.what for row in TrailEntry.objects.filter(subject_id=unit.pk)].count("promised") == 2
    plan()
    assert len(moved()) == 1


def test_it_says_when_a_failed_test_is_the_reason(approved: WriteUp, jun: User, frozen: Traveller) -> None:
    unit = approved(1)
    ShopProfile.objects.update(minutes_per_day=150)
    plan()
    promise(unit)
    Unit.objects.filter(pk=unit.pk).update(test_round=12)
    frozen.shift(timedelta(hours=1))
    plan()
    [notice] = moved()
    assert notice.facts["reason"] == "A test at the end did not pass, so we work on it once more."


def test_a_date_that_a_person_gave_stays(approved: WriteUp, jun: User, helper: Actor, frozen: Traveller) -> None:
    unit = approved(1)
    ShopProfile.objects.update(minutes_per_day=60)
    plan()
    actions.promise_by_hand(actor=helper, unit_id=unit.pk, version=1, on=TUESDAY, words="She insists")
    assert Promise.objects.get(unit=unit).percent < 50
    frozen.shift(timedelta(days=1))
    plan()
    assert (moved(), Promise.objects.count()) == ([], 1)


def test_it_tells_nobody_of_a_unit_of_the_shops_own(approved: WriteUp, jun: User, frozen: Traveller) -> None:
    unit = approved(1)
    plan()
    promise(unit)
    Unit.objects.filter(pk=unit.pk).update(customer=None)
    Hold.objects.create(unit=unit, kind="parts", due_on=TUESDAY + timedelta(days=20))
    frozen.shift(timedelta(hours=1))
    plan()
    assert (moved(), Promise.objects.count()) == ([], 2)


@pytest.fixture
def over(write_up: WriteUp) -> Callable[..., Unit]:
    """A unit whose promise, made by the figures, is over; ready so many days before (or after) it, or never."""

    def make(number: int, ready_before: int | None, *, percent: int = 80, **fields: object) -> Unit:
        unit = write_up(number, **fields)
        on = TUESDAY - timedelta(days=10)
        Promise.objects.create(unit=unit, on=on, percent=percent, basis='{"plan": 1}')
        if ready_before is not None:
            at = NOW.replace(day=10) - timedelta(days=10 + ready_before)
            TrailEntry.objects.create(
                subject_kind="unit", subject_id=unit.pk, seq=1, happened_at=at, recorded_at=at, actor_role="system",
                what="moved", after="pickup", entry_hash="0" * 64,
            )  # fmt: skip
            Unit.objects.filter(pk=unit.pk).update(stage="pickup")
        return unit

    return make


def test_it_counts_kept_promises_with_their_interval(over: Callable[..., Unit]) -> None:
    for number in range(1, 9):
        over(number, ready_before=number % 3)
    over(9, ready_before=-1)
    over(10, ready_before=None)
    share = record_of_promises()
    assert share is not None
    assert (share.percent, share.promised, share.kept) == (80, 10, 8)
    assert share.low_percent < 80 < share.high_percent


def test_declined_units_dates_by_hand_and_days_ahead_do_not_count(over: Callable[..., Unit]) -> None:
    over(1, ready_before=None, ending="declined")
    by_hand = over(2, ready_before=None)
    Promise.objects.create(unit=by_hand, on=TUESDAY, percent=80, basis='{"plan": 1}')
    assert [outcome.on for outcome in outcomes()] == [TUESDAY - timedelta(days=10)]
    Promise.objects.create(unit=by_hand, on=TUESDAY - timedelta(days=3), percent=9, basis='{"given_by": "owner"}')
    assert len(outcomes()) == 1


def test_a_date_that_was_taken_back_before_its_day_was_over_does_not_count(
    over: Callable[..., Unit], write_up: WriteUp, owner: Actor
) -> None:
    unit, on = write_up(1), TUESDAY - timedelta(days=10)

    def told(days_before: int) -> None:
        with time_machine.travel(NOW - timedelta(days=10 + days_before), tick=False):
            steps.write_promise(unit, owner, on=on, percent=80, figures={"plan": 1})

    def taken_back(days_before: int) -> None:
        with time_machine.travel(NOW - timedelta(days=10 + days_before), tick=False):
            steps.withdraw_promise(actor=owner, unit=unit)

    told(9)
    assert len(outcomes()) == 1
    taken_back(7)
    assert outcomes() == []
    told(5)
    assert len(outcomes()) == 1
    taken_back(-1)
    assert len(outcomes()) == 1
    over(2, ready_before=None)
    assert len(outcomes()) == 2


def test_a_unit_that_went_back_to_the_bench_was_not_ready(over: Callable[..., Unit]) -> None:
    unit = over(1, ready_before=2)
    assert [outcome.kept for outcome in outcomes()] == [True]
    Unit.objects.filter(pk=unit.pk).update(stage="testing")
    assert [outcome.kept for outcome in outcomes()] == [False]


def test_missed_promises_make_the_next_ones_more_careful(
    over: Callable[..., Unit], approved: WriteUp, jun: User
) -> None:
    for number in range(1, 9):
        approved(number)
    plan()
    before = promise(approved(90))
    for number in range(30, 60):
        over(number, ready_before=None, stage="intake")
    after = promise(approved(91))
    assert json.loads(before.basis)["used_percent"] == 80
    assert json.loads(after.basis)["used_percent"] > 95
    assert after.on > before.on


def test_the_customers_language_is_the_languages_of_the_reason(
    approved: WriteUp, jun: User, ada: Customer, frozen: Traveller
) -> None:
    Customer.objects.filter(pk=ada.pk).update(language="xx")
    unit = approved(1)
    plan()
    promise(unit)
    Hold.objects.create(unit=unit, kind="parts", due_on=TUESDAY + timedelta(days=20))
    frozen.shift(timedelta(hours=1))
    plan()
    assert len(moved()) == 1


def test_it_asks_the_database_as_often_however_much_is_planned(approved: WriteUp, jun: User) -> None:
    counts = []
    for more in (2, 10):
        for _number in range(more):
            approved(Unit.objects.count() + 1)
        plan()
        unit = Unit.objects.get(pk=approved(Unit.objects.count() + 1).pk)
        with CaptureQueriesContext(connection) as caught:
            promise(unit)
        counts.append(len(caught))
    assert counts[0] == counts[1] <= 45
