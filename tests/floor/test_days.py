"""The day that an approval gets: at once, outside of the transaction that stores the answer, and lost by nobody."""

import threading
import time
from collections.abc import Callable
from datetime import timedelta
from uuid import UUID

import pytest
from celery import current_app
from django.db import connection, transaction
from time_machine import Traveller

from shop.boards.models import Service
from shop.books.models import PaymentRequest
from shop.core import clock
from shop.core.actor import SYSTEM, Actor, Role
from shop.core.duework import LEASE, due
from shop.core.locks import lock
from shop.core.models import DueWork
from shop.core.tasks import do_due_work, sweep_due_work
from shop.floor.customer_view import view_of
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows import bench, days, quote
from shop.notices.models import Notice
from shop.notices.rendering import render
from shop.people.models import Customer
from shop.planning import actions as planning
from shop.planning import steps
from shop.planning.models import Plan, Promise
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.quotes.queries import present_quote
from shop.units import queries
from shop.units.models import Unit
from tests.core.together import together
from tests.floor.conftest import FEE, now
from tests.floor.deposits_seen import left_minor, offer_more, pay

CUSTOMER = Actor(role=Role.CUSTOMER, id="link")
PATIENCE_S = 60


def say_yes(journey: Journey) -> Decision:
    sent = present_quote(journey.unit.id)
    assert sent is not None
    return quote.decide_quote(
        actor=CUSTOMER, quote_id=sent.id, approve=True, shown_sha256=sent.content_sha256, unit_id=journey.unit.id
    )  # fmt: skip


def say_yes_and_die(journey: Journey) -> Decision:
    """Say yes in a process that ends right after it: what is to be done after the commit is not done."""
    with transaction.atomic():  # inside the test's own transaction, which never commits
        return say_yes(journey)


def thanked(journey: Journey) -> list[str]:
    notices = Notice.objects.filter(unit=journey.unit, event="approved")
    return [render(notice.envelope).text for notice in notices]


def when(journey: Journey) -> str:
    return view_of(queries.one(journey.unit.id)).when


def work_off() -> int:
    """Do what is due, as the worker does; return how much of it is about days."""
    current_app.loader.import_default_modules()
    waiting = [wish for wish in due(DueWork) if wish.task.startswith("floor.name_day")]
    for wish in waiting:
        assert do_due_work(str(wish.pk)), wish.error
    return len(waiting)


@pytest.fixture
def asked(diagnosed: Journey) -> Journey:
    """The quote is with the customer."""
    return diagnosed.quote()


def test_it_is_there_as_soon_as_the_answer_is_taken(asked: Journey) -> None:
    say_yes(asked)
    assert now(asked).promised_on is not None
    [words] = thanked(asked)
    assert "We expect to have it ready on" in words
    assert list(DueWork.objects.filter(task=days.APPROVED).values_list("state", flat=True)) == ["done"]


def test_the_page_says_what_comes_until_a_worker_names_it(frozen: Traveller, asked: Journey) -> None:
    say_yes_and_die(asked)
    assert (now(asked).promised_on, thanked(asked)) == (None, [])
    assert when(asked) == "We are working out the day."
    assert work_off() == 0
    frozen.shift(LEASE + timedelta(seconds=1))
    assert sweep_due_work() > 0
    assert work_off() == 1
    assert now(asked).promised_on is not None
    assert when(asked).startswith("By ")
    assert ["We expect to have it ready on" in words for words in thanked(asked)] == [True]
    frozen.shift(timedelta(hours=1))
    assert work_off() == 0


def test_a_deposit_that_was_paid_is_not_forgotten_either(frozen: Traveller, unpaid: Journey) -> None:
    with transaction.atomic():
        pay(unpaid, left_minor(unpaid))
    assert now(unpaid).promised_on is None
    frozen.shift(LEASE + timedelta(seconds=1))
    assert work_off() == 1
    assert now(unpaid).promised_on is not None
    assert Notice.objects.filter(unit=unpaid.unit, event="deposit_paid").count() == 1


def test_twice_is_once(asked: Journey) -> None:
    decision = say_yes(asked)
    say_yes(asked)
    days.approved(actor=SYSTEM, subject_id=decision.quote_id)
    assert Promise.objects.filter(unit=asked.unit).count() == 1
    assert len(thanked(asked)) == 1


