"""At the bench: parts from the stock, an approval that comes meanwhile, another bench, the board, holds."""

from datetime import date

import pytest

from shop.boards.models import BoardRevision
from shop.core import clock
from shop.core.models import TrailEntry
from shop.core.reasons import Missing, Refused
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows import bench, inside, quote, testing
from shop.floor.stages import Move
from shop.parts.models import Part
from shop.people.models import Customer, Place
from shop.quotes.actions import change_quote, draft_quote
from shop.quotes.operations import AddLine
from shop.stock.actions import receive_lot, reserve_kit
from shop.stock.models import Lot
from shop.stock.queries import kit, verify
from shop.units.models import Hold, Unit
from shop.work.models import WorkInterval
from shop.work.queries import open_steps
from tests.floor.conftest import LIMIT, now


def lot_of(journey: Journey, code: str, quantity: int) -> Lot:
    part = Part.objects.get(code=code)
    return receive_lot(actor=journey.house.counter, part_id=part.id, quantity=quantity, cost_minor=620)


def fitted(journey: Journey) -> dict[str, int]:
    return {line.code: line.issued for line in kit(journey.unit)}


def test_work_takes_its_parts_out_of_the_stock_once(approved: Journey) -> None:
    lot = lot_of(approved, "CAP-SET-QL", 3)
    approved.start(Move.START_WORK, 0)
    bench.park(actor=approved.house.technician, unit_id=approved.unit.id, text="lunch")
    approved.start(Move.START_WORK, 1)
    assert fitted(approved) == {"CAP-SET-QL": 1}  # no lot of the video board was ever kept: nothing is asked for it
    lot.refresh_from_db()
    assert (lot.on_hand, lot.reserved) == (2, 0)
    assert verify() == []


def test_work_does_not_start_without_a_part_that_the_shop_keeps(
    approved: Journey, house: House, noor: Customer
) -> None:
    lot_of(approved, "CAP-SET-QL", 1)
    other = Journey(house, days_ago=2, seed=4).arrive(noor, "lantern", [], complaint="Dead").unit
    wanted = [(Part.objects.get(code="CAP-SET-QL").id, 1)]
    reserve_kit(actor=house.counter, unit_id=other.id, parts=wanted)
    with pytest.raises(Refused) as refused:
        approved.start(Move.START_WORK, 0)
    assert refused.value.code == "part_short"
    assert refused.value.reasons[0].facts["missing"] == 1
    assert now(approved).stage == "queue"
    assert fitted(approved) == {}


def test_a_diagnosis_takes_no_parts(queued: Journey) -> None:
    lot = lot_of(queued, "CAP-SET-QL", 1)
    queued.start(Move.START_DIAGNOSIS, 0)
    lot.refresh_from_db()
    assert (lot.on_hand, lot.reserved) == (1, 0)


@pytest.fixture
def limited(house: House, noor: Customer) -> Journey:
    """A Firefly at work under the spending limit, for a battery."""
    journey = Journey(house, days_ago=5, seed=3).arrive(noor, "firefly", ["battery"], complaint="Forgets", **LIMIT)
    journey.take_in()
    draft = draft_quote(actor=house.counter, unit_id=journey.unit.id)
    quote.go_ahead(actor=house.counter, quote_id=draft.id)
    return journey.start(Move.START_WORK, 0).open_case()


def approve_regulator(journey: Journey) -> None:
    """The customer approves another edition, with a regulator in it."""
    draft = draft_quote(actor=journey.house.counter, unit_id=journey.unit.id)
    line = AddLine(kind="labour", words="Regulator", unit_minor=2000, service_id=journey.house.services["regulator"].id)
    change_quote(actor=journey.house.counter, quote_id=draft.id, version=draft.version, operations=[line])
    journey.quote().answer(approve=True)


def test_what_is_approved_during_the_work_comes_onto_the_sheet(limited: Journey) -> None:
    lot_of(limited, "REG-5V", 2)
    approve_regulator(limited)
    services = {step.service.code for step in open_steps(limited.unit) if step.service}
    assert services == {"battery", "regulator"}
    assert fitted(limited) == {"REG-5V": 1}


def test_an_empty_shelf_does_not_turn_the_customers_yes_away(limited: Journey) -> None:
    lot = lot_of(limited, "REG-5V", 1)
    Lot.objects.filter(pk=lot.pk).update(on_hand=0)
    approve_regulator(limited)
    assert "regulator" in {step.service.code for step in open_steps(limited.unit) if step.service}
    assert fitted(limited) == {}


def test_what_was_approved_after_the_bench_is_done_before_it_is_passed(limited: Journey) -> None:
    limited.work()
    approve_regulator(limited)
    with pytest.raises(Refused) as refused:
        limited.passes()
    reasons = {reason.code: reason.facts for reason in refused.value.reasons}
    assert reasons["agreed_not_done"]["names"] == "Regulator replacement"
    with limited.at(0.5):
        testing.fail_test(actor=limited.house.technician, unit_id=limited.unit.id, text="The regulator as well")
    limited.open_case().work().passes()
    assert now(limited).stage == "pickup"


