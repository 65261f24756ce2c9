"""Diagnosis, quote, work, tests, and out: what each turn does to the unit, and what it refuses."""

import pytest

from shop.books.actions import take_payment
from shop.books.queries import amount_due, invoice_of
from shop.core import clock
from shop.core.actor import Actor, Role
from shop.core.idempotency import Answer, once
from shop.core.models import TrailEntry
from shop.core.reasons import Noted, Refused
from shop.floor.customer_view import view_of
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows import bench, pickup, quote, testing
from shop.floor.stages import Move
from shop.notices.models import Notice
from shop.people.models import Customer
from shop.quotes.actions import change_quote, draft_quote
from shop.quotes.models import Decision, QuoteVersion
from shop.quotes.operations import AddLine
from shop.quotes.queries import cleared, present_quote
from shop.units import links, queries
from shop.units.models import Hold, Unit
from shop.work.queries import open_steps
from tests.floor.conftest import FEE, LIMIT, now

CUSTOMER = Actor(role=Role.CUSTOMER, id="link")


def answer(journey: Journey, approve: bool, **given: object) -> Decision:
    sent = present_quote(journey.unit.id)
    assert sent is not None
    facts = {"quote_id": sent.id, "shown_sha256": sent.content_sha256} | given
    return quote.decide_quote(actor=CUSTOMER, approve=approve, **facts)  # type: ignore[arg-type]


def test_nobody_opens_a_unit_for_which_nothing_was_agreed(house: House, noor: Customer) -> None:
    journey = Journey(house, days_ago=3, seed=2).arrive(noor, "lantern", ["recap"], complaint="Grey").take_in()
    with pytest.raises(Refused, match="diagnosis_not_agreed"):
        journey.start(Move.START_DIAGNOSIS, 0)


def test_a_video_modification_asks_for_cable_display_and_region(house: House, noor: Customer) -> None:
    journey = Journey(house, days_ago=3, seed=2).arrive(noor, "lantern", ["video-board"], complaint="Grey", **FEE)
    journey.take_in().quote().answer(approve=True)
    with pytest.raises(Refused) as refused:
        journey.start(Move.START_WORK, 0)
    assert refused.value.reasons[0].facts["names"] == "cable, display, region"


def test_a_diagnosis_leaves_the_bench_open_with_its_fasteners_counted(diagnosed: Journey) -> None:
    unit = now(diagnosed)
    assert (unit.stage, unit.visit, unit.opened, unit.diagnosed) == ("queue", "", True, True)
    assert unit.place is not None
    assert unit.place.kind == "shelf"


def test_a_diagnosis_without_looking_is_none(queued: Journey) -> None:
    queued.start(Move.START_DIAGNOSIS, 0)
    with pytest.raises(Refused) as refused:
        bench.finish_diagnosis(actor=queued.house.technician, unit_id=queued.unit.id)
    codes = [reason.code for reason in refused.value.reasons]
    assert codes == ["revision_unknown", "board_not_photographed", "not_measured"]


def test_a_bench_takes_no_more_than_it_holds(house: House, noor: Customer) -> None:
    for seed in range(3):
        journey = Journey(house, days_ago=3, seed=seed).arrive(noor, "lantern", [], complaint="Grey", **FEE).take_in()
        if seed < 2:
            journey.start(Move.START_DIAGNOSIS, 0)
    with pytest.raises(Refused, match="place_full"):
        journey.start(Move.START_DIAGNOSIS, 0)


def test_a_sent_quote_holds_the_unit_and_an_answer_lifts_it(diagnosed: Journey) -> None:
    diagnosed.quote()
    assert [hold.kind for hold in Hold.objects.filter(unit=diagnosed.unit, lifted_at=None)] == ["approval"]
    with pytest.raises(Refused, match="quote_waiting"):
        diagnosed.start(Move.START_WORK, 0)
    answer(diagnosed, approve=True)
    unit = now(diagnosed)
    assert not Hold.objects.filter(unit=unit, lifted_at=None).exists()
    assert unit.promised_on is not None
    assert unit.promised_on >= clock.now().date()


def test_a_second_answer_alike_is_the_same_decision_and_another_is_refused(diagnosed: Journey) -> None:
    diagnosed.quote()
    sent = present_quote(diagnosed.unit.id)
    assert sent is not None
    first = answer(diagnosed, approve=True)
    assert answer(diagnosed, approve=True, quote_id=sent.id) == first
    with pytest.raises(Refused, match="quote_already_decided"):
        answer(diagnosed, approve=False, quote_id=sent.id)
    assert Notice.objects.filter(unit=diagnosed.unit, event="approved").count() == 1


def test_another_units_link_answers_nothing(diagnosed: Journey, house: House, noor: Customer) -> None:
    other = Journey(house, days_ago=2, seed=5).arrive(noor, "firefly", [], complaint="Dead")
    diagnosed.quote()
    with pytest.raises(Refused, match="quote_not_of_unit"):
        answer(diagnosed, approve=True, unit_id=other.unit.id)


