"""Two units want the last part at once."""

import threading
from collections.abc import Callable

import pytest
from django.db import transaction

from shop.core.actor import Actor
from shop.core.reasons import Refused
from shop.parts.models import Part
from shop.stock import queries
from shop.stock.actions import reserve_kit
from shop.stock.models import Lot, Movement
from shop.units.models import Unit
from tests.core.together import WAIT_S, side_by_side


@pytest.mark.usefixtures("transactional_db")
def test_it_gives_the_last_part_to_exactly_one_of_two_units(
    helper: Actor, first: Unit, second: Unit, can: Part, receive: Callable[[Part, int], Lot]
) -> None:
    lot = receive(can, 1)
    holds_the_lock, other_asks = threading.Event(), threading.Event()
    told: list[str] = []

    def winner() -> None:
        with transaction.atomic():
            reserve_kit(actor=helper, unit_id=first.pk, parts=[(can.pk, 1)])
            holds_the_lock.set()
            assert other_asks.wait(WAIT_S)
            # Room for the other to read what is not yet committed, if it could.
            threading.Event().wait(0.3)
            told.append("first committed")

    def loser() -> None:
        assert holds_the_lock.wait(WAIT_S)
        other_asks.set()
        try:
            reserve_kit(actor=helper, unit_id=second.pk, parts=[(can.pk, 1)])
        except Refused as refused:
            told.append(refused.code)

    side_by_side(winner, loser)
    assert told == ["first committed", "part_short"]
    assert [moved.unit for moved in Movement.objects.filter(kind="reserved")] == [first]
    lot.refresh_from_db()
    assert (lot.on_hand, lot.reserved) == (1, 1)
    assert queries.verify() == []


@pytest.mark.usefixtures("transactional_db")
def test_without_the_lock_both_would_get_it(
    first: Unit, second: Unit, can: Part, receive: Callable[[Part, int], Lot]
) -> None:
    """The control: the same look and the same write, with nothing held in between."""
    lot = receive(can, 1)
    both_have_looked = threading.Barrier(2)

    def unlocked(unit: Unit) -> None:
        seen = Lot.objects.get(pk=lot.pk)
        assert seen.on_hand - seen.reserved == 1
        both_have_looked.wait(WAIT_S)
        with transaction.atomic():
            seen.reserved += 1
            seen.save(update_fields=["reserved"])
            Movement.objects.create(lot=seen, kind="reserved", quantity=1, unit=unit)

    side_by_side(lambda: unlocked(first), lambda: unlocked(second))
    assert Movement.objects.filter(kind="reserved").count() == 2
    assert [(wrong.reserved, wrong.reserved_moved) for wrong in queries.verify()] == [(1, 2)]


@pytest.mark.usefixtures("transactional_db")
def test_it_does_not_deadlock_when_two_units_want_two_parts_in_opposite_order(
    *, helper: Actor, first: Unit, second: Unit, can: Part, regulator: Part, receive: Callable[[Part, int], Lot]
) -> None:
    receive(can, 8)
    receive(regulator, 8)
    start = threading.Barrier(2)

    def take(unit: Unit, parts: list[Part]) -> None:
        start.wait(WAIT_S)
        for count in range(1, 5):
            reserve_kit(actor=helper, unit_id=unit.pk, parts=[(part.pk, count) for part in parts])

    side_by_side(lambda: take(first, [can, regulator]), lambda: take(second, [regulator, can]))
    assert {part: there.free for part, there in queries.availability([can.pk, regulator.pk]).items()} == {
        can.pk: 0, regulator.pk: 0,
    }  # fmt: skip
    assert queries.verify() == []
