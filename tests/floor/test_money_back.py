"""Money that goes back so that a deposit is not covered any more: who waits, who goes on, and who hears of it."""

from collections.abc import Callable
from uuid import UUID

import pytest

from shop.books.deposits import open_request
from shop.books.models import Payment, PaymentRequest
from shop.books.queries import amount_due
from shop.core import duework
from shop.core.models import DueWork
from shop.core.profile import change_profile, profile
from shop.core.reasons import Refused
from shop.floor.demo.journeys import Journey
from shop.floor.flows import bench, money, pickup
from shop.floor.stages import Move
from shop.floor.story import headline
from shop.notices.facts import known_of
from shop.notices.models import Event, Notice
from shop.notices.placeholders import fill
from shop.notices.rendering import render
from shop.notices.short_wording import SHORT
from shop.units import queries
from shop.units.models import Unit
from tests.core.together import together
from tests.floor.conftest import now
from tests.floor.deposits_seen import holds, left_minor, left_out, offer_more, pay, refusals, ringed, seen


@pytest.fixture
def paid(unpaid: Journey) -> Journey:
    """The deposit is paid, and no more."""
    pay(unpaid, left_minor(unpaid))
    return unpaid


def give_back(journey: Journey, amount_minor: int) -> Payment:
    return money.give_back(
        actor=journey.house.owner, unit_id=journey.unit.id, amount_minor=amount_minor, method="cash", reason="A slip"
    )  # fmt: skip


def asked(journey: Journey) -> list[str]:
    """Return the words of the messages that ask for a deposit, the first one first."""
    notices = Notice.objects.filter(unit=journey.unit, event="deposit_asked").order_by("created_at")
    return [render(notice.envelope).text for notice in notices]


def labels(journey: Journey) -> list[str]:
    return [mark.stop.label for mark in seen(journey).trace.marks]


def trail(journey: Journey) -> list[str]:
    return [entry.what for entry in queries.history(journey.unit)]


def test_before_the_bench_it_waits_again(paid: Journey) -> None:
    DueWork.objects.all().delete()
    before = len(trail(paid))
    give_back(paid, 2500)
    assert (holds(paid), left_minor(paid), refusals(paid)) == (["deposit"], 2500, ["deposit_open"])
    reason = left_out(paid)
    assert reason is not None
    assert reason.code == "plan_waits_deposit"
    assert trail(paid)[before:] == ["money_given_back", "deposit_uncovered", "held", "promise_withdrawn"]
    assert DueWork.objects.filter(task=duework.REPLAN, state="due").count() == 1


def test_its_day_goes_and_the_customer_sees_why(paid: Journey) -> None:
    assert now(paid).promised_on is not None
    give_back(paid, 2500)
    assert (now(paid).promised_on, now(paid).promise_percent) == (None, None)
    view = seen(paid)
    assert (view.where, view.when) == ("With us, waiting for your deposit.", "We name a day when your deposit is here.")
    assert view.do_next[0] == "Please pay the deposit of $25.00; we begin when it has arrived."
    assert ringed(paid) == ["held: deposit"]


def test_the_customer_is_told_once_what_is_missing_and_nothing_else(paid: Journey) -> None:
    before = Notice.objects.count()
    give_back(paid, 2500)
    give_back(paid, 500)
    assert Notice.objects.count() == before + 1
    words = asked(paid)[-1]
    assert "We have given money back to you. What is left does not cover the deposit" in words
    assert "$25.00 is missing." in words
    assert "Then we name a new day." in words
    assert "Before we order parts" not in words
    assert "The deposit is" not in words


def test_a_text_message_says_it_as_well(paid: Journey) -> None:
    give_back(paid, 2500)
    notice = Notice.objects.filter(unit=paid.unit, event="deposit_asked").latest("created_at")
    known = known_of(notice, profile())
    lines = [fill(str(line.text), known) for line in SHORT[Event.DEPOSIT_ASKED] if line.said(known)]
    assert lines == ["After what we gave back, $25.00 of the deposit for your Quillon Lantern is missing."]


