"""Lots come in; kits are put together, given back, used up; the sums are right throughout."""

import json
from collections.abc import Callable
from datetime import timedelta
from typing import Any
from uuid import uuid4

import pytest
from django.db import IntegrityError, transaction
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries
from time_machine import Traveller

from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.core.reasons import Missing, Refused, sentence
from shop.parts.models import Part, Supplier
from shop.stock import queries
from shop.stock.actions import issue_kit, receive_lot, release_kit, reserve_kit
from shop.stock.models import Lot, Movement
from shop.units.models import Unit


def columns(lot: Lot) -> tuple[int, int]:
    lot.refresh_from_db()
    return lot.on_hand, lot.reserved


def test_it_takes_in_a_lot_with_its_movement_and_its_trail(helper: Actor, can: Part, supplier: Supplier) -> None:
    lot = receive_lot(actor=helper, part_id=can.pk, quantity=50, cost_minor=12, marking=" week 9 ")
    assert (lot.supplier, lot.marking, lot.cost_minor, columns(lot)) == (supplier, "week 9", 12, (50, 0))
    assert [(moved.kind, moved.quantity) for moved in lot.movements.all()] == [("received", 50)]
    entry = TrailEntry.objects.get(subject_id=lot.pk)
    assert (entry.subject_kind, entry.what, entry.actor_id) == ("lot", "lot_received", helper.id)


@pytest.mark.parametrize(
    ("wrong", "code"),
    [({"quantity": 0}, "out_of_range"), ({"quantity": 100_001}, "out_of_range"), ({"cost_minor": -1}, "negative_money"),
     ({"marking": "x" * 61}, "too_long"), ({"part_id": uuid4()}, "missing"), ({"supplier_id": uuid4()}, "missing")],
)  # fmt: skip
def test_it_refuses_a_lot_that_cannot_be(helper: Actor, can: Part, wrong: dict[str, Any], code: str) -> None:
    with pytest.raises(Refused, match=code):
        receive_lot(**{"actor": helper, "part_id": can.pk, "quantity": 1, **wrong})
    assert not Lot.objects.exists()


def test_it_reserves_from_the_oldest_lot_first(
    helper: Actor, first: Unit, can: Part, receive: Callable[[Part, int], Lot], frozen: Traveller
) -> None:
    newer_made_first = receive(can, 3)
    frozen.shift(timedelta(days=-1))
    older = receive(can, 4)
    made = reserve_kit(actor=helper, unit_id=first.pk, parts=[(can.pk, 6)])
    assert [(moved.lot, moved.quantity) for moved in made] == [(older, 4), (newer_made_first, 2)]
    assert (columns(older), columns(newer_made_first)) == ((4, 4), (3, 2))
    assert [(line.lot_id, line.reserved) for line in queries.kit(first)] == [(older.pk, 4), (newer_made_first.pk, 2)]


def test_it_reserves_all_or_nothing_and_names_what_is_short(
    helper: Actor, first: Unit, can: Part, regulator: Part, receive: Callable[[Part, int], Lot]
) -> None:
    lot = receive(can, 10)
    with pytest.raises(Refused) as refused:
        reserve_kit(actor=helper, unit_id=first.pk, parts=[(can.pk, 12), (regulator.pk, 1)])
    said = [sentence(reason) for reason in refused.value.reasons]
    assert said[0].startswith("2 of Capacitor 100 µF 16 V are missing: 12 are needed and 10 are free.")
    assert said[1].startswith("1 of Regulator 5 V")
    assert columns(lot) == (10, 0)
    assert not queries.kit(first)
    assert not TrailEntry.objects.filter(subject_id=first.pk).exists()


def test_it_says_beforehand_what_would_be_short(
    *, helper: Actor, first: Unit, second: Unit, can: Part, regulator: Part, receive: Callable[[Part, int], Lot]
) -> None:
    receive(can, 10)
    reserve_kit(actor=helper, unit_id=first.pk, parts=[(can.pk, 7)])
    wanted = [(can.pk, 2), (can.pk, 3), (regulator.pk, 1)]
    assert [(one.name, one.missing) for one in queries.short_for(second, wanted)] == [
        ("Capacitor 100 µF 16 V", 2),
        ("Regulator 5 V", 1),
    ]
    assert queries.short_for(first, [(can.pk, 10)]) == []


def test_it_reserves_once_when_asked_twice_and_adds_what_came_on_top(
    helper: Actor, first: Unit, can: Part, receive: Callable[[Part, int], Lot]
) -> None:
    lot = receive(can, 10)
    reserve_kit(actor=helper, unit_id=first.pk, parts=[(can.pk, 4)])
    assert reserve_kit(actor=helper, unit_id=first.pk, parts=[(can.pk, 4)]) == []
    assert columns(lot) == (10, 4)
    reserve_kit(actor=helper, unit_id=first.pk, parts=[(can.pk, 4), (can.pk, 2)])
    assert columns(lot) == (10, 6)


def test_it_gives_a_kit_back(
    helper: Actor, first: Unit, second: Unit, can: Part, receive: Callable[[Part, int], Lot]
) -> None:
    lot = receive(can, 5)
    reserve_kit(actor=helper, unit_id=first.pk, parts=[(can.pk, 5)])
    release_kit(actor=helper, unit_id=first.pk)
    assert columns(lot) == (5, 0)
    assert queries.kit(first) == []
    assert release_kit(actor=helper, unit_id=first.pk) == []
    assert reserve_kit(actor=helper, unit_id=second.pk, parts=[(can.pk, 5)])