def test_a_decline_closes_the_unit_up_and_bills_the_fee(diagnosed: Journey) -> None:
    diagnosed.quote().answer(approve=False, reason="Too dear")
    with pytest.raises(Refused, match="work_ended"):
        diagnosed.start(Move.START_WORK, 0)
    with pytest.raises(Refused, match="must_be_closed"):
        pickup.return_unopened(actor=diagnosed.house.counter, unit_id=diagnosed.unit.id)
    diagnosed.start(Move.START_CLOSING, 0).work()
    testing.pass_test(actor=diagnosed.house.technician, unit_id=diagnosed.unit.id)
    due = amount_due(now(diagnosed))
    assert due.due_minor == 2650  # the fee of 25.00 and 6 % tax
    take_payment(actor=diagnosed.house.counter, unit_id=diagnosed.unit.id, amount_minor=2650, method="cash")
    gone = pickup.hand_over(
        actor=diagnosed.house.counter,
        unit_id=diagnosed.unit.id,
        outcome="returned_unrepaired",
        check_kind="identity",
        document="passport",
    )
    assert gone.outcome == "returned_unrepaired"


def test_a_declined_unit_that_nobody_opened_goes_straight_back_for_nothing(queued: Journey) -> None:
    queued.quote().answer(approve=False)
    unit = pickup.return_unopened(actor=queued.house.counter, unit_id=queued.unit.id)
    assert unit.stage == "pickup"
    assert amount_due(unit).due_minor == 0


def test_declining_an_extra_keeps_what_was_approved(approved: Journey) -> None:
    counter = approved.house.counter
    draft = draft_quote(actor=counter, unit_id=approved.unit.id)
    extra = AddLine(kind="part", words="A new switch", unit_minor=900)
    draft = change_quote(actor=counter, quote_id=draft.id, version=draft.version, operations=[extra])
    quote.send_quote(actor=counter, quote_id=draft.id, version=draft.version)
    answer(approved, approve=False)
    assert cleared(approved.unit.id) == "quote"
    assert now(approved).ending == ""
    assert approved.start(Move.START_WORK, 0).unit


def test_an_old_edition_is_not_approved_after_a_new_one_was_sent(diagnosed: Journey) -> None:
    counter = diagnosed.house.counter
    diagnosed.quote()
    old = present_quote(diagnosed.unit.id)
    assert old is not None
    draft = draft_quote(actor=counter, unit_id=diagnosed.unit.id)
    quote.send_quote(actor=counter, quote_id=draft.id, version=draft.version)
    with pytest.raises(Refused, match="quote_replaced"):
        answer(diagnosed, approve=True, quote_id=old.id, shown_sha256=old.content_sha256)


def test_the_shop_goes_ahead_within_the_limit_and_not_beyond(house: House, noor: Customer) -> None:
    cheap = Journey(house, days_ago=3, seed=3).arrive(noor, "firefly", ["battery"], complaint="Forgets", **LIMIT)
    cheap.take_in()
    draft = draft_quote(actor=house.counter, unit_id=cheap.unit.id)
    decision = quote.go_ahead(actor=house.counter, quote_id=draft.id)
    assert (decision.kind, cleared(cheap.unit.id)) == ("within_limit", "limit")
    dear = Journey(house, days_ago=3, seed=4).arrive(noor, "lantern", ["recap", "regulator"], complaint="x", **LIMIT)
    dear.take_in()
    draft = draft_quote(actor=house.counter, unit_id=dear.unit.id)
    with pytest.raises(Refused, match="limit_exceeded"):
        quote.go_ahead(actor=house.counter, quote_id=draft.id)
    assert QuoteVersion.objects.get(pk=draft.pk).state == "draft"


def test_waiting_for_parts_frees_the_bench_and_keeps_the_ticks(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0).ticks(3)
    before = len(open_steps(now(approved)))
    actor, unit_id = approved.house.technician, approved.unit.id
    with pytest.raises(Refused, match="words_needed"):
        bench.park(actor=actor, unit_id=unit_id, text="")
    parked = bench.park(actor=actor, unit_id=unit_id, text="two cans, 10 mm", hold="parts")
    assert (parked.stage, parked.opened) == ("queue", True)
    with pytest.raises(Refused, match="held"):
        approved.start(Move.START_WORK, 0)
    bench.lift_hold(actor=actor, unit_id=unit_id, kind="parts")
    approved.start(Move.START_WORK, 1)
    assert len(open_steps(now(approved))) >= before


def test_nothing_goes_to_testing_with_fasteners_out_or_steps_open(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0)
    with pytest.raises(Refused) as refused:
        bench.finish_bench(actor=approved.house.technician, unit_id=approved.unit.id)
    codes = {reason.code for reason in refused.value.reasons}
    assert {"fasteners_missing", "steps_open"} <= codes


