"""Two people decide at once, on connections of their own: one wins, and the other is told why."""

import threading
from collections.abc import Callable

import pytest
from django.db import connection, transaction

from shop.core.actor import Actor
from shop.core.locks import lock
from shop.core.reasons import Refused
from shop.quotes import actions, steps
from shop.quotes.models import Decision, QuoteVersion
from shop.quotes.operations import AddLine
from shop.units.models import Unit
from tests.quotes.conftest import decide, optional_ids, trail_of

pytestmark = pytest.mark.django_db(transaction=True)
PATIENCE_S = 20


def at_once(*calls: Callable[[], str]) -> list[str]:
    """Run the calls on threads that start together, each on a connection of its own; return what they came to."""
    start, answers = threading.Barrier(len(calls)), [""] * len(calls)

    def run(place: int, call: Callable[[], str]) -> None:
        try:
            start.wait(PATIENCE_S)
            answers[place] = call()
        except Refused as refused:
            answers[place] = refused.code
        finally:
            connection.close()

    threads = [threading.Thread(target=run, args=(place, call)) for place, call in enumerate(calls)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join(PATIENCE_S)
    return answers


def _answers(quote: QuoteVersion, actor: Actor, *, approve: bool) -> Callable[[], str]:
    return lambda: decide(quote, actor, approve=approve).kind


def test_it_lets_exactly_one_of_two_answers_win(sent: QuoteVersion, unit: Unit, customer: Actor, helper: Actor) -> None:
    answers = at_once(_answers(sent, customer, approve=True), _answers(sent, helper, approve=False))
    assert sorted(answers)[1] == "quote_already_decided"
    decision = Decision.objects.get()
    sent.refresh_from_db()
    assert decision.kind == sent.state == sorted(answers)[0]
    assert len([what for what in trail_of(unit) if what in ("quote_approved", "quote_declined")]) == 1


def test_it_lets_both_win_where_nobody_looks_again_under_the_lock(
    sent: QuoteVersion, customer: Actor, helper: Actor
) -> None:
    """The control: the same check, made before the lock. It shows what the test above would see without ours."""
    looked = threading.Barrier(2)

    def careless(state: str) -> Callable[[], str]:
        def call() -> str:
            if QuoteVersion.objects.get(pk=sent.pk).state != QuoteVersion.State.SENT:
                return "quote_already_decided"
            looked.wait(PATIENCE_S)
            with transaction.atomic():
                quote = lock(QuoteVersion, pk=sent.pk)
                quote.state = state
                quote.save(update_fields=["state"])
            return state

        return call

    assert at_once(careless("approved"), careless("declined")) == ["approved", "declined"]


def test_it_answers_the_second_after_the_first_committed(
    sent: QuoteVersion, unit: Unit, customer: Actor, helper: Actor
) -> None:
    """Interleaved on purpose: the second begins while the first holds the lock and has decided but not committed."""
    holding, begun = threading.Event(), threading.Event()

    def first() -> str:
        with transaction.atomic():
            locked = lock(Unit, pk=unit.id)
            decision = steps.decide(
                actor=customer,
                unit=locked,
                quote_id=sent.id,
                approve=True,
                taken_line_ids=optional_ids(sent),
                shown_sha256=sent.content_sha256,
            )
            holding.set()
            begun.wait(PATIENCE_S)
            # The second can only end after this transaction: give it the time to run into the lock.
            assert not ended.wait(0.3)
        return decision.kind

    ended = threading.Event()

    def second() -> str:
        holding.wait(PATIENCE_S)
        begun.set()
        try:
            return decide(sent, helper, approve=False).kind
        finally:
            ended.set()

    assert at_once(first, second) == ["approved", "quote_already_decided"]


def test_it_counts_two_taps_as_one(sent: QuoteVersion, unit: Unit, customer: Actor) -> None:
    tap = _answers(sent, customer, approve=True)
    assert at_once(tap, tap) == ["approved", "approved"]
    assert Decision.objects.count() == 1
    assert trail_of(unit).count("quote_approved") == 1


def test_it_applies_one_of_two_changes_of_the_same_version(
    draft: QuoteVersion, helper: Actor, technician: Actor
) -> None:
    def change(actor: Actor, words: str) -> Callable[[], str]:
        more = [AddLine(kind="part", words=words, unit_minor=90)]
        return lambda: str(
            actions.change_quote(actor=actor, quote_id=draft.id, version=draft.version, operations=more).version
        )

    assert sorted(at_once(change(helper, "Fuse"), change(technician, "Bulb"))) == ["2", "stale"]
    assert draft.lines.count() == 5


def test_it_starts_one_draft_when_two_people_start_it(unit: Unit, helper: Actor, technician: Actor) -> None:
    def start(actor: Actor) -> Callable[[], str]:
        return lambda: str(actions.draft_quote(actor=actor, unit_id=unit.id).edition)

    assert at_once(start(helper), start(technician)) == ["1", "1"]
    assert QuoteVersion.objects.count() == 1
