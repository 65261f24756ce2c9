"""From the counter to the queue."""

import dataclasses
from typing import Any
from uuid import UUID

import pytest

from shop.core.reasons import Missing, Refused
from shop.floor.customer_view import view_of
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows import bench, intake, pickup
from shop.floor.flows.intake import WriteUp
from shop.floor.stages import Move
from shop.notices.models import Envelope, Notice
from shop.people.models import Customer, Place
from shop.units import actions, queries
from shop.units.models import Announcement, Bag, Consent, Unit
from tests.floor.conftest import FEE, LIMIT, now


def write_up(house: House, customer: Customer | None, **given: Any) -> Unit:
    facts = {"complaint": "No sound", "consents": {"save_data": True, "pictures": False, "work": True}} | given
    asked = WriteUp(customer_id=customer.id if customer else None, model_id=house.models["lantern"].id, **facts)
    return intake.write_up(actor=house.counter, given=asked)


def test_it_gives_a_unit_its_number_tag_link_and_a_message(house: House, noor: Customer) -> None:
    unit = write_up(house, noor)
    assert (unit.number, unit.stage) == (1, "intake")
    assert Bag.objects.get(unit=unit).kind == "unit"
    assert Notice.objects.get(unit=unit).event == "received"
    assert {(row.kind, row.given) for row in Consent.objects.filter(unit=unit)} == {
        ("save_data", True), ("pictures", False), ("work", True)
    }  # fmt: skip


def test_the_terms_are_kept_as_they_were_shown(house: House, noor: Customer) -> None:
    unit = write_up(house, noor)
    assert "Save data" in Consent.objects.get(unit=unit, kind="save_data").terms


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"announcement_code": "ZZZ-ZZZZZ"}, "announcement_unknown"),
        ({"agreed": "limit"}, "limit_needs_amount"),
        ({"agreed": "anything"}, "not_a_choice"),
        ({"spending_limit_minor": -1}, "negative_money"),
        ({"complaint": " "}, "blank"),
    ],
)
def test_a_mistake_writes_nothing_and_uses_no_number(
    house: House, noor: Customer, given: dict[str, Any], code: str
) -> None:
    with pytest.raises(Refused) as refused:
        write_up(house, noor, **given)
    assert refused.value.code == code
    assert not Unit.objects.exists()
    assert not Envelope.objects.exists()
    assert write_up(house, noor).number == 1


def test_an_unknown_model_or_earlier_unit_is_refused(house: House, noor: Customer) -> None:
    with pytest.raises(Refused, match="model_unknown"):
        intake.write_up(actor=house.counter, given=WriteUp(customer_id=noor.id, model_id=UUID(int=7), complaint="x"))
    with pytest.raises(Missing):
        write_up(house, noor, earlier_unit_id=UUID(int=7))


def test_a_parcel_meets_its_announcement_once(house: House, noor: Customer) -> None:
    told = {"name": "Noor", "email": "noor@post.example", "phone": "", "device": "Lantern", "complaint": "Grey"}
    made = intake.announce(actor=dataclasses.replace(house.counter), **told)
    unit = write_up(house, noor, by_mail=True, announcement_code=made.code)
    assert Announcement.objects.get().unit == unit
    with pytest.raises(Refused, match="announcement_used"):
        write_up(house, noor, announcement_code=made.code)


def test_it_waits_for_the_answers_to_the_terms(house: House, noor: Customer) -> None:
    unit = write_up(house, noor, consents={"work": True})
    with pytest.raises(Refused, match="consents_missing"):
        intake.take_in(actor=house.counter, unit_id=unit.id)


def test_a_full_shop_says_so_and_takes_nothing_in(house: House, noor: Customer) -> None:
    Place.objects.filter(kind="shelf").update(capacity=1)
    for _ in range(2):
        intake.take_in(actor=house.counter, unit_id=write_up(house, noor).id)
    assert queries.room_left().full
    third = write_up(house, noor)
    with pytest.raises(Refused, match="no_room"):
        intake.take_in(actor=house.counter, unit_id=third.id)
    assert Unit.objects.get(pk=third.pk).stage == "intake"


