"""What the tag and the customer's page say of a unit, turn by turn, and what the trace shows."""

import re
from datetime import timedelta

import pytest
import time_machine
from django.template.loader import render_to_string
from time_machine import Traveller

from shop.books.actions import take_payment
from shop.books.queries import amount_due
from shop.core import clock
from shop.core.models import TrailEntry
from shop.floor.customer_view import CustomerView, view_of
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows import bench, intake, pickup, quote, testing
from shop.floor.stages import Move
from shop.floor.story import headline, long_day, spoken, stops_of, trace_of
from shop.floor.templatetags.wick import trace
from shop.floor.trace import SLOT
from shop.people.models import Customer
from shop.quotes.actions import draft_quote
from shop.units import links, queries
from shop.units.models import Unit
from tests.floor.conftest import FEE, LIMIT


def seen(journey: Journey) -> CustomerView:
    return view_of(queries.one(journey.unit.id))


def tag(journey: Journey) -> str:
    return headline(queries.one(journey.unit.id))


def labels(journey: Journey) -> list[str]:
    return [stop.label for stop in stops_of(queries.history(journey.unit))]


def ringed(journey: Journey) -> str:
    """Return what the ring says, which is the same for staff and customer, in the picture and in words."""
    view, unit = seen(journey), queries.one(journey.unit.id)
    drawn = [mark.stop for mark in trace_of(unit, queries.history(unit)).marks if mark.now]
    assert drawn == [mark.stop for mark in view.trace.marks if mark.now]
    assert re.search(f"now: (back to )?{drawn[0].label}", view.trace_words)
    assert view.trace_words.count("now: ") == 1
    return drawn[0].label


def said(journey: Journey) -> str:
    return seen(journey).trace_words


@pytest.fixture
def fresh(house: House, noor: Customer) -> Journey:
    """A Firefly just written up, nothing agreed."""
    return Journey(house, days_ago=2, seed=1).arrive(noor, "firefly", ["battery"], complaint="Forgets")


def test_at_intake(fresh: Journey) -> None:
    view = seen(fresh)
    assert tag(fresh) == "Being written up."
    assert view.where == "With us. It is being written up."
    assert view.when == "We name a day once the work is agreed."
    assert view.cost == "Nothing is agreed yet. You will get a quote first."
    assert view.do_next == ("Nothing to do. We write to you when something changes.",)


def test_in_the_queue(queued: Journey) -> None:
    assert tag(queued) == "Waits its turn on Shelf A."
    assert seen(queued).where == "With us, in the queue for a bench."
    assert seen(queued).cost == (
        "Looking at it costs $25.00 before tax; it is not charged when you approve the quote."
    )  # fmt: skip


def test_on_the_bench_for_a_diagnosis(queued: Journey) -> None:
    queued.start(Move.START_DIAGNOSIS, 1)
    assert tag(queued) == "On Bench 2 for diagnosis with Jun Okafor."
    assert seen(queued).where == "On a bench, being looked at."


def test_while_the_quote_waits(diagnosed: Journey) -> None:
    diagnosed.quote()
    view = seen(diagnosed)
    assert tag(diagnosed) == "Waits for the customer's answer to the quote."
    assert view.where == "With us, waiting for your answer to the quote."
    assert view.quote is not None
    assert view.cost == f"${view.quote.total_minor / 100:.2f} in all, as quoted below."
    assert view.do_next == ("Please read the quote and tell us yes or no. Nothing of it is done until you answer.",)


def test_once_approved_there_is_a_day_and_a_sum(approved: Journey) -> None:
    view = seen(approved)
    assert view.promised_on is not None
    assert view.when == (
        f"By {long_day(view.promised_on, 'en-US')}. We keep {view.promise_percent} of 100 such dates, and write to you "
        "if it moves."
    )
    assert view.cost == "$190.80 in all; $190.80 is open."


def test_while_parts_are_missing(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0)
    day = clock.now().date() + timedelta(days=30)
    bench.park(
        actor=approved.house.technician, unit_id=approved.unit.id, text="two cans", hold="parts", due_on=day
    )  # fmt: skip
    assert tag(approved).startswith("Waits for parts: two cans, due ")
    assert seen(approved).where == "With us, on hold for: parts."
    bench.hold_unit(actor=approved.house.technician, unit_id=approved.unit.id, kind="parts", text="two cans")
    assert tag(approved) == "Waits for parts: two cans."


