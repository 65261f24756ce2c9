"""Where units share a bench, the dates of the stored plan follow from its benches too."""

from collections.abc import Callable

import pytest

from shop.boards.models import Service
from shop.core.actor import SYSTEM
from shop.people.models import Place
from shop.planning import actions, solving
from shop.planning.forecasting import Foreseen, Given, foresee, order_of
from shop.planning.gathering import gather
from shop.units.models import Unit

WriteUp = Callable[..., Unit]
pytestmark = pytest.mark.usefixtures("frozen", "ottilie", "jun")


@pytest.fixture
def four(write_up: WriteUp, recap: Service) -> list[Unit]:
    return [write_up(number, recap, free_of_charge=True) for number in range(1, 5)]


def foreseen() -> tuple[list[Given], Foreseen]:
    run = actions.make_plan(actor=SYSTEM, effort=solving.QUICK)
    gathered = gather()
    order = order_of(gathered, run.steps.all())
    return order, foresee(gathered, order, 80, 80)


def last_day(seen: Foreseen) -> int:
    return max(int(places.max()) for places in seen.dates.places.values())


def test_where_two_share_one_bench_dates_come_later(four: list[Unit], bench_one: Place) -> None:
    order, scarce = foreseen()
    assert {given.benches for given in order} == {(f"{bench_one.pk} 1",)}
    bench_one.capacity = 2
    bench_one.save()
    order, plenty = foreseen()
    assert {given.benches for given in order} == {()}
    assert last_day(scarce) > last_day(plenty)


def test_what_the_plan_does_not_know_takes_any_bench_that_suits(
    four: list[Unit], bench_one: Place, bench_two: Place, write_up: WriteUp, video_board: Service
) -> None:
    run = actions.make_plan(actor=SYSTEM, effort=solving.QUICK)
    video_board.equipment = ["Hot  air"]
    video_board.save()
    key = str(write_up(9, video_board, free_of_charge=True).pk)
    bench, tests = (given.benches for given in order_of(gather(), run.steps.all()) if given.key == key)
    assert bench == (f"{bench_one.pk} 1",)
    assert set(tests) == {f"{bench_one.pk} 1", f"{bench_two.pk} 1"}


def test_a_bench_that_is_gone_leaves_any_other(four: list[Unit], bench_one: Place, bench_two: Place) -> None:
    run = actions.make_plan(actor=SYSTEM, effort=solving.QUICK)
    bench_two.retired_at = bench_two.created_at
    bench_two.save()
    assert {given.benches for given in order_of(gather(), run.steps.all())} == {(f"{bench_one.pk} 1",)}