def test_a_day_that_somebody_gave_meanwhile_stays(frozen: Traveller, asked: Journey) -> None:
    say_yes_and_die(asked)
    frozen.shift(timedelta(minutes=1))
    day = clock.now().date() + timedelta(days=99)
    planning.promise_by_hand(actor=asked.house.owner, unit_id=asked.unit.id, version=None, on=day)
    frozen.shift(LEASE)
    assert work_off() == 1
    assert now(asked).promised_on == day
    assert len(thanked(asked)) == 1


def test_what_was_agreed_later_names_the_day(frozen: Traveller, asked: Journey) -> None:
    say_yes_and_die(asked)
    frozen.shift(timedelta(minutes=1))
    offer_more(asked)
    newer = say_yes_and_die(asked)
    first = DueWork.objects.get(task=days.APPROVED, subject=str(Decision.objects.earliest("created_at").quote_id))
    days.approved(actor=SYSTEM, subject_id=UUID(first.subject))
    assert now(asked).promised_on is None
    days.approved(actor=SYSTEM, subject_id=newer.quote_id)
    assert now(asked).promised_on is not None


def test_what_waits_for_its_deposit_or_is_over_gets_no_day(frozen: Traveller, asked: Journey) -> None:
    decision = say_yes_and_die(asked)
    PaymentRequest.objects.create(unit=asked.unit, quote=decision.quote, amount_minor=100, currency="USD")
    days.approved(actor=SYSTEM, subject_id=decision.quote_id)
    PaymentRequest.objects.update(waived_at=clock.now())
    Unit.objects.filter(pk=asked.unit.pk).update(ending="declined")
    days.approved(actor=SYSTEM, subject_id=decision.quote_id)
    assert not Promise.objects.exists()


def test_a_yes_is_taken_where_no_day_can_be_told(asked: Journey) -> None:
    """Parts that are due beyond all that can be promised."""
    day = clock.now().date() + timedelta(days=40 * 365)
    bench.hold_unit(actor=asked.house.counter, unit_id=asked.unit.id, kind="parts", text="A tube", due_on=day)
    say_yes(asked)
    assert now(asked).promised_on is None
    assert ["We expect" in words for words in thanked(asked)] == [False]
    assert when(asked) == "We are working out the day."


def test_a_day_counts_only_on_what_nobody_was_promised_meanwhile(asked: Journey, house: House, noor: Customer) -> None:
    """Two reckon, both before either promises: the second has to reckon anew."""
    other = Journey(house, days_ago=2, seed=2).arrive(noor, "lantern", ["recap"], complaint="x", **FEE).take_in()
    other.quote()
    for each in (asked, other):
        say_yes_and_die(each)
    first, second = (steps.reckon(now(each), clock.now().date()) for each in (asked, other))
    with transaction.atomic():
        assert steps.promise_reckoned(actor=SYSTEM, unit=now(asked), day=first) is not None
        assert steps.promise_reckoned(actor=SYSTEM, unit=now(other), day=second) is None
        again = steps.reckon(now(other), clock.now().date())
        assert steps.promise_reckoned(actor=SYSTEM, unit=now(other), day=again) is not None


def test_another_plan_makes_it_reckon_anew(asked: Journey) -> None:
    say_yes_and_die(asked)
    day = steps.reckon(now(asked), clock.now().date())
    planned()
    with transaction.atomic():
        assert steps.promise_reckoned(actor=SYSTEM, unit=now(asked), day=day) is None


def test_a_day_reckoned_before_the_other_approval_is_not_promised(long_work: House, noor: Customer) -> None:
    """Interleaved on purpose. The control: the day that was reckoned first is the very one that the other then got."""
    first, second = two_quoted(long_work, noor)
    later = say_yes_and_die(second)
    counted_on = steps.reckon(now(second), clock.now().date())
    say_yes(first)
    assert now(first).promised_on == counted_on.on
    with transaction.atomic():
        assert steps.promise_reckoned(actor=SYSTEM, unit=now(second), day=counted_on) is None
    days.approved(actor=SYSTEM, subject_id=later.quote_id)
    day = now(second).promised_on
    assert day is not None
    assert day - counted_on.on >= timedelta(days=1)


def test_what_was_promised_goes_before_what_was_agreed_later(long_work: House, noor: Customer) -> None:
    """No plan knows either; the one with the higher number was promised first."""
    first, second = two_quoted(long_work, noor)
    say_yes(second)
    say_yes(first)
    days_told = [now(second).promised_on, now(first).promised_on]
    assert days_told[0] is not None
    assert days_told[1] is not None
    assert days_told[1] - days_told[0] >= timedelta(days=1)