def test_at_work_and_in_testing(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0)
    assert seen(approved).where == "On a bench, being worked on."
    approved.work()
    assert tag(approved) == "Being tested."
    assert seen(approved).where == "Repaired. It is being tested now."


def test_after_a_decline(diagnosed: Journey) -> None:
    diagnosed.quote().answer(approve=False)
    assert tag(diagnosed) == "Declined: close it up and give it back."
    assert seen(diagnosed).where == "With us. It will be closed up and given back."
    assert seen(diagnosed).cost == "$26.50 in all; $26.50 is open."
    diagnosed.start(Move.START_CLOSING, 0)
    assert seen(diagnosed).where == "With us, being closed up."


def test_after_a_decline_of_what_nobody_opened(queued: Journey) -> None:
    queued.quote().answer(approve=False)
    assert tag(queued) == "Declined: give it back."
    assert [mark.label for mark in trace_of(queries.one(queued.unit.id), queries.history(queued.unit)).ahead] == [
        "pickup"
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("days", "said"),
    [(0, "Ready today, on Shelf A."), (1, "Ready, on Shelf A, for 1 day."), (9, "Ready, on Shelf A, for 9 days.")],
)
def test_when_it_is_ready(ready: Journey, days: int, said: str) -> None:
    Unit.objects.filter(pk=ready.unit.pk).update(stage_since=clock.now() - timedelta(days=days, minutes=1))
    assert tag(ready) == said


def test_what_the_customer_does_when_it_is_ready(ready: Journey) -> None:
    assert seen(ready).where == "Ready to go back to you."
    assert seen(ready).do_next[0].startswith("Pay at the counter, or by transfer")
    unit = queries.one(ready.unit.id)
    take_payment(
        actor=ready.house.counter, unit_id=unit.id, amount_minor=amount_due(unit).due_minor, method="cash"
    )  # fmt: skip
    view = seen(ready)
    assert (view.when, view.cost) == ("Done.", "$190.80 in all, paid.")
    assert view.do_next[0] == "Come by and show the code below at the counter."
    assert view.pickup_code == links.pickup_code(unit)


def test_what_goes_by_mail_has_no_code_to_show(ready: Journey) -> None:
    Unit.objects.filter(pk=ready.unit.pk).update(by_mail=True)
    unit = queries.one(ready.unit.id)
    take_payment(
        actor=ready.house.counter, unit_id=unit.id, amount_minor=amount_due(unit).due_minor, method="cash"
    )  # fmt: skip
    assert (seen(ready).do_next, seen(ready).pickup_code) == (("We send it to you.",), "")


def test_when_it_has_left(ready: Journey) -> None:
    ready.leaves()
    view = seen(ready)
    assert tag(ready) == "Collected."
    assert view.where == "It has left the shop: collected."
    assert (view.left, view.pickup_code, view.do_next) == (
        True, "", ("Keep this page: it is your record of the work.",)
    )  # fmt: skip
    assert labels(ready)[-1] == "collected"


def test_within_the_limit(house: House, noor: Customer) -> None:
    journey = Journey(house, days_ago=2, seed=1).arrive(noor, "firefly", ["battery"], complaint="x", **LIMIT).take_in()
    assert seen(journey).cost == "Up to $90.00 in all, with tax, without asking you again."
    draft = draft_quote(actor=house.counter, unit_id=journey.unit.id)
    quote.go_ahead(actor=house.counter, quote_id=draft.id)
    assert seen(journey).where == "With us, in the queue for a bench."


def test_the_trace_tells_of_holds_failures_and_returns(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0).work()
    with approved.at(0.5):
        testing.fail_test(actor=approved.house.technician, unit_id=approved.unit.id, text="Hums")
    assert labels(approved) == [
        "intake", "queue", "bench", "queue", "held: approval", "bench", "testing", "bench"
    ]  # fmt: skip
    drawing = trace_of(queries.one(approved.unit.id), queries.history(approved.unit))
    assert [mark.stop.back for mark in drawing.marks] == [False, False, False, True, False, False, False, True]
    assert drawing.marks[4].stop.until is not None
    words = spoken(drawing, "America/New_York", "en-US")
    assert "bench (diagnosis), " in words
    assert "back to bench (a test failed), " in words