def test_it_uses_a_kit_up_and_keeps_the_lot_traceable(
    technician: Actor, first: Unit, can: Part, receive: Callable[[Part, int], Lot]
) -> None:
    lot = receive(can, 5)
    reserve_kit(actor=technician, unit_id=first.pk, parts=[(can.pk, 3)])
    (moved,) = issue_kit(actor=technician, unit_id=first.pk)
    assert (moved.lot.cost_minor, moved.quantity) == (12, 3)
    assert columns(lot) == (2, 0)
    (line,) = queries.kit(first)
    assert (line.lot_id, line.code, line.reserved, line.issued) == (lot.pk, "cap-100u-16v", 0, 3)
    assert issue_kit(actor=technician, unit_id=first.pk) == []
    assert release_kit(actor=technician, unit_id=first.pk) == []
    assert reserve_kit(actor=technician, unit_id=first.pk, parts=[(can.pk, 3)]) == []


def test_it_writes_the_units_trail(
    technician: Actor, first: Unit, can: Part, receive: Callable[[Part, int], Lot]
) -> None:
    lot = receive(can, 5)
    reserve_kit(actor=technician, unit_id=first.pk, parts=[(can.pk, 3)])
    release_kit(actor=technician, unit_id=first.pk)
    rows = TrailEntry.objects.filter(subject_id=first.pk)
    assert [row.what for row in rows] == ["kit_reserved", "kit_released"]
    assert json.loads(rows[0].facts) == {"lots": [{"lot": str(lot.pk), "quantity": 3}]}


def test_it_refuses_unknown_parts_odd_quantities_and_units_that_left(
    helper: Actor, first: Unit, can: Part, receive: Callable[[Part, int], Lot]
) -> None:
    receive(can, 5)
    with pytest.raises(Missing):
        reserve_kit(actor=helper, unit_id=first.pk, parts=[(uuid4(), 1)])
    with pytest.raises(Refused, match="out_of_range"):
        reserve_kit(actor=helper, unit_id=first.pk, parts=[(can.pk, 0)])
    Unit.objects.filter(pk=first.pk).update(stage="pickup", outcome="collected", left_at=first.created_at)
    for act in (release_kit, issue_kit, lambda **who: reserve_kit(**who, parts=[(can.pk, 1)])):
        with pytest.raises(Refused, match="unit_left"):
            act(actor=helper, unit_id=first.pk)


def test_it_tells_what_is_there_of_each_part(
    *,
    helper: Actor,
    first: Unit,
    can: Part,
    regulator: Part,
    receive: Callable[[Part, int], Lot],
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    receive(can, 5)
    receive(can, 2)
    reserve_kit(actor=helper, unit_id=first.pk, parts=[(can.pk, 6)])
    with django_assert_num_queries(1):
        there = queries.availability([can.pk, regulator.pk])
    assert (there[can.pk].on_hand, there[can.pk].reserved, there[can.pk].free) == (7, 6, 1)
    assert there[regulator.pk].free == 0


def test_it_finds_columns_that_do_not_add_up(
    helper: Actor, first: Unit, can: Part, receive: Callable[[Part, int], Lot]
) -> None:
    sound, tampered = receive(can, 5), receive(can, 5)
    reserve_kit(actor=helper, unit_id=first.pk, parts=[(can.pk, 6)])
    assert queries.verify() == []
    Lot.objects.filter(pk=tampered.pk).update(on_hand=9, reserved=2)
    (wrong,) = queries.verify()
    assert wrong == queries.Mismatch(tampered.pk, can.code, 9, 5, 2, 1)
    assert sound.pk != wrong.lot_id


def test_it_is_the_database_that_forbids_to_reserve_more_than_there_is(
    can: Part, receive: Callable[[Part, int], Lot]
) -> None:
    lot = receive(can, 5)
    with pytest.raises(IntegrityError), transaction.atomic():
        Lot.objects.filter(pk=lot.pk).update(reserved=6)


act = st.one_of(
    st.tuples(st.just("receive"), st.integers(1, 9)),
    st.tuples(st.sampled_from(["reserve", "release", "issue"]), st.integers(0, 1), st.integers(1, 9)),
)


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(acts=st.lists(act, max_size=12))
def test_it_always_adds_up(
    *,
    helper: Actor,
    first: Unit,
    second: Unit,
    can: Part,
    receive: Callable[[Part, int], Lot],
    acts: list[tuple[Any, ...]],
) -> None:
    """Whatever is done in whatever order: columns equal movements, and nobody gets what is not there."""
    with transaction.atomic():
        for name, *given_with in acts:
            if name == "receive":
                receive(can, given_with[0])
                continue
            unit = (first, second)[given_with[0]]
            free = queries.availability([can.pk])[can.pk].free
            has = sum(line.reserved + line.issued for line in queries.kit(unit))
            if name != "reserve":
                {"release": release_kit, "issue": issue_kit}[name](actor=helper, unit_id=unit.pk)
            elif given_with[1] - has > free:
                with pytest.raises(Refused, match="part_short"):
                    reserve_kit(actor=helper, unit_id=unit.pk, parts=[(can.pk, given_with[1])])
            else:
                reserve_kit(actor=helper, unit_id=unit.pk, parts=[(can.pk, given_with[1])])
            assert queries.verify() == []
        transaction.set_rollback(True)
    assert not Movement.objects.exists()


def test_it_lets_no_stranger_near_the_stock(first: Unit, can: Part) -> None:
    from shop.core.actor import STRANGER

    for act in (release_kit, issue_kit, lambda **who: reserve_kit(**who, parts=[])):
        with pytest.raises(Refused, match="not_permitted"):
            act(actor=STRANGER, unit_id=first.pk)
    with pytest.raises(Refused, match="not_permitted"):
        receive_lot(actor=STRANGER, part_id=can.pk, quantity=1)
