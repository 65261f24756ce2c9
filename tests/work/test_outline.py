"""The working order of the trade, as a pure table."""

from collections.abc import Sequence
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.work import outline
from shop.work.outline import CLOSE_UP, FINISH, LOOK, Task, still_to_do

RECAP = [Task("service", "recap", words) for words in ("Remove", "Clean the pads", "Fit")]
PORT = [Task("service", "port", "Fit the port")]


def codes(tasks: list[Task]) -> list[str]:
    return [task.code for task in tasks]


def plan(
    kind: str = "work",
    *,
    services: Sequence[Task] = RECAP,
    done: Sequence[Task] = (),
    opened: bool = False,
    failed: int = 0,
) -> list[Task]:
    return still_to_do(kind=kind, service_tasks=services, done=done, opened=opened, failed_tests=failed)


def test_it_lays_out_work_in_the_order_of_the_trade() -> None:
    assert codes(plan()) == [
        "test_before", "unplug", "open", "discharge", "service", "service", "service", "clean", "dry", "joints",
        "look_again", "resistance", "first_power", "open_readings", "close", "count",
    ]  # fmt: skip
    assert [task.words for task in plan()[4:7]] == ["Remove", "Clean the pads", "Fit"]


def test_it_lays_out_a_diagnosis_that_leaves_the_unit_open() -> None:
    assert codes(plan("diagnosis", services=[])) == [
        "test_before", "unplug", "open", "discharge", "identify", "photograph", "measure",
    ]  # fmt: skip


def test_it_lays_out_closing_as_closing_and_counting() -> None:
    assert codes(plan("closing")) == ["close", "count"]


def test_it_does_not_ask_to_open_what_the_diagnosis_left_open() -> None:
    diagnosis = plan("diagnosis", services=[])
    work = codes(plan(done=diagnosis, opened=True))
    assert work[:3] == ["unplug", "discharge", "service"]
    assert "test_before" not in work


def test_it_goes_on_where_an_interrupted_visit_stopped() -> None:
    begun = plan()[:6]
    assert codes(plan(done=begun, opened=True)) == ["unplug", "discharge", "service", *FINISH, *CLOSE_UP]


def test_it_asks_after_a_failed_test_for_a_mend_and_all_that_follows_it() -> None:
    whole = plan()
    assert codes(plan(done=whole, failed=1)) == ["unplug", "open", "discharge", "mend", *FINISH, *CLOSE_UP]


def test_it_asks_for_a_second_mend_after_a_second_failure() -> None:
    done = plan()
    done += plan(done=done, failed=1)
    assert "mend" in codes(plan(done=done, failed=2))
    assert "mend" not in codes(plan(done=done, failed=1))


def test_it_finishes_again_when_a_service_was_added_after_the_finish() -> None:
    done = plan()[:-2]
    assert codes(plan(services=RECAP + PORT, done=done, opened=True)) == [
        "unplug", "discharge", "service", *FINISH, *CLOSE_UP,
    ]  # fmt: skip


def test_it_only_closes_when_everything_inside_is_done() -> None:
    assert codes(plan(done=plan()[:-2], opened=True)) == ["close", "count"]
    assert codes(plan(done=plan()[:-1])) == ["count"]
    assert plan(done=plan()) == []


def test_it_opens_once_more_what_failed_after_it_was_closed_up() -> None:
    done = [*plan("diagnosis", services=[]), *plan("closing")]
    assert plan("closing", done=done) == []
    assert codes(plan("closing", done=done, failed=1)) == ["unplug", "open", "discharge", "mend", *FINISH, *CLOSE_UP]
    assert codes(plan("closing", done=done[:-2], failed=1)) == ["close", "count"]


def test_it_closes_again_what_was_closed_for_the_shelf_and_opened_again() -> None:
    done = [*plan()[:5], *plan("closing")]
    assert codes(plan(done=done))[:4] == ["unplug", "open", "discharge", "service"]
    assert codes(plan(done=done))[-2:] == ["close", "count"]


def test_it_refuses_a_visit_it_does_not_know() -> None:
    with pytest.raises(ValueError, match="diagnosis, work or closing"):
        plan("dusting")


words = st.sampled_from(["Remove", "Fit", "Trim"])
services = st.lists(st.builds(Task, st.just("service"), st.sampled_from(["a", "b"]), words), max_size=8)


@given(services=services, failed=st.integers(0, 3), opened=st.booleans(), stop=st.integers(0, 30))
def test_it_always_ends_when_visits_go_on_where_the_last_stopped(
    services: list[Task], failed: int, opened: bool, stop: int
) -> None:
    first = plan(services=services, failed=failed, opened=opened)
    done = first[:stop]
    second = plan(services=services, done=done, failed=failed, opened=True)
    assert plan(services=services, done=[*done, *second], failed=failed, opened=False) == []


@given(services=services, failed=st.integers(0, 3), stop=st.integers(0, 30), opened=st.booleans())
def test_it_never_works_inside_before_the_charge_is_gone_nor_closes_before_the_readings(
    services: list[Task], failed: int, stop: int, opened: bool
) -> None:
    done = plan(services=services, failed=failed)[:stop]
    left = codes(plan(services=services, done=done, failed=failed, opened=opened))
    inside = [at for at, code in enumerate(left) if code in ("service", "mend", *LOOK, *FINISH)]
    if inside:
        assert left.index("unplug") < left.index("discharge") < inside[0]
        assert inside[-1] < left.index("close") < left.index("count")
    if "joints" in left:
        looked = [left.index(code) for code in ("joints", "look_again", "resistance", "first_power")]
        assert looked == sorted(looked)


def test_it_knows_each_code_once() -> None:
    assert len(set(outline.CODES)) == len(outline.CODES)


CANS = Task("solder", refs=("C1", "C2", "C3"))


def test_it_asks_for_the_placements_of_a_step_that_are_left() -> None:
    done = [Task("solder", refs=("C2",))]
    assert plan(services=[CANS], done=done)[4] == Task("solder", refs=("C1", "C3"))
    assert "solder" not in codes(plan(services=[CANS], done=[*done, Task("solder", refs=("C3", "C1"))]))


def test_it_takes_what_was_done_another_way_for_done() -> None:
    done = [Task("remove", refs=("C1",), how="flood")]
    wanted = Task("remove", refs=("C1", "C2"), how="station")
    assert plan(services=[wanted], done=done)[4] == Task("remove", refs=("C2",), how="station")


def test_it_looks_again_at_joints_that_were_soldered_after_the_second_look() -> None:
    first = plan(services=[CANS])
    looked = first[: codes(first).index("look_again") + 1]
    more = Task("solder", refs=("C4",))
    assert codes(plan(services=[CANS, more], done=looked, opened=True)) == [
        "unplug", "discharge", "solder", *FINISH, *CLOSE_UP,
    ]  # fmt: skip
    assert "look_again" not in codes(plan(services=[CANS], done=looked, opened=True))


def test_it_reads_the_marking_of_an_unknown_board_before_anything_is_done_to_it() -> None:
    facts: dict[str, Any] = {"kind": "work", "opened": True, "failed_tests": 0, "unknown_board": True}
    left = still_to_do(service_tasks=[CANS], done=[], **facts)
    assert codes(left)[:5] == ["test_before", "unplug", "discharge", "identify", "solder"]
    assert "identify" not in codes(still_to_do(service_tasks=[CANS], done=left[:4], **facts))
    assert codes(still_to_do(service_tasks=[CANS], done=left, **facts)) == []
    assert "identify" not in codes(still_to_do(service_tasks=[], done=[], **facts))
