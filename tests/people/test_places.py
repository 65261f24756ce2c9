"""Shelves, boxes and benches."""

from typing import Any

import pytest
from django.db import IntegrityError, transaction

from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.core.reasons import Missing, Refused, Stale, sentence
from shop.people.actions import add_place, change_place, retire_place
from shop.people.models import Place


def _add(actor: Actor, **changes: Any) -> Place:
    fields: dict[str, Any] = {"name": "Bench 3", "kind": "bench", "capacity": 1, "equipment": ["hot air", "microscope"]}
    return add_place(actor=actor, **(fields | changes))


def test_the_owner_adds_a_place_with_a_code_of_its_own(owner: Actor) -> None:
    place = _add(owner, equipment=["hot air", " microscope ", "hot air"])
    place.refresh_from_db()
    assert (place.name, place.kind, place.capacity) == ("Bench 3", "bench", 1)
    assert place.equipment == ["hot air", "microscope"]
    assert len(place.code) == 7
    entry = TrailEntry.objects.get(subject_id=place.id)
    assert (entry.what, entry.after) == ("place_added", "Bench 3")


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"name": "Shelf A"}, "place_name_taken", "name"),
        ({"name": " "}, "blank", "name"),
        ({"name": "x" * 41}, "too_long", "name"),
        ({"name": "Bench\t3"}, "hidden_character", "name"),
        ({"kind": "cloud"}, "not_a_choice", "kind"),
        ({"capacity": 0}, "out_of_range", "capacity"),
        ({"capacity": 501}, "out_of_range", "capacity"),
        ({"equipment": [""]}, "blank", "equipment"),
        ({"equipment": ["x"] * 21}, "out_of_range", "equipment"),
    ],
)
def test_it_refuses_a_place_that_cannot_be(
    owner: Actor, shelf: Place, changes: dict[str, Any], code: str, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        _add(owner, **changes)
    reason = refused.value.reasons[0]
    assert (reason.code, reason.field) == (code, field)
    assert sentence(reason)
    assert list(Place.objects.all()) == [shelf]


def test_only_the_owner_changes_places(technician: Actor, helper: Actor, shelf: Place) -> None:
    for actor in (technician, helper):
        with pytest.raises(Refused, match="not_permitted"):
            _add(actor)
        with pytest.raises(Refused, match="not_permitted"):
            change_place(actor=actor, place_id=shelf.id, version=1, capacity=2)
        with pytest.raises(Refused, match="not_permitted"):
            retire_place(actor=actor, place_id=shelf.id, version=1, units_there=lambda place: 0)


def test_it_changes_what_is_given_and_leaves_the_rest(owner: Actor, bench_one: Place) -> None:
    change_place(actor=owner, place_id=bench_one.id, version=1, name="Window bench")
    change_place(actor=owner, place_id=bench_one.id, version=2, capacity=2)
    change_place(actor=owner, place_id=bench_one.id, version=3, equipment=[])
    bench_one.refresh_from_db()
    assert (bench_one.name, bench_one.capacity, bench_one.equipment) == ("Window bench", 2, [])
    assert bench_one.kind == "bench"
    first = TrailEntry.objects.filter(subject_id=bench_one.id).earliest("seq")
    assert (first.what, first.before, first.after) == ("place_changed", "Bench 1", "Window bench")


def test_a_stale_page_does_not_overwrite_a_place(owner: Actor, shelf: Place) -> None:
    change_place(actor=owner, place_id=shelf.id, version=1, capacity=5)
    with pytest.raises(Stale):
        change_place(actor=owner, place_id=shelf.id, version=1, capacity=9)
    shelf.refresh_from_db()
    assert shelf.capacity == 5


def test_two_places_cannot_have_one_name(owner: Actor, shelf: Place, bench_one: Place) -> None:
    with pytest.raises(Refused, match="place_name_taken"):
        change_place(actor=owner, place_id=bench_one.id, version=1, name="Shelf A")
    bench_one.refresh_from_db()
    assert (bench_one.name, bench_one.version) == ("Bench 1", 1)


def test_a_place_where_units_lie_stays_in_use(owner: Actor, shelf: Place) -> None:
    with pytest.raises(Refused) as refused:
        retire_place(actor=owner, place_id=shelf.id, version=1, units_there=lambda place: 3)
    assert refused.value.code == "place_occupied"
    assert sentence(refused.value.reasons[0]).startswith("3 units lie in Shelf A.")
    shelf.refresh_from_db()
    assert shelf.retired_at is None


def test_units_are_counted_under_the_lock_of_the_place(owner: Actor, shelf: Place) -> None:
    asked: list[tuple[Place, bool]] = []

    def count(place: Place) -> int:
        asked.append((place, transaction.get_connection().in_atomic_block))
        return 0

    retire_place(actor=owner, place_id=shelf.id, version=1, units_there=count)
    assert asked == [(shelf, True)]


def test_an_empty_place_can_be_taken_out_of_use_and_twice_is_once(owner: Actor, shelf: Place) -> None:
    first = retire_place(actor=owner, place_id=shelf.id, version=1, units_there=lambda place: 0)
    again = retire_place(actor=owner, place_id=shelf.id, version=2, units_there=lambda place: 0)
    assert first.retired_at == again.retired_at
    assert [entry.what for entry in TrailEntry.objects.filter(subject_id=shelf.id)] == ["place_retired"]


def test_it_says_that_there_is_no_such_place(owner: Actor) -> None:
    with pytest.raises(Missing):
        change_place(actor=owner, place_id="nowhere", version=1, capacity=2)


def test_the_database_itself_wants_room_for_one(shelf: Place) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Place.objects.filter(pk=shelf.pk).update(capacity=0)
