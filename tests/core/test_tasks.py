"""Due work is done once, whatever brokers and workers do."""

import os
from collections.abc import Callable, Iterator
from contextlib import AbstractContextManager
from datetime import timedelta
from pathlib import Path

import pytest
import redis
import time_machine
from celery import current_app
from django.db import connection, transaction

from shop.core import clock
from shop.core.bell import ring
from shop.core.duework import claim, due, undertake, wake
from shop.core.models import DueWork
from shop.core.supervisor import commands
from shop.core.tasks import FIRST_RETRY, LEASE, TRIES, do_due_work, sweep_due_work, worker_seen_at
from shop.core.tasks import at_once as do_at_once
from tests.core.running import OwnShop, wait_until

Capture = Callable[..., AbstractContextManager[list[Callable[[], None]]]]
DONE, DUE, FAILED = DueWork.State.DONE, DueWork.State.DUE, DueWork.State.FAILED


@pytest.fixture
def heard() -> Iterator[list[str]]:
    """A task of a higher room, `tests.replan`: what it was asked for. The subject "faulty" makes it fail."""
    calls: list[str] = []

    @current_app.task(name="tests.replan")
    def replan(subject: str) -> None:
        calls.append(subject)
        if subject == "faulty":
            raise OSError("no paper")

    yield calls
    current_app.tasks.pop("tests.replan")


@pytest.fixture
def at_once() -> Iterator[None]:
    """Run what is rung for on the spot."""
    current_app.conf.task_always_eager = True
    yield
    current_app.conf.task_always_eager = False


def wished(subject: str, task: str = "tests.replan") -> DueWork:
    wake(task, subject)
    return DueWork.objects.get(task=task, subject=subject, state=DUE)


def test_what_was_undertaken_is_done_at_once_and_no_more(db: None) -> None:
    done: list[str] = []
    mine = undertake("tests.replan", "unit-7")
    do_at_once(mine, lambda: done.append("here"))
    mine.refresh_from_db()
    assert (done, mine.state) == (["here"], DONE)


