"""What flows do to a locked unit: places, holds, parcels, leaving."""

from collections.abc import Iterator
from datetime import date

import pytest
from django.db import transaction

from shop.core import clock
from shop.core.actor import Actor
from shop.core.locks import lock
from shop.core.models import ShopProfile
from shop.core.reasons import Missing, Refused
from shop.people.models import Place
from shop.units import steps
from shop.units.models import Announcement, Consent, Hold, Unit
from tests.units.conftest import trail


@pytest.fixture
def locked(unit: Unit) -> Iterator[Unit]:
    with transaction.atomic():
        yield lock(Unit, pk=unit.pk)


def test_a_move_writes_stage_visit_and_since_when(locked: Unit, technician: Actor, frozen: object) -> None:
    steps.move(locked, technician, to="bench", visit="work", note="off we go")
    stored = Unit.objects.get(pk=locked.pk)
    assert (stored.stage, stored.visit, stored.stage_since) == ("bench", "work", clock.now())
    assert stored.version == locked.version


def test_a_stage_that_is_none_is_refused_before_it_is_stored(locked: Unit, technician: Actor) -> None:
    with pytest.raises(ValueError, match="limbo"):
        steps.move(locked, technician, to="limbo")
    assert Unit.objects.get(pk=locked.pk).stage == "queue"


def test_a_unit_that_lies_there_already_takes_no_more_room(locked: Unit, helper: Actor, shelf: Place) -> None:
    Place.objects.filter(pk=shelf.pk).update(capacity=1)
    assert steps.put(locked, helper, shelf.id) == shelf
    assert trail(locked) == []


def test_a_place_takes_what_it_holds(locked: Unit, own_unit: Unit, helper: Actor, bench_two: Place) -> None:
    steps.put(locked, helper, bench_two.id)
    with pytest.raises(Refused) as refused:
        steps.put(own_unit, helper, bench_two.id)
    assert (refused.value.code, refused.value.reasons[0].facts["inside"]) == ("place_full", 1)
    steps.move(locked, helper, to="pickup")
    steps.leave(locked, helper, "collected")
    assert steps.put(own_unit, helper, bench_two.id) == bench_two


def test_a_retired_or_unknown_place_takes_nothing(locked: Unit, helper: Actor, bench_one: Place) -> None:
    Place.objects.filter(pk=bench_one.pk).update(retired_at=clock.now())
    with pytest.raises(Refused, match="place_retired"):
        steps.put(locked, helper, bench_one.id)
    with pytest.raises(Missing):
        steps.put(locked, helper, locked.id)


def test_the_first_kind_with_room_is_chosen_by_name(
    unit: Unit, shelf: Place, bench_one: Place, bench_two: Place
) -> None:
    assert steps.free_place(kinds=["bench"]) == bench_one
    Unit.objects.filter(pk=unit.pk).update(place=bench_one)
    assert steps.free_place(kinds=["bench"]) == bench_two
    assert steps.free_place(kinds=["box", "shelf"]) == shelf
    assert steps.free_place(kinds=["box"]) is None


def test_a_hold_of_a_kind_is_open_once_and_lifted_once(locked: Unit, helper: Actor) -> None:
    first = steps.open_hold(locked, helper, kind="parts", text="a can", due_on=date(2026, 4, 1))
    again = steps.open_hold(locked, helper, kind="parts", text="two cans")
    assert first.pk == again.pk
    steps.open_hold(locked, helper, kind="other", text="vat day")
    assert steps.lift_holds(locked, helper, kinds=["parts"]) == 1
    assert steps.lift_holds(locked, helper, kinds=["parts"]) == 0
    assert list(Hold.objects.filter(lifted_at=None).values_list("kind", flat=True)) == ["other"]
    assert trail(locked) == ["held", "held", "held", "hold_lifted"]


def test_leaving_lifts_every_hold_and_frees_the_place(locked: Unit, helper: Actor) -> None:
    for kind in ("parts", "approval"):
        steps.open_hold(locked, helper, kind=kind)
    steps.move(locked, helper, to="pickup")
    steps.leave(locked, helper, "returned_unrepaired")
    stored = Unit.objects.get(pk=locked.pk)
    assert (stored.outcome, stored.place, stored.left_at is None) == ("returned_unrepaired", None, False)
    assert not Hold.objects.filter(lifted_at=None).exists()


def test_consents_keep_the_terms_of_their_day(locked: Unit, helper: Actor, shop: ShopProfile) -> None:
    shop.terms_work = "As of March"
    steps.record_consents(locked, helper, shop, {"work": True})
    assert Consent.objects.get().terms == "As of March"


def test_an_announcement_is_met_by_one_unit(locked: Unit, own_unit: Unit, helper: Actor) -> None:
    told = Announcement.objects.create(name="Ada", email="ada@post.example", device="Lantern", complaint="Hums")
    for _ in range(2):
        assert steps.claim_announcement(locked, helper, told.id).unit == locked
    with pytest.raises(Refused, match="announcement_used"):
        steps.claim_announcement(own_unit, helper, told.id)


def test_parcels_come_and_go(locked: Unit, helper: Actor) -> None:
    for direction in ("in", "out"):
        steps.record_parcel(
            locked, helper, direction=direction, carrier="Coastal Post", tracking="1", declared_minor=9000
        )  # fmt: skip
    assert trail(locked) == ["parcel_arrived", "parcel_sent"]