def test_the_first_message_about_a_deposit_says_nothing_of_money_back(unpaid: Journey) -> None:
    [words] = asked(unpaid)
    assert "Before we order parts" in words
    assert "missing" not in words
    assert "new day" not in words


def test_a_payment_closes_it_again_and_names_a_day(paid: Journey) -> None:
    give_back(paid, 2500)
    pay(paid, 2499)
    assert (holds(paid), now(paid).promised_on) == (["deposit"], None)
    pay(paid, 1)
    assert (holds(paid), left_out(paid), refusals(paid)) == ([], None, [])
    assert now(paid).promised_on is not None
    assert ringed(paid) == ["queue"]
    assert Notice.objects.filter(unit=paid.unit, event="deposit_paid").count() == 2


def test_it_can_be_waived_and_is_then_not_asked_for_again(paid: Journey) -> None:
    give_back(paid, 2500)
    money.waive_deposit(actor=paid.house.counter, unit_id=paid.unit.id, reason="A regular")
    assert holds(paid) == []
    give_back(paid, 100)
    assert (holds(paid), len(asked(paid))) == ([], 2)
    with pytest.raises(Refused, match="no_deposit_open"):
        money.waive_deposit(actor=paid.house.counter, unit_id=paid.unit.id, reason="An old page")


def test_what_is_left_may_still_cover_it(paid: Journey) -> None:
    pay(paid, 1000)
    give_back(paid, 1000)
    assert (holds(paid), len(asked(paid))) == ([], 1)
    give_back(paid, 1)
    assert (holds(paid), left_minor(paid)) == (["deposit"], 1)


def test_what_is_refused_changes_nothing(paid: Journey) -> None:
    with pytest.raises(Refused, match="gives_too_much"):
        give_back(paid, 10**6)
    with pytest.raises(Refused, match="not_permitted"):
        money.give_back(
            actor=paid.house.counter, unit_id=paid.unit.id, amount_minor=100, method="cash", reason="Why not"
        )  # fmt: skip
    assert (holds(paid), now(paid).promised_on is None) == ([], False)


def test_what_is_at_work_goes_on_and_nobody_is_told(paid: Journey) -> None:
    paid.start(Move.START_WORK, 0)
    day, told, plans = now(paid).promised_on, Notice.objects.count(), DueWork.objects.count()
    give_back(paid, 2500)
    assert (now(paid).promised_on, Notice.objects.count(), DueWork.objects.count()) == (day, told, plans)
    assert left_minor(paid) == 2500
    assert left_out(paid) is None
    assert headline(queries.one(paid.unit.id)).startswith("On Bench 1 for work")
    assert (ringed(paid), labels(paid)[-1]) == (["bench"], "bench")
    view = seen(paid)
    assert view.where == "On a bench, being worked on."
    assert view.do_next[0] == "Please pay the deposit of $25.00."
    paid.work()
    assert ringed(paid) == ["testing"]


def test_paid_at_the_bench_it_is_covered_again_without_a_message(paid: Journey) -> None:
    paid.start(Move.START_WORK, 0)
    give_back(paid, 2500)
    told = Notice.objects.count()
    pay(paid, 2500)
    assert (open_request(paid.unit.id), holds(paid), Notice.objects.count()) == (None, [], told)


def test_off_the_bench_it_waits_for_what_is_missing(paid: Journey) -> None:
    paid.start(Move.START_WORK, 0)
    give_back(paid, 2500)
    bench.park(actor=paid.house.technician, unit_id=paid.unit.id, text="The day is over")
    assert refusals(paid) == ["deposit_open"]
    assert ringed(paid) == ["held: deposit"]
    pay(paid, 2500)
    assert refusals(paid) == []
    assert ringed(paid) == ["queue"]
    assert labels(paid)[-3:] == ["bench", "queue", "held: deposit"]


def test_once_the_work_is_done_the_bill_takes_its_place(paid: Journey) -> None:
    paid.start(Move.START_WORK, 0).work().passes()
    give_back(paid, 2500)
    assert (open_request(paid.unit.id), holds(paid)) == (None, [])
    assert "deposit" not in " ".join(seen(paid).do_next)


