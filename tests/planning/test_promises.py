"""Promising a date from what is ahead, or by hand."""

import json
from collections.abc import Callable
from datetime import date, timedelta

import pytest
from pytest_django import DjangoAssertNumQueries
from time_machine import Traveller

from shop.boards.models import DeviceModel, Service
from shop.core.actor import STRANGER, SYSTEM, Actor
from shop.core.models import ShopProfile, TrailEntry
from shop.core.reasons import Refused, Stale, sentence
from shop.people.models import Customer, Place, User
from shop.planning import queries, steps
from shop.planning.actions import promise_by_hand
from shop.planning.models import Promise
from shop.quotes.models import QuoteVersion
from shop.units.models import Hold, Unit
from shop.work.models import WorkInterval
from tests.conftest import NOW

TUESDAY = date(2026, 3, 10)
WEDNESDAY = date(2026, 3, 11)
pytestmark = pytest.mark.usefixtures("frozen")


def promise(unit: Unit, actor: Actor = SYSTEM, **asked: int) -> Promise:
    made = steps.promise_reckoned(actor=actor, unit=unit, day=steps.reckon(unit, TUESDAY, **asked))
    assert made is not None
    return made


def likely(unit: Unit) -> float:
    return queries.estimates([unit])[unit.pk].likely_min


def test_it_promises_a_date_with_its_confidence_and_the_figures_behind_it(
    write_up: Callable[..., Unit], recap: Service
) -> None:
    unit = write_up(2, recap)
    write_up(1, recap, hours=5)
    made = promise(unit)
    assert (made.on, made.percent) == (WEDNESDAY, 80)
    basis = json.loads(made.basis)
    assert basis["units_ahead"] == 1
    assert basis["own_min"] == [90, 120, 240]
    assert basis["minutes_ahead"] == 135
    assert (basis["mean_min"], basis["minutes_until"], basis["minutes_a_day"]) == (270, 300, 300)
    assert basis["chance_percent"] >= 80
    assert made.basis == json.dumps(basis, sort_keys=True, separators=(",", ":"))


def test_it_writes_the_units_date_and_its_trail(write_up: Callable[..., Unit], recap: Service) -> None:
    unit = write_up(1, recap)
    made = promise(unit)
    unit.refresh_from_db()
    assert (unit.promised_on, unit.promise_percent, unit.version) == (WEDNESDAY, 80, 2)
    entry = TrailEntry.objects.get(subject_id=unit.pk)
    assert (entry.what, entry.before, entry.after) == ("promised", "", "2026-03-11")
    assert json.loads(entry.facts) == {"percent": 80, "promise": str(made.pk)}
    assert queries.latest(unit) == made


def test_it_leaves_a_date_alone_that_stands(write_up: Callable[..., Unit], recap: Service) -> None:
    unit = write_up(1, recap)
    made = promise(unit)
    assert promise(unit) == made
    assert unit.version == 2


def test_it_moves_the_date_when_more_work_came_before_it(
    write_up: Callable[..., Unit], recap: Service, frozen: Traveller
) -> None:
    unit = write_up(10, recap)
    promise(unit)
    frozen.shift(timedelta(minutes=1))
    for number in range(1, 5):
        write_up(number, recap, stage="bench")
    assert promise(unit).on > WEDNESDAY
    assert [row.what for row in TrailEntry.objects.filter(subject_id=unit.pk)] == ["promised", "promised"]
    newest = queries.latest(unit)
    assert newest is not None
    assert newest.on == unit.promised_on


def test_it_waits_for_parts_that_are_due(write_up: Callable[..., Unit], recap: Service) -> None:
    unit = write_up(1, recap)
    Hold.objects.create(unit=unit, kind="parts", due_on=date(2026, 3, 20))
    made = promise(unit)
    assert made.on == date(2026, 3, 20)
    assert json.loads(made.basis)["earliest_start"] == "2026-03-20"


def test_it_takes_longer_in_a_shop_that_works_less(write_up: Callable[..., Unit], recap: Service) -> None:
    unit = write_up(1, recap)
    quick = promise(unit).on
    ShopProfile.objects.update(minutes_per_day=60)
    assert promise(unit).on > quick


def test_it_counts_what_is_ahead_by_stage_and_waiting_time(
    write_up: Callable[..., Unit], recap: Service, ada: Customer, lantern: DeviceModel
) -> None:
    unit = write_up(5, recap, hours=2)
    earlier, later = write_up(6, hours=3), write_up(4, hours=1)
    bench, testing = write_up(7, stage="bench"), write_up(8, stage="testing")
    write_up(2, stage="intake", hours=9), write_up(3, stage="pickup", hours=9)
    write_up(9, stage="pickup", hours=9, outcome="collected", left_at=NOW)
    asked, silent, short, unpaid = (write_up(number, hours=9) for number in (11, 12, 13, 14))
    Hold.objects.create(unit=asked, kind="approval")
    Hold.objects.create(unit=silent, kind="customer")
    Hold.objects.create(unit=short, kind="parts")
    Hold.objects.create(unit=unpaid, kind="deposit")
    assert {ahead.number for ahead in queries.ahead_of(unit)} == {6, 7, 8, 13}
    assert earlier in queries.ahead_of(later)
    assert queries.ahead_of(bench) == [testing]
    Hold.objects.filter(unit=asked).update(lifted_at=NOW)
    assert asked in queries.ahead_of(unit)


def test_it_counts_approved_services_once_and_leaves_declined_options_out(
    write_up: Callable[..., Unit], approve: Callable[..., QuoteVersion], recap: Service, video_board: Service
) -> None:
    unit = write_up(1, recap, video_board)
    assert likely(unit) == 90 + 60 + 30
    approve(unit, recap, left=(video_board,))
    assert likely(unit) == 90 + 30
    approve(unit, recap, video_board, edition=2)
    assert likely(unit) == 90 + 60 + 30


