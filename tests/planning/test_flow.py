"""What comes, stays and goes, by hand and as laws; and warnings before a jam."""

from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.planning.queues.expected_wait import expected_wait
from shop.planning.queues.flow import (
    UTILISATION_LIMIT,
    Jam,
    Visit,
    by_day,
    filling_up,
    littles_law,
    overbooked,
    stays,
    time_in_stages,
    utilisation,
)
from shop.planning.queues.queueing import markov_line
from shop.planning.worktime.working_time import Span
from tests.planning.event_simulator import Crew, Events, Process, Wait, Work

MONDAY = datetime(2026, 3, 9, tzinfo=UTC)


def at(days: float) -> datetime:
    return MONDAY + timedelta(days=days)


def visit(unit: str, since: float, until: float | None, stage: str = "bench") -> Visit:
    return Visit(unit, stage, at(since), None if until is None else at(until))


SEEN = [
    visit("a", -1, 0.5, "queue"), visit("a", 0.5, 1.5), visit("b", 0.25, 2.75, "queue"), visit("b", 2.75, None),
    visit("c", 1.25, 1.5, "queue"), visit("c", 1.5, 2.5),
]  # fmt: skip


def test_it_puts_a_units_visits_together() -> None:
    assert stays(SEEN) == [visit("a", -1, 1.5, ""), visit("b", 0.25, None, ""), visit("c", 1.25, 2.5, "")]


def test_it_counts_what_comes_goes_and_is_there_by_day() -> None:
    days = by_day(SEEN, date(2026, 3, 9), date(2026, 3, 12), UTC)
    assert [(day.came, day.went, day.in_work) for day in days] == [(1, 0, 2), (1, 1, 2), (0, 1, 1), (0, 0, 1)]
    assert days[-1].on == date(2026, 3, 12)
    with pytest.raises(ValueError, match="before"):
        by_day(SEEN, date(2026, 3, 9), date(2026, 3, 8), UTC)


def test_a_day_is_one_of_the_shops_zone() -> None:
    late = [Visit("a", "bench", datetime(2026, 3, 9, 23, 30, tzinfo=UTC))]
    assert by_day(late, date(2026, 3, 10), date(2026, 3, 10), ZoneInfo("Europe/Berlin"))[0].came == 1
    assert by_day(late, date(2026, 3, 10), date(2026, 3, 10), UTC)[0].came == 0


def test_it_gives_the_time_in_each_stage_and_the_age_of_what_goes_on() -> None:
    queue, bench = time_in_stages(SEEN, at(0), at(3))
    assert (queue.stage, queue.ended, queue.going_on, queue.longest_going_on_h) == ("queue", 3, 0, None)
    assert queue.median_h == 36
    assert queue.ninety_h == pytest.approx(36 + 0.8 * 24)
    assert (bench.ended, bench.median_h, bench.going_on, bench.longest_going_on_h) == (2, 24, 1, 6)
    (queue, bench) = time_in_stages(SEEN, at(-2), at(-0.5))
    assert (queue.ended, queue.median_h, queue.going_on, queue.longest_going_on_h) == (0, None, 1, 12)
    assert (bench.ended, bench.going_on) == (0, 0)


def test_it_gives_utilisation_of_working_time() -> None:
    shift = [Span(at(0), at(0.25)), Span(at(1), at(1.25))]
    assert utilisation([Span(at(0), at(0.125)), Span(at(1), at(1.25))], shift) == 0.75
    assert utilisation([Span(at(3), at(4))], shift) == 2
    assert utilisation([], []) is None


def test_littles_law_holds_exactly_for_stays_inside_the_window() -> None:
    law = littles_law([visit("a", 1, 3), visit("b", 2, 6)], at(0), at(10))
    assert law is not None
    assert (law.in_work, law.per_day, law.stay_days) == pytest.approx((0.6, 0.2, 3))
    assert (law.discrepancy, law.carried_in, law.cut_off) == pytest.approx((0, 0, 0))


def test_the_edges_of_the_window_explain_what_is_left_of_littles_law() -> None:
    law = littles_law([visit("before", -4, 2), visit("inside", 1, 3), visit("beyond", 9, 12)], at(0), at(10))
    assert law is not None
    assert (law.in_work, law.per_day, law.stay_days) == pytest.approx((0.5, 0.2, 2.5))
    assert (law.carried_in, law.cut_off, law.discrepancy) == pytest.approx((0.2, 0.2, 0))
    assert littles_law([visit("before", -4, 2)], at(0), at(10)) is None
    with pytest.raises(ValueError, match="window"):
        littles_law(SEEN, at(1), at(1))


def test_it_warns_of_who_is_booked_beyond_the_limit() -> None:
    found = overbooked({"Mara": 900, "Ivo": 700, "Zoe": 30, "idle": 0}, {"Mara": 1000, "Ivo": 1000})
    assert found == [
        Jam("Mara", "utilisation_high", 0.9, UTILISATION_LIMIT),
        Jam("Zoe", "utilisation_high", float("inf"), UTILISATION_LIMIT),
    ]
    assert overbooked({"Mara": 900}, {"Mara": 1000}, limit=0.95) == []
    with pytest.raises(ValueError, match="limit"):
        overbooked({}, {}, limit=0)


