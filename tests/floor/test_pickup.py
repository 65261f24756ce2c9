"""Out of the shop: what is true of a unit, who may have it, and what the customer is told."""

from datetime import timedelta
from typing import Any

import pytest

from shop.books.actions import take_payment
from shop.books.models import Release
from shop.books.queries import amount_due, invoice_of
from shop.core import clock
from shop.core.models import TrailEntry
from shop.core.profile import profile
from shop.core.reasons import Refused
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows import intake, pickup, testing
from shop.floor.stages import Move
from shop.notices.models import Notice
from shop.people.models import Customer, Place
from shop.units import links
from shop.units.models import Hold, Unit
from tests.floor.conftest import FEE, now

SEEN: dict[str, Any] = {"check_kind": "identity", "document": "passport"}


def pay(journey: Journey) -> None:
    due = amount_due(now(journey))
    if due.due_minor:
        take_payment(
            actor=journey.house.counter, unit_id=journey.unit.id, amount_minor=due.due_minor, method="cash"
        )  # fmt: skip


def hand(journey: Journey, outcome: str, **facts: Any) -> Unit:
    return pickup.hand_over(
        actor=journey.house.counter, unit_id=journey.unit.id, outcome=outcome, **({**SEEN} | facts)
    )  # fmt: skip


@pytest.fixture
def mailed(house: House, noor: Customer) -> Journey:
    """Noor's Lantern, which came by mail, ready and paid."""
    journey = Journey(house, days_ago=9, seed=6)
    journey.arrive(noor, "lantern", ["recap"], complaint="Grey", by_mail=True, **FEE).take_in()
    journey.start(Move.START_DIAGNOSIS, 0).open_case().look_inside("QL-B1").quote(postage_minor=1450)
    journey.answer(approve=True).start(Move.START_WORK, 0).work().passes()
    pay(journey)
    return journey


def test_a_parcel_leaves_with_its_picture_carrier_and_number(mailed: Journey) -> None:
    with pytest.raises(Refused, match="packing_not_photographed"):
        hand(mailed, "shipped", check_kind="post")
    mailed.picture("packing_out", "parcel")
    with pytest.raises(Refused, match="parcel_missing"):
        hand(mailed, "shipped", check_kind="post")
    intake.record_departure(
        actor=mailed.house.counter, unit_id=mailed.unit.id, carrier="Coastal Post", tracking="CP 7", declared_minor=9000
    )  # fmt: skip
    assert hand(mailed, "shipped", check_kind="post").outcome == "shipped"
    told = Notice.objects.get(unit=mailed.unit, event="shipped").facts
    assert (told["carrier"], told["tracking"]) == ("Coastal Post", "CP 7")


def test_the_warranty_runs_from_the_day_at_the_shop(ready: Journey) -> None:
    pay(ready)
    hand(ready, "collected")
    until = clock.day_of(clock.now(), profile().time_zone) + timedelta(days=profile().warranty_days)
    assert Notice.objects.get(unit=ready.unit, event="collected").facts == {"warranty_until": until.isoformat()}


def test_a_unit_goes_back_unrepaired_without_a_warranty(queued: Journey) -> None:
    queued.quote().answer(approve=False)
    pickup.return_unopened(actor=queued.house.counter, unit_id=queued.unit.id)
    hand(queued, "returned_unrepaired")
    assert Notice.objects.get(unit=queued.unit, event="collected").facts == {}
    assert invoice_of(now(queued)) is None


@pytest.mark.parametrize("outcome", ["returned_unrepaired", "refused_at_intake", "sold", "recycled"])
def test_an_outcome_is_true_of_the_unit(ready: Journey, outcome: str) -> None:
    pay(ready)
    with pytest.raises(Refused) as refused:
        hand(ready, outcome)
    assert refused.value.code == "outcome_not_true"
    assert "collected" in refused.value.reasons[0].facts["choices"]


def test_a_word_that_is_no_outcome_is_none(ready: Journey) -> None:
    with pytest.raises(Refused, match="not_a_choice"):
        hand(ready, "given away")


def test_a_unit_is_kept_for_parts_only_with_the_owners_written_transfer(queued: Journey) -> None:
    queued.quote().answer(approve=False)
    pickup.return_unopened(actor=queued.house.counter, unit_id=queued.unit.id)
    with pytest.raises(Refused, match="owner_transfer_needed"):
        hand(queued, "kept_for_parts", check_kind="post", document=" ")
    assert hand(queued, "kept_for_parts", document="letter in the grey folder").outcome == "kept_for_parts"


def test_the_number_of_a_document_is_not_kept(ready: Journey) -> None:
    pay(ready)
    with pytest.raises(Refused, match="document_number"):
        hand(ready, "collected", document="passport 123456")
    assert not Release.objects.exists()


def test_a_customers_unit_is_not_released_as_the_shops_own(ready: Journey) -> None:
    pay(ready)
    with pytest.raises(Refused, match="not_shops_own"):
        hand(ready, "collected", check_kind="own")


def test_a_withdrawn_link_opens_nothing_and_a_new_one_has_another_code(ready: Journey) -> None:
    pay(ready)
    old = links.pickup_code(now(ready))
    pickup.revoke_link(actor=ready.house.owner, unit_id=ready.unit.id)
    with pytest.raises(Refused, match="no_pickup_code"):
        hand(ready, "collected", check_kind="code", code=old)
    pickup.renew_link(actor=ready.house.owner, unit_id=ready.unit.id)
    with pytest.raises(Refused, match="pickup_code_wrong"):
        hand(ready, "collected", check_kind="code", code=old)
    new = links.pickup_code(now(ready))
    assert hand(ready, "collected", check_kind="code", code=f"{new[:3]}-{new[3:]}".lower()).outcome == "collected"


def test_withdrawing_twice_is_withdrawing_once(ready: Journey) -> None:
    for _ in range(2):
        pickup.revoke_link(actor=ready.house.owner, unit_id=ready.unit.id)
    assert TrailEntry.objects.filter(subject_id=ready.unit.id, what="link_withdrawn").count() == 1


def test_what_leaves_frees_its_place_and_its_holds(ready: Journey) -> None:
    pay(ready)
    Hold.objects.create(unit=now(ready), kind="customer", words="on holiday")
    gone = hand(ready, "collected")
    assert (gone.place, gone.left_at is not None) == (None, True)
    assert not Hold.objects.filter(unit=gone, lifted_at=None).exists()


def test_a_customers_unit_is_not_sold(ready: Journey) -> None:
    with pytest.raises(Refused, match="not_our_own"):
        pickup.sell(actor=ready.house.counter, unit_id=ready.unit.id, price_minor=100)
    with pytest.raises(Refused, match="negative_money"):
        pickup.sell(actor=ready.house.counter, unit_id=ready.unit.id, price_minor=-1)


def test_no_bill_before_pickup(approved: Journey) -> None:
    with pytest.raises(Refused, match="wrong_stage"):
        pickup.bill(actor=approved.house.counter, unit_id=approved.unit.id)


def test_a_unit_passed_in_a_full_shop_stays_on_its_bench(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0).work()
    Place.objects.exclude(kind="bench").update(retired_at=clock.now())
    approved.passes()
    assert now(approved).place == approved.house.benches[0]


def test_an_unopened_declined_unit_is_not_called_back_for_a_test(queued: Journey) -> None:
    queued.quote().answer(approve=False)
    pickup.return_unopened(actor=queued.house.counter, unit_id=queued.unit.id)
    with pytest.raises(Refused, match="nothing_to_test"):
        testing.recall(actor=queued.house.counter, unit_id=queued.unit.id, text="again")
