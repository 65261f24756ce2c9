"""What a scan offers, at a bench and away from one."""

import pytest

from shop.core.actor import Actor, Role
from shop.core.reasons import Refused
from shop.floor.demo.journeys import Journey
from shop.floor.scans import Found, found_place, found_unit
from shop.floor.stages import Move
from shop.people.models import Place
from shop.units import queries


def scan(journey: Journey, at: Place | None) -> Found:
    unit = queries.one(journey.unit.id)
    return found_unit(actor=journey.house.technician, unit=unit, bag=queries.tag_of(unit), bench=at)


def moves(found: Found) -> list[Move]:
    return [offer.move for offer in found.offers]


def test_at_a_bench_a_waiting_unit_offers_what_begins_there(queued: Journey) -> None:
    found = scan(queued, queued.house.benches[0])
    assert moves(found) == [Move.START_DIAGNOSIS, Move.START_WORK]
    assert [offer.open for offer in found.offers] == [True, False]
    assert not found.place_here


def test_at_its_own_bench_a_unit_offers_what_ends_there_and_at_another_nothing(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0)
    here, elsewhere = approved.house.benches[:2]
    assert moves(scan(approved, here)) == [Move.PARK, Move.FINISH_BENCH]
    assert moves(scan(approved, elsewhere)) == []


def test_at_a_bench_a_unit_in_testing_passes_or_fails(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0).work()
    assert set(moves(scan(approved, approved.house.benches[0]))) == {Move.PASS_TEST, Move.FAIL_TEST}


def test_at_another_shelf_a_unit_may_be_placed_and_at_its_own_it_lies_already(queued: Journey) -> None:
    own = queries.one(queued.unit.id).place
    other = Place.objects.get(name="Shelf B")
    assert scan(queued, other).place_here
    assert not scan(queued, own).place_here
    assert not scan(queued, None).place_here


def test_a_unit_at_work_is_not_placed_on_a_shelf(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0)
    assert not scan(approved, Place.objects.get(name="Shelf B")).place_here


def test_away_from_a_bench_every_sensible_move_is_shown_with_its_reasons(diagnosed: Journey) -> None:
    diagnosed.quote()
    offers = {offer.move: [reason.code for reason in offer.reasons] for offer in scan(diagnosed, None).offers}
    assert offers[Move.START_WORK] == ["quote_waiting"]
    assert Move.START_CLOSING not in offers


def test_what_left_offers_nothing(ready: Journey) -> None:
    ready.leaves()
    found = scan(ready, Place.objects.get(name="Shelf B"))
    assert (found.offers, found.place_here) == ((), False)


def test_a_scanned_place_shows_what_lies_in_it(queued: Journey) -> None:
    place = queries.one(queued.unit.id).place
    assert place is not None
    found = found_place(actor=queued.house.technician, place=place)
    assert [unit.number for unit in found.inside] == [1]


@pytest.mark.parametrize("role", [Role.STRANGER, Role.CUSTOMER])
def test_nobody_outside_scans_a_unit(queued: Journey, role: Role) -> None:
    unit = queries.one(queued.unit.id)
    with pytest.raises(Refused, match="not_permitted"):
        found_unit(actor=Actor(role=role, id="x"), unit=unit, bag=None, bench=None)
    with pytest.raises(Refused, match="not_permitted"):
        found_place(actor=Actor(role=role, id="x"), place=queued.house.benches[0])