def test_two_holds_at_once_are_two_gaps_and_each_ends_by_itself(queued: Journey) -> None:
    actor, unit_id = queued.house.technician, queued.unit.id
    for kind in ("parts", "customer", "parts"):
        bench.hold_unit(actor=actor, unit_id=unit_id, kind=kind, text="why")
    bench.lift_hold(actor=actor, unit_id=unit_id, kind="customer")
    gaps = [stop for stop in stops_of(queries.history(queued.unit)) if stop.kind == "gap"]
    assert [(stop.label, stop.until is None) for stop in gaps] == [("held: parts", True), ("held: customer", False)]
    assert ringed(queued) == "held: parts"
    bench.lift_hold(actor=actor, unit_id=unit_id, kind="parts")
    assert ringed(queued) == "queue"


def test_the_ring_follows_the_unit_from_turn_to_turn(diagnosed: Journey) -> None:
    seen_at = [ringed(diagnosed.quote())]
    seen_at += [ringed(diagnosed.answer(approve=True))]
    seen_at += [ringed(diagnosed.start(Move.START_WORK, 0))]
    bench.hold_unit(actor=diagnosed.house.technician, unit_id=diagnosed.unit.id, kind="parts", text="A can")
    seen_at += [ringed(diagnosed)]
    bench.lift_hold(actor=diagnosed.house.technician, unit_id=diagnosed.unit.id, kind="parts")
    seen_at += [ringed(diagnosed), ringed(diagnosed.work()), ringed(diagnosed.passes()), ringed(diagnosed.leaves())]
    assert seen_at == [
        "held: approval", "queue", "bench", "held: parts", "bench", "testing", "pickup", "collected"
    ]  # fmt: skip


def test_the_words_of_holds_side_by_side_leave_room_between_them(queued: Journey) -> None:
    """A letter is 7 wide at most: a short name fits into its slot by itself, and longer ones are drawn narrower."""
    queued.quote()
    bench.hold_unit(actor=queued.house.technician, unit_id=queued.unit.id, kind="customer", text="why")
    drawn = render_to_string("floor/trace.html", trace(seen(queued).trace, "", "UTC"))
    held = re.findall(r"<text([^>]*)>(held: \w+)</text>", drawn)
    assert [words for _how, words in held] == ["held: approval", "held: customer"]
    widths = [
        int(found[1]) if (found := re.search(r'textLength="(\d+)"', how)) else 7 * len(words) for how, words in held
    ]
    assert max(widths) <= SLOT - 5
    assert "textLength" not in held_words(queued, "parts")


def held_words(journey: Journey, kind: str) -> str:
    """Return how a hold of a kind, opened now, is drawn."""
    bench.hold_unit(actor=journey.house.technician, unit_id=journey.unit.id, kind=kind, text="why")
    drawn = render_to_string("floor/trace.html", trace(seen(journey).trace, "", "UTC"))
    return next(each for each in drawn.split("<text") if f"held: {kind}<" in each)


def test_a_hold_that_is_over_is_told_with_its_end(frozen: Traveller, queued: Journey) -> None:
    actor, unit_id = queued.house.technician, queued.unit.id
    bench.hold_unit(actor=actor, unit_id=unit_id, kind="parts", text="why")
    assert said(queued).endswith("now: held: parts, Mar 10.")
    frozen.shift(timedelta(days=2))
    bench.lift_hold(actor=actor, unit_id=unit_id, kind="parts")
    assert said(queued).endswith("now: queue, Mar 1; held: parts, Mar 10, until Mar 12.")


def test_days_are_told_in_the_customers_own_zone(house: House, noor: Customer) -> None:
    noor.time_zone = "Asia/Ho_Chi_Minh"
    noor.save(update_fields=["time_zone"])
    with time_machine.travel("2026-03-10T22:00:00Z", tick=False):
        unit = intake.write_up(
            actor=house.counter,
            given=intake.WriteUp(customer_id=noor.id, model_id=house.models["lantern"].id, complaint="Grey", **FEE),
        )  # fmt: skip
    assert view_of(queries.one(unit.id)).trace_words == "now: intake, Mar 11."


def test_a_unit_refused_at_intake_says_so(fresh: Journey) -> None:
    intake.refuse(actor=fresh.house.counter, unit_id=fresh.unit.id, text="A swollen cell")
    pickup.hand_over(
        actor=fresh.house.counter, unit_id=fresh.unit.id, outcome="refused_at_intake", check_kind="identity",
        document="passport",
    )  # fmt: skip
    assert tag(fresh) == "Refused at intake."
    assert TrailEntry.objects.filter(subject_id=fresh.unit.id, what="left").count() == 1
