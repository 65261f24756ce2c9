"""Load and flow read from the trail, the clocks at the benches and the plan."""

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta

import pytest
from pytest_django import DjangoAssertNumQueries

from shop.boards.models import Service
from shop.core import trail
from shop.core.actor import SYSTEM
from shop.core.models import ShopProfile
from shop.people.models import Place, User
from shop.planning.models import Plan
from shop.planning.shown.flow import WINDOW, flow_shown, visits_since
from shop.units.models import Unit
from shop.work.models import WorkInterval
from tests.conftest import NOW

WriteUp = Callable[..., Unit]
pytestmark = pytest.mark.usefixtures("frozen")


def walk(unit: Unit, *steps: tuple[str, str, float]) -> None:
    """Write (what, stage, days ago) into a unit's trail."""
    for what, stage, ago in steps:
        trail.write(unit, SYSTEM, what, after=stage, happened_at=NOW - timedelta(days=ago))


def test_it_reads_visits_from_the_trail_and_not_places_that_are_called_like_stages(write_up: WriteUp) -> None:
    gone, here = write_up(1, stage="pickup", outcome="collected", left_at=NOW), write_up(2)
    walk(gone, ("written_up", "intake", 5), ("placed", "pickup", 4), ("moved", "queue", 4), ("left", "collected", 1))
    walk(here, ("written_up", "intake", 2), ("moved", "queue", 1.5))
    found = {(visit.unit == str(gone.pk), visit.stage): visit for visit in visits_since(NOW - WINDOW)}
    assert len(found) == 4
    assert found[True, "queue"].until == NOW - timedelta(days=1)
    assert found[False, "queue"].until is None


def test_it_counts_days_and_checks_itself_by_littles_law(write_up: WriteUp) -> None:
    for number in range(1, 7):
        unit = write_up(number)
        walk(unit, ("written_up", "intake", 2 * number), ("moved", "queue", 2 * number - 0.5))
    seen = flow_shown()
    assert (seen.days[0].on, seen.days[-1].on) == (date(2026, 2, 10), date(2026, 3, 10))
    assert (sum(day.came for day in seen.days), seen.days[-1].in_work) == (6, 6)
    assert [(row.stage, row.ended, row.going_on) for row in seen.stages] == [("intake", 6, 0), ("queue", 0, 6)]
    assert seen.law is not None
    assert seen.law.discrepancy == pytest.approx(seen.law.carried_in - seen.law.cut_off, abs=1e-9)
    assert seen.law.per_day == pytest.approx(6 / 28)


def test_it_says_who_was_busy_and_who_will_be(
    write_up: WriteUp, jun: User, bench_one: Place, recap: Service, shop: ShopProfile
) -> None:
    unit = write_up(1, recap, stage="bench", technician=jun)
    began = datetime(2026, 3, 9, 13, 0, tzinfo=UTC)
    for minutes in (60, 90):  # two clocks at once count once
        WorkInterval.objects.create(
            unit=write_up(10 + minutes, recap), user=jun, bench=bench_one, began_at=began,
            ended_at=began + timedelta(minutes=minutes),
        )  # fmt: skip
    plan = Plan.objects.create(starts_at=NOW, stored_at=NOW)
    plan.steps.create(
        unit=unit, key="a", kind="bench", technician=jun, begins_at=NOW, ends_at=NOW + timedelta(days=1), minutes=2900
    )
    [use] = flow_shown().people
    assert (use.worked_min, use.there_min) == (90, 20 * 300)
    assert use.share == pytest.approx(90 / 6000)
    assert use.planned_share == pytest.approx(2900 / 3000)
    [jam] = flow_shown().jams
    assert (jam.where, jam.code) == (str(jun.pk), "utilisation_high")


def test_it_warns_of_a_stage_that_fills_up(write_up: WriteUp) -> None:
    for number in range(1, 15):
        walk(write_up(number), ("written_up", "intake", 20 - number), ("moved", "queue", 20 - number))
    jams = {(jam.where, jam.code) for jam in flow_shown().jams}
    assert jams == {("queue", "queue_growing")}


def test_a_clock_that_runs_over_night_counts_working_time(write_up: WriteUp, jun: User, bench_one: Place) -> None:
    began = datetime(2026, 3, 5, 17, 0, tzinfo=UTC)  # 12:00, two hours before closing, two nights ago
    WorkInterval.objects.create(
        unit=write_up(1), user=jun, bench=bench_one, began_at=began, ended_at=began + timedelta(days=1)
    )
    assert flow_shown().people[0].worked_min == 120 + 180


def test_an_empty_shop_has_nothing_to_say(shop: ShopProfile) -> None:
    seen = flow_shown()
    assert (seen.law, seen.wait, seen.jams, seen.people, seen.stages) == (None, None, [], [], [])
    assert len(seen.days) == 29


@pytest.mark.parametrize("count", [1, 12])
def test_it_asks_as_often_for_many_units_as_for_one(
    write_up: WriteUp, jun: User, count: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(count):
        walk(write_up(number + 1), ("written_up", "intake", 3), ("moved", "queue", 2))
    with django_assert_num_queries(8):
        flow_shown()