def test_insects_are_sealed_in_until_they_are_gone(house: House, noor: Customer) -> None:
    unit = write_up(house, noor, **FEE)
    finding = actions.add_finding(actor=house.counter, unit_id=unit.id, kind="insects")
    shelf = Place.objects.get(name="Shelf A")
    with pytest.raises(Refused, match="not_sealed"):
        intake.take_in(actor=house.counter, unit_id=unit.id, place_id=shelf.id)
    taken = intake.take_in(actor=house.counter, unit_id=unit.id)
    assert taken.place is not None
    assert taken.place.kind == "sealed"
    start = {
        "actor": house.technician,
        "unit_id": unit.id,
        "move": Move.START_DIAGNOSIS,
        "bench_id": house.benches[0].id,
    }
    with pytest.raises(Refused, match="insects_loose"):
        bench.start(**start)
    actions.settle_finding(actor=house.technician, finding_id=finding.id, text="Two days in the freezer")
    assert bench.start(**start).stage == "bench"


def test_a_refused_unit_goes_back_with_the_reason(house: House, noor: Customer) -> None:
    unit = write_up(house, noor)
    with pytest.raises(Refused, match="words_needed"):
        intake.refuse(actor=house.counter, unit_id=unit.id, text=" ")
    intake.refuse(actor=house.counter, unit_id=unit.id, text="A swollen cell inside")
    seen = {"check_kind": "identity", "document": "passport"}
    with pytest.raises(Refused, match="outcome_not_true"):
        pickup.hand_over(actor=house.counter, unit_id=unit.id, outcome="collected", **seen)
    gone = pickup.hand_over(actor=house.counter, unit_id=unit.id, outcome="refused_at_intake", **seen)
    assert gone.outcome == "refused_at_intake"


def test_a_comeback_waits_for_the_owner_and_is_free_when_she_says_so(house: House, ready: Journey) -> None:
    ready.leaves()
    again = write_up(house, ready.unit.customer, earlier_unit_id=ready.unit.id, **FEE)
    with pytest.raises(Refused, match="comeback_undecided"):
        intake.take_in(actor=house.counter, unit_id=again.id)
    actions.decide_comeback(actor=house.owner, unit_id=again.id, free=True, reason="Our joint")
    intake.take_in(actor=house.counter, unit_id=again.id)
    started = bench.start(
        actor=house.technician, unit_id=again.id, move=Move.START_WORK, bench_id=house.benches[0].id
    )  # fmt: skip
    assert started.stage == "bench"


def test_the_same_model_and_serial_are_recognised(house: House, noor: Customer) -> None:
    first = write_up(house, noor, serial="QL-77")
    second = write_up(house, noor, serial=" ql-77 ")
    found = queries.seen_before(model_id=second.model_id, serial=second.serial, not_this=second.id)
    assert [unit.number for unit in found] == [first.number]


def test_the_shops_own_unit_has_no_customer_and_gathers_costs(house: House) -> None:
    unit = write_up(house, None, complaint="", consents={})
    intake.take_in(actor=house.counter, unit_id=unit.id)
    actions.add_cost(actor=house.counter, unit_id=unit.id, text="House clearance", amount_minor=3500)
    assert unit.own
    assert not Notice.objects.filter(unit=unit).exists()


def test_the_customer_is_told_what_the_limit_means(house: House, noor: Customer) -> None:
    unit = write_up(house, noor, **LIMIT)
    assert "Up to $90.00 in all" in view_of(queries.one(unit.id)).cost


def test_who_may_not_write_up_does_not(queued: Journey) -> None:
    stranger = dataclasses.replace(queued.house.counter, role=queued.house.counter.role.STRANGER)
    with pytest.raises(Refused, match="not_permitted"):
        intake.take_in(actor=stranger, unit_id=now(queued).id)
