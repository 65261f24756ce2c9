"""What can be asked of units, in a fixed number of queries."""

from uuid import uuid4

import pytest
from pytest_django import DjangoAssertNumQueries

from shop.boards.models import DeviceModel
from shop.core import clock, trail
from shop.core.actor import Actor
from shop.core.models import Photo
from shop.core.reasons import Missing
from shop.people.models import Customer, Place
from shop.units import queries
from shop.units.models import Announcement, Hold, Unit, UnitPhoto, Waiting
from shop.units.steps import give_tag


def more(unit: Unit, count: int, **facts: object) -> list[Unit]:
    made = []
    for number in range(100, 100 + count):
        other = Unit.objects.create(number=number, customer=unit.customer, model=unit.model, **facts)
        give_tag(other)
        Hold.objects.create(unit=other, kind="parts", words="a can")
        made.append(other)
    return made


@pytest.mark.parametrize("count", [1, 12])
def test_company_costs_the_same_for_one_and_twelve(
    unit: Unit, count: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    more(unit, count, stage="queue", serial="S")
    with django_assert_num_queries(4):
        for found in queries.present_units():
            assert queries.tag_of(found).code
            assert str(found.model) and str(found.place) and str(found.customer)  # noqa: PT018
            assert list(found.services.all()) == []
            assert len(found.open_holds) == (found != unit)  # type: ignore[attr-defined]
    with django_assert_num_queries(4):
        assert len(queries.search("s")) >= count
    with django_assert_num_queries(4):
        assert queries.one(unit.id) == unit
    with django_assert_num_queries(2):
        queries.room_left()
    with django_assert_num_queries(1):
        queries.stage_counts()


def test_what_is_not_there_is_missing(shop: object) -> None:
    with pytest.raises(Missing):
        queries.one(uuid4())
    with pytest.raises(Missing, match="missing"):
        queries.by_number(7)


def test_those_longest_in_their_stage_come_first_and_what_left_does_not(unit: Unit) -> None:
    (newer,) = more(unit, 1)
    assert list(queries.present_units()) == [unit, newer]
    Unit.objects.filter(pk=unit.pk).update(stage="pickup", outcome="collected", left_at=clock.now(), place=None)
    assert list(queries.present_units()) == [newer]
    assert queries.stage_counts() == {"intake": 1, "queue": 0, "bench": 0, "testing": 0, "pickup": 0}
    assert queries.by_number(42) == unit


@pytest.mark.parametrize("text", ["42", "#42", "#0042", "QL-9", "ql-9", "lant", "Quill", "Kowal", "ada@post", " 42 "])
def test_a_unit_is_found_by_what_people_know_of_it(unit: Unit, text: str) -> None:
    Unit.objects.filter(pk=unit.pk).update(serial="QL-9")
    assert queries.search(text) == [unit]


@pytest.mark.parametrize("text", ["", "  ", "nobody", "4242", "#", "²", "99999999999999999999", "%", "_"])
def test_odd_words_find_nothing_and_break_nothing(unit: Unit, text: str) -> None:
    assert queries.search(text) == []


def test_a_name_beyond_ascii_is_found(lantern: DeviceModel, bao: Customer) -> None:
    unit = Unit.objects.create(number=7, customer=bao, model=lantern)
    assert queries.search("Trần") == [unit]


def test_a_search_has_an_end(unit: Unit) -> None:
    more(unit, 5)
    assert [found.number for found in queries.search("Lantern", limit=3)] == [104, 103, 102]


def test_the_same_serial_of_the_same_model_was_seen_before(unit: Unit, lantern: DeviceModel) -> None:
    Unit.objects.filter(pk=unit.pk).update(serial="QL-9")
    other = DeviceModel.objects.create(maker="Tessaro", name="Vesper", fastener_count=4)
    assert list(queries.seen_before(model_id=lantern.id, serial=" ql-9 ")) == [unit]
    assert list(queries.seen_before(model_id=other.id, serial="QL-9")) == []
    assert list(queries.seen_before(model_id=lantern.id, serial=" ")) == []
    assert list(queries.seen_before(model_id=lantern.id, serial="QL-9", not_this=unit.id)) == []


def test_room_counts_shelves_and_boxes_only(unit: Unit, shelf: Place, bench_one: Place) -> None:
    Place.objects.create(name="Sealed", kind="sealed", capacity=5)
    Place.objects.create(name="Old", kind="shelf", capacity=5, retired_at=clock.now())
    room = queries.room_left()
    assert (room.inside, room.capacity, room.full) == (1, 12, False)
    Place.objects.filter(pk=shelf.pk).update(capacity=1)
    assert queries.room_left().full


def test_the_history_is_in_order_and_is_this_units(unit: Unit, own_unit: Unit, helper: Actor) -> None:
    for what in ("first", "second"):
        trail.write(unit, helper, what)
    trail.write(own_unit, helper, "elsewhere")
    assert [entry.what for entry in queries.history(unit)] == ["first", "second"]


def test_the_customer_sees_the_pictures_meant_for_them(unit: Unit, photo: Photo) -> None:
    for meant in (True, False):
        UnitPhoto.objects.create(unit=unit, photo=photo, purpose="board", for_customer=meant)
    assert [kept.for_customer for kept in queries.photos_of(unit, for_customer=True)] == [True]
    assert queries.photos_of(unit).count() == 2


def test_lists_of_who_and_what_is_awaited(unit: Unit, ada: Customer) -> None:
    waits = Waiting.objects.create(customer=ada, device="Lantern")
    Waiting.objects.create(customer=ada, device="Vesper", ended_at=clock.now())
    told = Announcement.objects.create(name="Ada", email="a@post.example", device="Lantern", complaint="Hums")
    Announcement.objects.create(name="Ada", email="a@post.example", device="Lantern", complaint="Hums", unit=unit)
    assert list(queries.waiting_list()) == [waits]
    assert list(queries.open_announcements()) == [told]