def test_what_was_undertaken_and_fails_is_tried_again_by_a_worker(
    db: None, frozen: time_machine.Traveller, heard: list[str]
) -> None:
    mine = undertake("tests.replan", "unit-7")
    do_at_once(mine, lambda: 1 // 0)
    mine.refresh_from_db()
    assert (mine.state, mine.error.split(":")[0]) == (DUE, "ZeroDivisionError")
    assert not due(DueWork).exists()
    frozen.shift(FIRST_RETRY)
    assert do_due_work(str(mine.pk)) is True
    assert heard == ["unit-7"]


@pytest.mark.django_db(transaction=True)
def test_what_was_undertaken_waits_for_the_end_of_the_callers_transaction() -> None:
    done: list[bool] = []
    with transaction.atomic():
        do_at_once(undertake("tests.replan", "unit-7"), lambda: done.append(connection.in_atomic_block))
        assert done == []
    assert done == [False]

    @transaction.atomic
    def fails() -> None:
        do_at_once(undertake("tests.replan", "unit-8"), lambda: done.append(True))
        raise KeyError

    with pytest.raises(KeyError):
        fails()
    assert done == [False]


def test_it_does_a_wish_once_however_often_it_rings(db: None, frozen: time_machine.Traveller, heard: list[str]) -> None:
    wish = wished("unit-7")
    assert do_due_work(str(wish.pk)) is True
    assert do_due_work(str(wish.pk)) is False
    wish.refresh_from_db()
    assert (heard, wish.state, wish.attempts) == (["unit-7"], DONE, 1)


def test_it_leaves_work_that_another_worker_holds(db: None, frozen: time_machine.Traveller, heard: list[str]) -> None:
    wish = wished("unit-7")
    assert claim(DueWork, wish.pk, lease=LEASE)
    assert do_due_work(str(wish.pk)) is False
    assert heard == []


def test_it_takes_over_when_a_worker_died_with_the_work(
    db: None, frozen: time_machine.Traveller, heard: list[str]
) -> None:
    wish = wished("unit-7")
    assert claim(DueWork, wish.pk, lease=LEASE)
    frozen.shift(LEASE + timedelta(seconds=1))
    assert do_due_work(str(wish.pk)) is True
    assert heard == ["unit-7"]


def test_it_tries_again_later_and_says_what_failed(db: None, frozen: time_machine.Traveller, heard: list[str]) -> None:
    wish = wished("faulty")
    assert do_due_work(str(wish.pk)) is False
    wish.refresh_from_db()
    assert (wish.state, wish.error) == (DUE, "OSError: no paper")
    assert wish.due_at == clock.now() + timedelta(seconds=30)
    assert do_due_work(str(wish.pk)) is False
    assert heard == ["faulty"]


def test_it_gives_up_after_the_last_try(db: None, frozen: time_machine.Traveller, heard: list[str]) -> None:
    wish = wished("faulty")
    for _try in range(TRIES):
        do_due_work(str(wish.pk))
        frozen.shift(timedelta(hours=1, seconds=1))
    wish.refresh_from_db()
    assert (wish.state, wish.attempts, len(heard)) == (FAILED, TRIES, TRIES)


def test_a_wish_made_while_the_work_failed_stands_for_both(
    db: None, frozen: time_machine.Traveller, heard: list[str]
) -> None:
    wish = wished("faulty")
    held = claim(DueWork, wish.pk, lease=LEASE)
    assert held
    newer = wished("faulty")
    frozen.shift(LEASE + timedelta(seconds=1))
    do_due_work(str(wish.pk))
    states = dict(DueWork.objects.values_list("pk", "state"))
    assert states == {wish.pk: DueWork.State.CANCELLED, newer.pk: DUE}


def test_a_wish_for_a_task_that_nobody_knows_is_kept_and_named(db: None, frozen: time_machine.Traveller) -> None:
    wish = wished("unit-7", task="tests.unheard_of")
    assert do_due_work(str(wish.pk)) is False
    wish.refresh_from_db()
    assert wish.state == DUE
    assert "tests.unheard_of" in wish.error


def test_a_sweep_rings_for_what_is_due_and_shows_that_a_worker_lives(
    db: None, frozen: time_machine.Traveller, heard: list[str]
) -> None:
    wished("unit-7")
    later = wished("unit-8")
    DueWork.objects.filter(pk=later.pk).update(due_at=clock.now() + timedelta(minutes=1))
    assert sweep_due_work() == 1
    assert worker_seen_at() == clock.now()


def test_it_rings_only_after_the_commit(
    db: None, at_once: None, heard: list[str], django_capture_on_commit_callbacks: Capture
) -> None:
    with django_capture_on_commit_callbacks() as waiting:
        ring("tests.replan", "unit-7")
        assert heard == []
    for callback in waiting:
        callback()
    assert heard == ["unit-7"]


def test_a_broker_that_is_away_costs_time_and_no_error(own_shop: OwnShop, tmp_path: Path) -> None:
    (tmp_path / "broker").write_text("a file where the folder should be")
    code = "from shop.core.bell import ring; ring('core.do_due_work', 'unit-7'); print('went on')"
    done = own_shop.manage("shell", "--no-imports", "-c", code)
    assert "went on" in done.stdout
    assert "The broker does not take core.do_due_work for unit-7" in done.stderr


@pytest.mark.parametrize(
    "settings",
    [
        pytest.param({}, id="files"),
        pytest.param({"WICKLINE_BROKER_URL": "TEST_REDIS_URL"}, id="redis", marks=pytest.mark.redis),
    ],
)
def test_worker_and_beat_do_due_work_on_either_broker(
    own_shop: OwnShop, tmp_path: Path, settings: dict[str, str]
) -> None:
    own_shop.environ |= {name: os.environ[variable] for name, variable in settings.items()}
    if settings:
        redis.Redis.from_url(os.environ["TEST_REDIS_URL"]).flushdb()
    own_shop.ask(
        "from shop.core.duework import wake;"
        "[wake('core.do_due_work', f'00000000-0000-0000-0000-0000000000{n:02}') for n in range(20)]"
    )
    started = [
        own_shop.start(*commands(host="127.0.0.1", port=1)[name], log=tmp_path / f"{name}.log")
        for name in ("worker", "beat")
    ]
    try:
        wait_until(
            lambda: own_shop.count("core_duework WHERE state = 'done' AND attempts = 1") == 20,
            what="20 wishes done once",
        )
        assert own_shop.manage("doctor", "--only", "worker").stdout.startswith("ok")
    finally:
        for process in started:
            process.terminate()
        codes = [process.wait(40) for process in started]
    assert codes == [0, 0], (tmp_path / "worker.log").read_text() + (tmp_path / "beat.log").read_text()