def test_a_bill_that_is_written_leaves_it_alone_wherever_the_unit_is(paid: Journey) -> None:
    paid.start(Move.START_WORK, 0).work().passes()
    pickup.bill(actor=paid.house.counter, unit_id=paid.unit.id)
    Unit.objects.filter(pk=paid.unit.pk).update(stage="testing", visit="work")
    give_back(paid, 2500)
    assert open_request(paid.unit.id) is None


def test_a_deposit_left_open_at_the_bench_is_not_asked_for_when_the_unit_is_ready(paid: Journey) -> None:
    paid.start(Move.START_WORK, 0)
    give_back(paid, 2500)
    paid.work().passes()
    view = seen(paid)
    assert view.deposit_minor == 0
    assert view.do_next[0].startswith("Pay at the counter, or by transfer")
    pay(paid, amount_due(now(paid)).due_minor)
    assert holds(paid) == []


def test_work_that_was_ended_waits_for_no_deposit(paid: Journey) -> None:
    Unit.objects.filter(pk=paid.unit.pk).update(ending="declined")
    give_back(paid, 2500)
    assert holds(paid) == []


def test_an_edition_that_was_covered_when_it_was_approved_is_asked_for_as_well(paid: Journey) -> None:
    """The edition asks for less than was paid: nothing was asked for at its approval, and its own share counts now."""
    change_profile(actor=paid.house.owner, deposit_percent=10)
    offer_more(paid)
    paid.answer(approve=True)
    wanted = seen(paid).quote
    assert wanted is not None
    assert PaymentRequest.objects.filter(quote_id=wanted.id).count() == 0
    enough = amount_due(now(paid)).paid_minor - wanted.deposit_minor
    give_back(paid, enough)
    assert holds(paid) == []
    give_back(paid, 1)
    assert (holds(paid), left_minor(paid)) == (["deposit"], 1)


def test_a_unit_that_has_no_deposit_to_pay_waits_for_none(approved: Journey) -> None:
    pay(approved, 5000)
    give_back(approved, 5000)
    assert (holds(approved), now(approved).promised_on is None) == ([], False)


@pytest.mark.django_db(transaction=True)
class TestAtOnce:
    """Two people at the same moment, each on a connection of their own."""

    def both(self, *acts: Callable[[], object]) -> list[str]:
        """Do two things at once; return how each ended, refusals by their code."""
        todo = [*acts]

        def one() -> str:
            act = todo.pop()
            try:
                act()
            except Refused as refused:
                return refused.code
            return "done"

        return sorted(str(ended) for ended in together(len(acts), one))

    def agrees(self, journey: Journey) -> bool:
        """Tell whether what is asked for, what holds the unit and what was paid say the same."""
        missing = left_minor(journey)
        assert missing >= 0
        assert (open_request(journey.unit.id) is None) == (missing == 0) == ("deposit" not in holds(journey))
        return missing == 0

    def test_two_refunds_ask_once(self, paid: Journey) -> None:
        assert self.both(lambda: give_back(paid, 1000), lambda: give_back(paid, 1500)) == ["done", "done"]
        assert left_minor(paid) == 2500
        assert PaymentRequest.objects.filter(settled_at=None, waived_at=None).count() == 1
        assert trail(paid).count("deposit_uncovered") == 1

    def test_a_refund_and_a_payment_come_to_the_same_in_either_order(self, paid: Journey) -> None:
        assert self.both(lambda: give_back(paid, 2500), lambda: pay(paid, 2500)) == ["done", "done"]
        assert self.agrees(paid)
        assert (now(paid).promised_on is None) is False

    def test_a_refund_stops_the_start_or_comes_too_late_for_it(self, paid: Journey) -> None:
        def start() -> Unit:
            chosen: UUID = paid.house.benches[0].id
            return bench.start(
                actor=paid.house.technician, unit_id=paid.unit.id, move=Move.START_WORK, bench_id=chosen
            )  # fmt: skip

        ended = self.both(lambda: give_back(paid, 2500), start)
        begun = now(paid).stage == "bench"
        assert ended == (["done", "done"] if begun else ["deposit_open", "done"])
        assert not self.agrees(paid)
        assert (now(paid).promised_on is not None) == begun