def test_it_expects_a_diagnosis_a_mend_or_a_closing_where_that_is_what_comes(
    write_up: Callable[..., Unit], recap: Service
) -> None:
    assert likely(write_up(1)) == queries.DIAGNOSIS_MIN
    assert likely(write_up(2, recap, test_round=3)) == 90 + 30 + 2 * queries.MEND_MIN
    assert likely(write_up(3, recap, ending="declined")) == queries.CLOSING_MIN


def test_it_takes_off_what_was_worked_but_never_all(
    write_up: Callable[..., Unit], recap: Service, bench_one: Place, jun: User
) -> None:
    unit = write_up(1, recap, stage="bench")
    began = NOW - timedelta(minutes=100)
    interval = WorkInterval.objects.create(unit=unit, user=jun, bench=bench_one, began_at=began)
    left = queries.estimates([unit])[unit.pk]
    assert (left.low_min, left.likely_min, left.high_min) == (15, 20, 140)
    interval.began_at = NOW - timedelta(days=2)
    interval.save()
    left = queries.estimates([unit])[unit.pk]
    assert (left.low_min, left.likely_min, left.high_min) == (15, 15, 15)


@pytest.mark.parametrize("how_many", [1, 6])
def test_it_asks_the_database_as_often_however_much_is_ahead(
    write_up: Callable[..., Unit],
    approve: Callable[..., QuoteVersion],
    recap: Service,
    how_many: int,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    unit = write_up(100, recap)
    for number in range(how_many):
        approve(write_up(number, recap, hours=5), recap)
    with django_assert_num_queries(6):
        steps.situation(unit, TUESDAY)


def test_it_takes_a_date_given_by_hand_with_the_chance_it_has(
    write_up: Callable[..., Unit], recap: Service, helper: Actor
) -> None:
    unit = write_up(1, recap)
    made = promise_by_hand(
        actor=helper, unit_id=unit.pk, version=1, on=date(2026, 3, 28), words="She comes by on Saturday"
    )
    assert (made.on, made.percent) == (date(2026, 3, 28), 99)
    unit.refresh_from_db()
    assert (unit.promised_on, unit.promise_percent, unit.version) == (date(2026, 3, 28), 99, 2)
    entry = TrailEntry.objects.get(subject_id=unit.pk)
    assert entry.note is not None
    assert entry.note.text == "She comes by on Saturday"
    assert "Saturday" not in entry.facts + made.basis
    hasty = promise_by_hand(actor=helper, unit_id=unit.pk, version=2, on=TUESDAY)
    assert hasty.percent == 1


def test_it_refuses_dates_in_the_past_and_beyond_a_year_by_the_shops_calendar(
    write_up: Callable[..., Unit], recap: Service, helper: Actor, frozen: Traveller
) -> None:
    unit = write_up(1, recap)
    frozen.move_to("2026-03-11T02:00:00+00:00")  # still Tuesday in the shop
    with pytest.raises(Refused) as refused:
        promise_by_hand(actor=helper, unit_id=unit.pk, version=1, on=date(2026, 3, 9))
    assert "today is 2026-03-10" in sentence(refused.value.reasons[0])
    with pytest.raises(Refused) as refused:
        promise_by_hand(actor=helper, unit_id=unit.pk, version=1, on=date(2027, 3, 11))
    assert "until 2027-03-10" in sentence(refused.value.reasons[0])
    assert promise_by_hand(actor=helper, unit_id=unit.pk, version=1, on=TUESDAY).on == TUESDAY
    assert promise_by_hand(actor=helper, unit_id=unit.pk, version=2, on=date(2027, 3, 10)).percent == 99


def test_it_refuses_a_stale_page_a_unit_that_left_and_strangers(
    write_up: Callable[..., Unit], recap: Service, helper: Actor
) -> None:
    unit = write_up(1, recap)
    with pytest.raises(Stale):
        promise_by_hand(actor=helper, unit_id=unit.pk, version=7, on=WEDNESDAY)
    with pytest.raises(Refused, match="not_permitted"):
        promise_by_hand(actor=STRANGER, unit_id=unit.pk, version=1, on=WEDNESDAY)
    with pytest.raises(Refused, match="too_long"):
        promise_by_hand(actor=helper, unit_id=unit.pk, version=1, on=WEDNESDAY, words="x" * 301)
    Unit.objects.filter(pk=unit.pk).update(stage="pickup", outcome="collected", left_at=NOW)
    with pytest.raises(Refused, match="unit_left"):
        promise_by_hand(actor=helper, unit_id=unit.pk, version=1, on=WEDNESDAY)
    assert not Promise.objects.exists()


def test_it_shows_the_load(
    write_up: Callable[..., Unit],
    recap: Service,
    jun: User,
    ottilie: User,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    write_up(1, recap), write_up(2)
    write_up(3, recap, stage="bench", technician=jun), write_up(4, stage="testing", technician=jun)
    write_up(5, stage="bench", technician=ottilie), write_up(6, stage="pickup", technician=ottilie)
    with django_assert_num_queries(4):
        load = queries.load()
    assert load.by_stage == {"intake": 0, "queue": 2, "bench": 2, "testing": 1, "pickup": 1}
    assert load.minutes_waiting == 135 + 34
    assert [(one.name, one.units, one.minutes) for one in load.technicians] == [
        ("Jun Okafor", 2, 169),
        ("Ottilie Brandt", 1, 34),
    ]