def test_it_warns_of_a_stage_that_fills_up_beyond_chance() -> None:
    queue = [visit(f"u{n}", n / 4, None, "queue") for n in range(20)]
    bench = [visit(f"v{n}", n / 4, n / 4 + 1) for n in range(20)]
    (jam,) = filling_up([*queue, *bench], at(0), at(5))
    assert (jam.where, jam.code, jam.figure) == ("queue", "queue_growing", 20)
    assert jam.limit == pytest.approx(3 * 20**0.5)
    assert filling_up(queue[:9], at(0), at(5)) == []


def test_a_steady_stage_is_seldom_warned_of() -> None:
    """200 windows of a stage with arrivals and departures at random: well below one in a hundred looks."""
    dice, warned = np.random.default_rng(1), 0
    for _window in range(200):
        came, went = dice.uniform(0, 10, dice.poisson(40)), dice.uniform(0, 10, dice.poisson(40))
        visits = [visit("in", float(t), None) for t in came] + [visit("out", -1, float(t)) for t in went]
        warned += len(filling_up(visits, at(0), at(10)))
    assert warned <= 1


def line(rate: float, crew: int, until: float, seed: int) -> list[Visit]:
    """Visits of a line with exponential service, from the event simulator; a minute is a day."""
    dice, events, hands = np.random.default_rng(seed), Events(), Crew(crew)
    visits: list[Visit] = []

    def unit(name: str) -> Process:
        came = events.now
        yield Work(hands, lambda: float(dice.exponential()))
        visits.append(visit(name, came, events.now))

    def coming() -> Process:
        while True:
            yield Wait(float(dice.exponential(1 / rate)))
            events.start(unit(f"u{events.now}"), events.now)

    events.start(coming())
    events.run(until)
    return visits


def test_its_figures_are_those_of_the_markov_line() -> None:
    """Ten times 3,000 days of M/M/2 at 1.4 a day, within the 99.9 % interval of their mean (Student, 9 degrees)."""
    exact = markov_line(1.4, 1, 2)
    laws = [littles_law(line(1.4, 2, 3200, seed), at(200), at(3200)) for seed in range(10)]
    figures = np.array([(law.in_work, law.per_day, law.stay_days) for law in laws if law])
    half = 4.781 * figures.std(axis=0, ddof=1) / 10**0.5
    assert (np.abs(figures.mean(axis=0) - (exact.present, 1.4, exact.time_there)) < half).all()
    assert (half < 0.15 * figures.mean(axis=0)).all()
    assert all(abs(law.discrepancy) < 0.01 * law.in_work for law in laws if law)


def test_it_expects_the_wait_of_the_markov_line() -> None:
    """Arrivals at random and exponential work at a load of 0.8: the exact mean wait within a fifth."""
    dice = np.random.default_rng(4)
    came = [at(float(moment)) for moment in np.cumsum(dice.exponential(1, 2000))]
    minutes = dice.exponential(0.8 * 480, 2000).tolist()
    wait = expected_wait(came, minutes, 480 * 2000, 1)
    exact = markov_line(1 / 480, 1 / (0.8 * 480)).wait
    assert wait is not None
    assert wait.wait_min == pytest.approx(exact, rel=0.2)
    assert (wait.arrival_cv2, wait.service_cv2) == pytest.approx((1, 1), abs=0.1)
    assert wait.utilisation == pytest.approx(0.8, rel=0.05)


def test_it_expects_no_end_of_waiting_where_more_comes_than_can_be_done_and_nothing_from_few_figures() -> None:
    came = [at(n) for n in range(30)]
    crowded = expected_wait(came, [600.0] * 30, 480 * 30, 1)
    assert crowded is not None
    assert crowded.wait_min is None
    assert expected_wait(came, [600.0] * 9, 480 * 30, 1) is None
    with pytest.raises(ValueError, match="technician"):
        expected_wait(came, [600.0] * 30, 480 * 30, 0)


@pytest.mark.parametrize(
    ("since", "until"), [(at(1), at(0)), (datetime(2026, 3, 9), None), (at(0), datetime(2026, 3, 10))]
)
def test_it_refuses_a_visit_that_cannot_be(since: datetime, until: datetime | None) -> None:
    with pytest.raises(ValueError, match="visit"):
        Visit("a", "bench", since, until)


moments = st.integers(-20 * 24, 20 * 24)
lengths = st.none() | st.integers(0, 15 * 24)
visits = st.lists(
    st.tuples(moments, lengths, st.sampled_from(["queue", "bench"])), min_size=1, max_size=30
).map(
    lambda drawn: [
        visit(f"u{n}", since / 24, None if length is None else (since + length) / 24, stage)
        for n, (since, length, stage) in enumerate(drawn)
    ]
)  # fmt: skip


@settings(deadline=None)
@given(visits, moments, st.integers(1, 500))
def test_the_discrepancy_of_littles_law_is_what_crosses_the_edges(seen: list[Visit], since: int, length: int) -> None:
    law = littles_law(seen, at(since / 24), at((since + length) / 24))
    if law is not None:
        assert law.discrepancy == pytest.approx(law.carried_in - law.cut_off, abs=1e-9)


@settings(deadline=None)
@given(visits)
def test_what_is_in_work_is_what_came_and_has_not_gone(seen: list[Visit]) -> None:
    days = by_day(seen, date(2026, 2, 1), date(2026, 5, 1), UTC)
    assert days[-1].in_work == sum(stay.until is None for stay in stays(seen))
    assert all(day.in_work >= 0 for day in days)
    assert sum(day.came for day in days) == len(seen)
