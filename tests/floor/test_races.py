"""Two people, one unit, one moment."""

import threading
from collections.abc import Callable
from typing import Any

import pytest
from django.db import connection, transaction

from shop.core.reasons import Refused
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows import bench
from shop.floor.stages import Move
from shop.people.models import Place
from shop.units.models import Unit
from tests.core.together import together
from tests.floor.conftest import FEE, now

pytestmark = pytest.mark.usefixtures("transactional_db")


def test_one_of_two_starts_the_unit_and_the_other_is_told_why(queued: Journey) -> None:
    house = queued.house
    benches = iter(house.benches)
    choose = threading.Lock()

    def start() -> Unit:
        with choose:
            chosen = next(benches)
        return bench.start(
            actor=house.technician, unit_id=queued.unit.id, move=Move.START_DIAGNOSIS, bench_id=chosen.id
        )  # fmt: skip

    found = together(2, start)
    winners = [result for result in found if isinstance(result, Unit)]
    losers = [result for result in found if isinstance(result, Refused)]
    assert (len(winners), len(losers)) == (1, 1)
    assert losers[0].code == "wrong_stage"
    unit = now(queued)
    assert unit.place == winners[0].place


def test_two_units_do_not_both_take_the_last_room(house: House, noor: Any) -> None:
    Place.objects.filter(pk=house.benches[0].pk).update(capacity=1)
    waiting = [
        Journey(house, days_ago=2, seed=seed).arrive(noor, "lantern", [], complaint="x", **FEE).take_in().unit
        for seed in range(2)
    ]
    todo = iter(waiting)
    choose = threading.Lock()

    def start() -> Unit:
        with choose:
            unit = next(todo)
        return bench.start(
            actor=house.technician, unit_id=unit.id, move=Move.START_DIAGNOSIS, bench_id=house.benches[0].id
        )  # fmt: skip

    found = together(2, start)
    assert sorted(getattr(result, "code", "won") for result in found) == ["place_full", "won"]
    assert Unit.objects.filter(place=house.benches[0]).count() == 1


def interleaved(look: Callable[[], bool], write: Callable[[], None]) -> list[bool]:
    """Two people look, both before either writes: what happens to a check that holds no lock."""
    both_looked = threading.Barrier(2)

    def one() -> bool:
        free = look()
        both_looked.wait(timeout=10)
        if free:
            with transaction.atomic():
                write()
        return free

    return [result for result in together(2, one) if isinstance(result, bool)]


def test_control_without_the_lock_both_would_win(queued: Journey) -> None:
    unit_id = queued.unit.id

    def look() -> bool:
        free = Unit.objects.get(pk=unit_id).stage == "queue"
        connection.close()
        return free

    def write() -> None:
        Unit.objects.filter(pk=unit_id).update(stage="bench", visit="diagnosis")

    assert interleaved(look, write) == [True, True]