def two_quoted(house: House, customer: Customer) -> list[Journey]:
    """Two units whose quotes are with the customer."""
    journeys = [
        Journey(house, days_ago=2, seed=seed).arrive(customer, "lantern", ["recap"], complaint="x", **FEE).take_in()
        for seed in (1, 2)
    ]
    return [journey.quote() for journey in journeys]


def planned() -> None:
    """Store a plan that knows nothing yet, so that days come from playing all that is left through."""
    Plan.objects.create(starts_at=clock.now(), stored_at=clock.now(), state=Plan.State.DONE)


def fill(house: House, how_many: int) -> None:
    """Put so many units with approved work into the queue."""
    recap = house.services["recap"]
    units = [
        Unit(number=1000 + n, model=house.models["lantern"], stage="queue", stage_since=clock.now(), diagnosed=True)
        for n in range(how_many)
    ]
    frozen = {"sent_at": clock.now(), "valid_until": clock.now().date(), "content": "{}", "content_sha256": "0" * 64}
    quotes = [
        QuoteVersion(
            unit=unit, edition=1, state="approved", currency="USD", tax_name="Tax", tax_rate_millipercent=0, **frozen
        )
        for unit in units
    ]
    lines = [
        QuoteLine(quote=each, position=1, kind="labour", words="Recap", service=recap, unit_minor=1) for each in quotes
    ]
    Unit.objects.bulk_create(units)
    QuoteVersion.objects.bulk_create(quotes)
    QuoteLine.objects.bulk_create(lines)


@pytest.fixture
def long_work(house: House) -> House:
    """One technician, and a service that takes days."""
    planning.add_day_off(
        actor=house.owner, technician_id=UUID(house.owner.id), from_day=clock.now().date(),
        until_day=clock.now().date() + timedelta(days=300),
    )  # fmt: skip
    Service.objects.filter(pk=house.services["recap"].pk).update(minutes=900)
    planned()
    return house


@pytest.mark.django_db(transaction=True)
class TestAtOnce:
    """Several connections, each with transactions of its own."""

    def test_others_write_while_the_day_is_reckoned(self, asked: Journey) -> None:
        """There is a moment at which the answer is stored, the day is not, and the unit itself can be written to."""
        fill(asked.house, 150)
        planned()
        answering = threading.Thread(target=_and_close, args=(lambda: say_yes(asked),))
        answering.start()
        until = time.monotonic() + PATIENCE_S
        while not Decision.objects.filter(quote__unit=asked.unit).exists():
            assert time.monotonic() < until
            time.sleep(0.001)
        with transaction.atomic():
            lock(Unit, pk=asked.unit.id)
            Unit.objects.filter(pk=asked.unit.pk).update(serial="QL-77")
            named = Promise.objects.filter(unit=asked.unit).exists()
        answering.join(PATIENCE_S)
        assert not named
        assert Promise.objects.filter(unit=asked.unit).exists()
        assert (now(asked).serial, now(asked).promised_on is None) == ("QL-77", False)

    def test_two_approvals_do_not_count_on_the_same_time(self, long_work: House, noor: Customer) -> None:
        """Whoever is promised last is promised a day by which both are done.

        Which of the two goes first is open: where the one behind is promised first, the other counts as behind it too.
        """
        journeys = two_quoted(long_work, noor)
        todo = [*journeys]
        ended = together(2, lambda: say_yes(todo.pop()))
        assert [type(each) for each in ended] == [Decision, Decision]
        told = [day for journey in journeys if (day := now(journey).promised_on)]
        alone, both = sorted(steps.reckon(now(journey), clock.now().date()).on for journey in journeys)
        assert both - alone >= timedelta(days=1)
        assert len(told) == 2
        assert max(told) >= both
        assert {*told} <= {alone, both}

    def test_inside_a_callers_transaction_it_waits_for_the_end_of_that(self, asked: Journey) -> None:
        with transaction.atomic():
            say_yes(asked)
            assert not Promise.objects.exists()
        assert Promise.objects.filter(unit=asked.unit).count() == 1
        assert len(thanked(asked)) == 1


def _and_close(act: Callable[[], object]) -> None:
    try:
        act()
    finally:
        connection.close()
