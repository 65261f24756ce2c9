"""A technician's time in many runs: working time, order, pauses that others fill; and the exact queue of one server."""

from collections.abc import Sequence

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.planning.promises.desks import Desk
from shop.planning.queues.queueing import general_service_line, markov_line

DAY = 24 * 60
# Two days: nine to half past twelve and from a quarter past one to half past five.
TWO_DAYS = [(540, 750), (795, 1050), (DAY + 540, DAY + 750), (DAY + 795, DAY + 1050)]


def put(desk: Desk, ready: float, minutes: float, busy: float = 0) -> float:
    ends = desk.place(np.array([ready], float), np.array([minutes], float), np.array([0]), np.array([busy], float))
    return float(ends[0])


@pytest.mark.parametrize(
    ("ready", "minutes", "end"),
    [(0, 60, 600), (600, 60, 660), (0, 210, 750), (0, 211, 796), (700, 60, 805), (760, 10, 805),
     (0, 465, 1050), (0, 466, DAY + 541), (1040, 20, DAY + 550), (0, 930, DAY + 1050)],
)  # fmt: skip
def test_work_goes_on_through_breaks_and_nights(ready: float, minutes: float, end: float) -> None:
    assert put(Desk(TWO_DAYS, 1), ready, minutes) == pytest.approx(end)


def test_work_beyond_all_working_time_never_ends() -> None:
    assert put(Desk(TWO_DAYS, 1), 0, 931) == np.inf
    assert put(Desk(TWO_DAYS, 1), 5 * DAY, 1) == np.inf
    assert put(Desk(TWO_DAYS, 1), np.inf, 1) == np.inf
    assert put(Desk([], 1), 0, 1) == np.inf


def test_one_piece_follows_the_other() -> None:
    desk = Desk(TWO_DAYS, 1)
    assert [put(desk, 0, 100), put(desk, 0, 100), put(desk, 0, 100)] == [640, 740, 885]


def test_what_comes_later_in_the_order_fills_the_time_before_parts_come() -> None:
    desk = Desk(TWO_DAYS, 1)
    assert put(desk, DAY + 540, 60) == DAY + 600
    assert put(desk, 0, 300) == 885
    assert put(desk, 0, 60) == 945
    # What does not fit before is interrupted by the first and goes on behind it.
    assert put(desk, 0, 200) == DAY + 600 + 95


def test_a_pause_within_a_day_is_filled_too() -> None:
    desk = Desk(TWO_DAYS, 1)
    assert put(desk, 700, 20) == 720
    assert put(desk, 0, 100) == 640
    assert put(desk, 600, 50) == 690
    assert put(desk, 0, 50) == pytest.approx(720 + 30 + 45 + 10)


def test_who_is_at_something_else_brings_that_to_an_end() -> None:
    assert put(Desk(TWO_DAYS, 1), 600, 60, busy=30) == 690
    queue = Desk(TWO_DAYS, 1)
    put(queue, 0, 100)
    assert put(queue, 640, 60, busy=30) == 700
    assert put(queue, 0, 60, busy=30) == pytest.approx(760 + 45)


@pytest.mark.parametrize("spans", [[(5, 4)], [(0, 10), (9, 12)], [(20, 30), (0, 10)], [(4, 4)]])
def test_it_refuses_working_time_out_of_order(spans: list[tuple[float, float]]) -> None:
    with pytest.raises(ValueError, match="in order"):
        Desk(spans, 1)


pieces = st.lists(st.tuples(st.floats(0, 4 * DAY), st.floats(1, 300)), min_size=1, max_size=25)
WEEKS = [(day * DAY + begin, day * DAY + end) for day in range(60) for begin, end in ((540, 750), (795, 1050))]


def worked(spans: Sequence[tuple[float, float]], since: float, until: float) -> float:
    return sum(max(0.0, min(until, end) - max(since, begin)) for begin, end in spans)


@settings(deadline=None)
@given(pieces)
def test_nothing_ends_before_it_was_ready_and_worked(asked: list[tuple[float, float]]) -> None:
    desk = Desk(WEEKS, 1)
    for ready, minutes in asked:
        assert worked(WEEKS, ready, put(desk, ready, minutes)) >= minutes - 0.01


@settings(deadline=None)
@given(pieces)
def test_no_minute_is_worked_twice(asked: list[tuple[float, float]]) -> None:
    """What ends by a moment fits into the working time until then."""
    desk = Desk(WEEKS, 1)
    ends = [(put(desk, ready, minutes), minutes) for ready, minutes in asked]
    for moment, _minutes in ends:
        assert sum(minutes for end, minutes in ends if end <= moment) <= worked(WEEKS, 0, moment) + 0.1


@settings(deadline=None)
@given(pieces)
def test_runs_do_not_touch_each_other(asked: list[tuple[float, float]]) -> None:
    """Three runs, of which the middle one gets other work between, end as three desks alone."""
    three, alone = Desk(WEEKS, 3), Desk(WEEKS, 1)
    for ready, minutes in asked:
        ends = three.place(np.array([ready, ready]), np.array([minutes, minutes]), np.array([0, 2]), np.zeros(2))
        three.place(np.array([0.0]), np.array([77.0]), np.array([1]), np.zeros(1))
        expected = put(alone, ready, minutes)
        assert ends.tolist() == pytest.approx([expected, expected])


@settings(deadline=None)
@given(st.lists(st.tuples(st.floats(0, 50), st.floats(1, 40)), min_size=1, max_size=60))
def test_one_server_without_nights_is_lindleys_recursion(customers: list[tuple[float, float]]) -> None:
    """In the order of coming, each begins when the one before is done: by hand, customer by customer."""
    desk, came, free = Desk([(0, 1e6)], 1), 0.0, 0.0
    for between, minutes in customers:
        came += between
        free = max(free, came) + minutes
        assert put(desk, came, minutes) == pytest.approx(free, abs=0.01)


@pytest.mark.parametrize("fixed", [True, False])
def test_its_waits_are_those_of_the_markov_line_and_of_a_fixed_service_time(fixed: bool) -> None:
    """600 runs of 400 customers at a load of 0.6, the last 200 of each: M/D/1 and M/M/1 within 4 standard errors."""
    dice, runs = np.random.default_rng(5), 600
    desk, came, rows = Desk([(0, 1e6)], runs), np.zeros(runs), np.arange(runs)
    waits = []
    for _customer in range(400):
        came += dice.exponential(1 / 0.6, runs)
        service = np.ones(runs) if fixed else dice.exponential(1, runs)
        waits.append(desk.place(came, service, rows, np.zeros(runs)) - came - service)
    means = np.mean(waits[200:], axis=0)
    line = general_service_line(0.6, 1, 0) if fixed else markov_line(0.6, 1)
    error = float(means.std(ddof=1)) / runs**0.5
    assert float(means.mean()) == pytest.approx(line.wait, abs=4 * error)
    assert error < 0.05 * line.wait