def test_a_unit_that_moves_to_another_bench_is_worked_on_there(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0)
    house = approved.house
    moved = bench.place_unit(actor=house.technician, unit_id=approved.unit.id, place_id=house.benches[1].id)
    assert moved.place == house.benches[1]
    assert WorkInterval.objects.get(unit=moved, ended_at=None).bench == house.benches[1]
    with pytest.raises(Refused, match="not_a_bench"):
        bench.place_unit(
            actor=house.technician, unit_id=moved.id, place_id=Place.objects.get(name="Shelf A").id
        )  # fmt: skip


def test_a_unit_in_the_queue_lies_where_there_is_room(queued: Journey, house: House) -> None:
    actor, unit_id = queued.house.technician, queued.unit.id
    full = Place.objects.create(name="Narrow", kind="shelf", capacity=1)
    Unit.objects.create(number=99, model=house.models["lantern"], stage="queue", place=full)
    retired = Place.objects.create(name="Gone", kind="shelf", capacity=1, retired_at=clock.now())
    for place, code in ((full, "place_full"), (retired, "place_retired")):
        with pytest.raises(Refused, match=code):
            bench.place_unit(actor=actor, unit_id=unit_id, place_id=place.id)
    box = Place.objects.create(name="Box 1", kind="box", capacity=1)
    assert bench.place_unit(actor=actor, unit_id=unit_id, place_id=box.id).place == box
    with pytest.raises(Missing):
        bench.place_unit(actor=actor, unit_id=unit_id, place_id=unit_id)


def test_counting_fasteners_out_opens_the_unit_once(queued: Journey) -> None:
    queued.start(Move.START_DIAGNOSIS, 0)
    assert not now(queued).opened
    queued.open_case()
    assert now(queued).opened
    assert TrailEntry.objects.filter(subject_id=queued.unit.id, what="opened").count() == 1


def test_an_open_unit_without_counted_fasteners_stays_on_the_bench(queued: Journey) -> None:
    queued.start(Move.START_DIAGNOSIS, 0)
    Unit.objects.filter(pk=queued.unit.pk).update(opened=True)
    with pytest.raises(Refused, match="fasteners_not_recorded"):
        bench.park(actor=queued.house.technician, unit_id=queued.unit.id, text="lunch")


def test_a_board_of_another_model_is_not_this_units(queued: Journey) -> None:
    queued.start(Move.START_DIAGNOSIS, 0)
    foreign = BoardRevision.objects.get(marking="TV-041")
    with pytest.raises(Refused, match="revision_of_other_model"):
        inside.name_revision(actor=queued.house.technician, unit_id=queued.unit.id, revision_id=foreign.id)
    with pytest.raises(Refused, match="revision_of_other_model"):
        inside.name_revision(actor=queued.house.technician, unit_id=queued.unit.id, revision_id=queued.unit.id)


def test_holds_open_change_and_lift(queued: Journey) -> None:
    actor, unit_id = queued.house.technician, queued.unit.id
    bench.hold_unit(actor=actor, unit_id=unit_id, kind="parts", text="two cans", due_on=date(2026, 4, 1))
    bench.hold_unit(actor=actor, unit_id=unit_id, kind="parts", text="three cans")
    held = Hold.objects.get(unit_id=unit_id)
    assert (held.words, held.due_on) == ("three cans", None)
    with pytest.raises(Refused) as refused:
        queued.start(Move.START_DIAGNOSIS, 0)
    assert refused.value.reasons[0].facts["names"] == "parts (three cans)"
    bench.lift_hold(actor=actor, unit_id=unit_id, kind="parts")
    with pytest.raises(Refused, match="nothing_to_lift"):
        bench.lift_hold(actor=actor, unit_id=unit_id, kind="parts")
    queued.start(Move.START_DIAGNOSIS, 0)


@pytest.mark.parametrize("kind", ["approval", "weather"])
def test_approval_is_held_by_a_quote_alone(queued: Journey, kind: str) -> None:
    with pytest.raises(Refused, match="not_a_choice"):
        bench.hold_unit(actor=queued.house.technician, unit_id=queued.unit.id, kind=kind, text="why")


def test_starting_needs_a_bench_and_names_why_there_is_none(queued: Journey) -> None:
    facts = {"actor": queued.house.technician, "unit_id": queued.unit.id, "move": Move.START_DIAGNOSIS}
    with pytest.raises(Refused, match="bench_needed"):
        bench.start(**facts, bench_id=None)
    with pytest.raises(Refused, match="not_a_bench"):
        bench.start(**facts, bench_id=Place.objects.get(name="Shelf B").id)
    Place.objects.filter(kind="bench").update(retired_at=clock.now())
    with pytest.raises(Refused, match="no_bench_free"):
        bench.start(**facts, bench_id=None)


def test_an_old_page_starts_nothing(queued: Journey, house: House) -> None:
    with pytest.raises(Refused, match="stale"):
        bench.start(
            actor=house.technician, unit_id=queued.unit.id, move=Move.START_DIAGNOSIS, bench_id=house.benches[0].id,
            version=now(queued).version - 1,
        )  # fmt: skip
    assert now(queued).stage == "queue"
