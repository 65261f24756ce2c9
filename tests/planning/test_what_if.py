"""What would happen if: shown beside the plan, and nothing is changed by asking."""

from collections.abc import Callable
from datetime import date, time, timedelta

import pytest
from pytest_django import Settings

from shop.boards.models import Service
from shop.core.actor import SYSTEM, Actor
from shop.core.models import ShopProfile
from shop.people.models import User
from shop.planning import actions, solving
from shop.planning.models import Plan, PlanStep
from shop.planning.shown import what_if
from shop.units.models import Hold, Unit

WriteUp = Callable[..., Unit]
TUESDAY = date(2026, 3, 10)
pytestmark = pytest.mark.usefixtures("frozen")


@pytest.fixture
def busy(write_up: WriteUp, recap: Service, jun: User) -> list[Unit]:
    """Six comebacks of two hours each, promised two a day, for one technician who works five hours a day."""
    units = [
        write_up(number, recap, free_of_charge=True, promised_on=TUESDAY + timedelta(days=(number - 1) // 2))
        for number in range(1, 7)
    ]
    actions.make_plan(actor=SYSTEM, effort=solving.QUICK)
    return units


def test_a_unit_that_goes_first_makes_others_late_and_says_which(busy: list[Unit]) -> None:
    before = PlanStep.objects.count()
    cost = what_if.cost_of_first(busy[5])
    assert cost.own_before is not None
    assert cost.own_end is not None
    assert cost.own_end < cost.own_before
    assert cost.later
    assert busy[5] not in {change.unit for change in cost.later}
    assert any(change.days_late == 1 for change in cost.later)
    assert (PlanStep.objects.count(), Plan.objects.count()) == (before, 1)


def test_a_sick_day_moves_dates_and_another_technician_takes_work_over(busy: list[Unit], jun: User) -> None:
    away = what_if.sick_day(jun, TUESDAY)
    assert {change.unit for change in away.moved} >= set(busy[:2])
    assert all(change.later for change in away.moved)
    assert away.late_minutes_after > away.late_minutes_before
    more = what_if.third_technician("Noor")
    assert [load.name for load in more.loads] == ["Jun Okafor", "Noor"]
    assert more.loads[1].after_min > 0
    assert more.loads[0].after_min < more.loads[0].before_min


def test_a_saturday_gives_time_and_another_unit_takes_it(busy: list[Unit], recap: Service) -> None:
    saturday = what_if.extra_day(date(2026, 3, 14), time(9), time(17))
    assert saturday.late_minutes_after <= saturday.late_minutes_before
    added = what_if.add_unit([recap])
    assert added.new_end is not None
    assert added.new_end > max(change.after for change in added.changes if change.after) - timedelta(days=3)
    assert added.loads[0].after_min == added.loads[0].before_min + 90 + 15 + 15


def test_a_unit_that_nobody_can_do_says_so(busy: list[Unit], owner: Actor, jun: User) -> None:
    glass = Service.objects.create(code="glass", name="Glass", skill="glass blowing")
    for user in User.objects.exclude(role="counter"):
        actions.set_skill(actor=owner, technician_id=user.pk, skill="etching", percent=100)
    added = what_if.add_unit([glass])
    assert added.new_end is None
    assert added.new_reason is not None
    assert added.new_reason.code == "nobody_has_skill"


def test_a_unit_that_waits_has_no_cost(busy: list[Unit], write_up: WriteUp) -> None:
    waiting = write_up(9)
    Hold.objects.create(unit=waiting, kind="approval")
    cost = what_if.cost_of_first(waiting)
    assert (cost.own_before, cost.own_end) == (None, None)


def test_without_a_planner_nothing_can_be_said(busy: list[Unit], settings: Settings) -> None:
    settings.PLANNING_MEMORY_MB = 30
    found = what_if.third_technician("Noor")
    assert found.reason is not None
    assert (found.changes, found.reason.code in {"planner_memory", "planner_broke"}) == ([], True)


def test_an_empty_shop_can_ask_too(shop: ShopProfile, jun: User, recap: Service) -> None:
    assert what_if.sick_day(jun, TUESDAY).changes == []
    assert what_if.add_unit([recap]).new_end is not None
