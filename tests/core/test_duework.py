"""Work that happens once: claimed, leased, finished, and rung for again."""

from datetime import timedelta
from threading import Event, Thread

import pytest
import time_machine
from django.db import IntegrityError, connection, transaction

from shop.core import clock, duework
from shop.core.models import DueWork
from tests.core.together import together

State = DueWork.State


@pytest.fixture
def wish(db: None, frozen: time_machine.Traveller) -> DueWork:
    duework.wake("planning.replan", "42")
    return DueWork.objects.get()


def test_waking_twice_is_waking_once(wish: DueWork) -> None:
    duework.wake("planning.replan", 42)
    assert DueWork.objects.count() == 1


def test_waking_for_another_subject_or_task_is_another_wish(wish: DueWork) -> None:
    duework.wake("planning.replan", "43")
    duework.wake("books.import", "42")
    assert DueWork.objects.count() == 3


def test_waking_while_the_work_is_being_done_asks_for_it_again(wish: DueWork) -> None:
    duework.claim(DueWork, wish.pk)
    duework.wake("planning.replan", "42")
    assert duework.due(DueWork).count() == 1


def test_waking_brings_a_later_try_forward(wish: DueWork) -> None:
    held = duework.claim(DueWork, wish.pk)
    assert held is not None
    duework.finish(held, State.DUE, due_at=clock.now() + timedelta(hours=1))
    assert not duework.due(DueWork).exists()
    duework.wake("planning.replan", "42")
    assert duework.due(DueWork).get().pk == wish.pk


def test_what_the_caller_undertakes_is_a_workers_only_when_the_lease_is_over(
    db: None, frozen: time_machine.Traveller
) -> None:
    mine = duework.undertake("planning.replan", 42)
    assert not duework.due(DueWork).exists()
    assert duework.claim(DueWork, mine.pk) is None
    frozen.shift(duework.LEASE + timedelta(seconds=1))
    assert duework.due(DueWork).get().pk == mine.pk
    assert duework.claim(DueWork, mine.pk) is not None
    assert duework.finish(mine, State.DONE) is False


def test_a_wish_of_a_transaction_that_fails_is_none(db: None) -> None:
    with transaction.atomic():
        duework.wake("planning.replan", "42")
        transaction.set_rollback(True)
    assert not DueWork.objects.exists()


def test_one_worker_gets_the_claim_and_the_next_gets_nothing(wish: DueWork) -> None:
    held = duework.claim(DueWork, wish.pk)
    assert held is not None
    assert (held.state, held.attempts) == (State.CLAIMED, 1)
    assert duework.claim(DueWork, wish.pk) is None


def test_work_that_is_not_due_yet_cannot_be_claimed(wish: DueWork) -> None:
    DueWork.objects.update(due_at=clock.now() + timedelta(seconds=1))
    assert duework.claim(DueWork, wish.pk) is None


def test_what_was_claimed_and_never_finished_becomes_due_again(wish: DueWork, frozen: time_machine.Traveller) -> None:
    dead = duework.claim(DueWork, wish.pk, lease=timedelta(minutes=2))
    assert not duework.due(DueWork).exists()
    frozen.shift(timedelta(minutes=2))
    again = duework.claim(DueWork, wish.pk)
    assert dead is not None
    assert again is not None
    assert again.attempts == 2
    assert not duework.finish(dead, State.DONE)
    assert duework.finish(again, State.DONE)


def test_finishing_records_the_end_and_more_once(wish: DueWork) -> None:
    held = duework.claim(DueWork, wish.pk)
    assert held is not None
    assert duework.finish(held, State.FAILED, error="no such unit")
    assert not duework.finish(held, State.DONE)
    wish.refresh_from_db()
    assert (wish.state, wish.error, wish.claim, wish.lease_until) == (State.FAILED, "no such unit", None, None)


def test_a_retry_says_so_when_the_same_was_wished_meanwhile(wish: DueWork) -> None:
    held = duework.claim(DueWork, wish.pk)
    assert held is not None
    duework.wake("planning.replan", "42")
    with pytest.raises(IntegrityError), transaction.atomic():
        duework.finish(held, State.DUE, due_at=clock.now())


def test_the_oldest_is_handled_first(wish: DueWork, frozen: time_machine.Traveller) -> None:
    frozen.shift(timedelta(seconds=1))
    duework.wake("books.import", "7")
    assert [row.task for row in duework.due(DueWork)] == ["planning.replan", "books.import"]


@pytest.mark.django_db(transaction=True)
def test_of_many_workers_at_once_one_gets_the_claim() -> None:
    duework.wake("planning.replan", "42")
    pk = DueWork.objects.get().pk
    claims = together(8, lambda: duework.claim(DueWork, pk))
    assert len([claim for claim in claims if isinstance(claim, DueWork)]) == 1
    assert claims.count(None) == 7


@pytest.mark.django_db(transaction=True)
def test_a_claim_cannot_hide_in_a_transaction() -> None:
    duework.wake("planning.replan", "42")
    with pytest.raises(RuntimeError), transaction.atomic():
        duework.claim(DueWork, DueWork.objects.get().pk)


@pytest.mark.django_db(transaction=True)
def test_nobody_takes_up_a_wish_before_the_change_behind_it_is_there_to_see() -> None:
    """A second change wakes for the same subject; a worker that asks meanwhile must wait until it is committed."""
    duework.wake("planning.replan", "42")
    pk = DueWork.objects.get().pk
    asked, answered, seen = Event(), Event(), []

    def worker() -> None:
        asked.set()
        duework.claim(DueWork, pk)
        seen.append(DueWork.objects.filter(task="the.change").exists())
        answered.set()
        connection.close()

    with transaction.atomic():
        duework.wake("planning.replan", "42")
        thread = Thread(target=worker)
        thread.start()
        asked.wait(10)
        assert not answered.wait(0.3)
        DueWork.objects.create(task="the.change", subject="42")
    thread.join(20)
    assert seen == [True]