def test_a_failed_test_goes_back_with_its_reason_and_needs_new_readings(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0).work()
    with approved.at(1):
        unit = testing.fail_test(actor=approved.house.technician, unit_id=approved.unit.id, text="No sound when warm")
    assert (unit.stage, unit.test_round) == ("bench", 2)
    with pytest.raises(Refused, match="readings_missing"):
        bench.finish_bench(actor=approved.house.technician, unit_id=unit.id)
    approved.work().passes()
    assert now(approved).stage == "pickup"


def test_a_unit_can_be_called_back_from_pickup(ready: Journey) -> None:
    testing.recall(actor=ready.house.counter, unit_id=ready.unit.id, text="Scratches on the lid")
    unit = now(ready)
    assert (unit.stage, unit.visit, unit.test_round) == ("testing", "work", 2)
    ready.passes()


def test_nothing_leaves_unpaid(ready: Journey) -> None:
    with pytest.raises(Refused, match="not_paid"):
        pickup.hand_over(
            actor=ready.house.counter, unit_id=ready.unit.id, outcome="collected", check_kind="identity",
            document="passport",
        )  # fmt: skip
    assert invoice_of(now(ready)) is None


def test_the_code_of_the_customers_page_releases_it(ready: Journey) -> None:
    unit = queries.one(ready.unit.id)
    due = amount_due(unit)
    take_payment(actor=ready.house.counter, unit_id=unit.id, amount_minor=due.due_minor, method="cash")
    code = view_of(unit).pickup_code
    assert code == links.pickup_code(unit)
    gone = pickup.hand_over(
        actor=ready.house.counter, unit_id=unit.id, outcome="collected", check_kind="code", code=code.lower()
    )  # fmt: skip
    assert (gone.outcome, gone.place) == ("collected", None)
    assert Notice.objects.get(unit=unit, event="collected").facts["warranty_until"]


def test_a_wrong_code_is_refused_and_stays_in_the_trail_even_when_the_form_is_sent_once(ready: Journey) -> None:
    unit = queries.one(ready.unit.id)
    take_payment(
        actor=ready.house.counter, unit_id=unit.id, amount_minor=amount_due(unit).due_minor, method="cash"
    )  # fmt: skip

    def release() -> Answer:
        pickup.hand_over(
            actor=ready.house.counter, unit_id=unit.id, outcome="collected", check_kind="code", code="000000"
        )  # fmt: skip
        return Answer(303, "")

    for _ in range(5):
        with pytest.raises(Noted):
            once(actor=ready.house.counter, key="tap", fingerprint="f", perform=release)
    assert TrailEntry.objects.filter(subject_id=unit.id, what="pickup_code_wrong").count() == 5
    with pytest.raises(Refused, match="too_many_codes"):
        release()
    assert Unit.objects.get(pk=unit.pk).outcome == ""


def test_by_mail_it_needs_a_picture_of_the_packing_and_the_parcel(house: House, noor: Customer) -> None:
    journey = Journey(house, days_ago=9, seed=6)
    journey.arrive(noor, "lantern", ["recap"], complaint="Grey", by_mail=True, **FEE).take_in()
    journey.start(Move.START_DIAGNOSIS, 0).open_case().look_inside("QL-B1").quote(postage_minor=1450)
    journey.answer(approve=True).start(Move.START_WORK, 0).work().passes()
    unit = now(journey)
    take_payment(
        actor=house.counter, unit_id=unit.id, amount_minor=amount_due(unit).due_minor, method="transfer"
    )  # fmt: skip
    with pytest.raises(Refused, match="packing_not_photographed"):
        pickup.hand_over(actor=house.counter, unit_id=unit.id, outcome="shipped", check_kind="post")


def test_the_shops_own_unit_is_sold_and_billed_once(house: House) -> None:
    journey = Journey(house, days_ago=9, seed=7).arrive(None, "lantern", ["recap"]).take_in()
    journey.start(Move.START_WORK, 0).open_case().work().passes()
    bill = pickup.sell(actor=house.counter, unit_id=journey.unit.id, price_minor=10000)
    assert bill.total_minor == 10600
    with pytest.raises(Refused, match="invoice_issued_before"):
        pickup.sell(actor=house.counter, unit_id=journey.unit.id, price_minor=9000)
    take_payment(actor=house.counter, unit_id=journey.unit.id, amount_minor=10600, method="card")
    gone = pickup.hand_over(actor=house.counter, unit_id=journey.unit.id, outcome="sold", check_kind="own")
    assert gone.outcome == "sold"


def test_a_bill_is_issued_once(ready: Journey) -> None:
    first = pickup.bill(actor=ready.house.counter, unit_id=ready.unit.id)
    assert first is not None
    assert pickup.bill(actor=ready.house.counter, unit_id=ready.unit.id) == first


def test_what_left_can_no_longer_be_moved(ready: Journey) -> None:
    ready.leaves()
    with pytest.raises(Refused, match="unit_left"):
        testing.recall(actor=ready.house.counter, unit_id=ready.unit.id, text="again")
