"""Finishes of units from the plan's order of work: what waits for what, and what facts do to the dates."""

from dataclasses import replace
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.core.reasons import Refused
from shop.planning.promises.estimates import Estimate
from shop.planning.promises.history import Record, learn
from shop.planning.promises.promising import Dates, by_day
from shop.planning.promises.simulation import Experience, Finishes, Mend, Outlook, Release, Task, simulate
from shop.planning.worktime.working_time import Calendar, Hours, spans_between

BERLIN = ZoneInfo("Europe/Berlin")
SHIFTS = (Hours(time(9), time(12, 30)), Hours(time(13, 15), time(17, 30)))
CALENDAR = Calendar(BERLIN, {day: SHIFTS for day in range(5)})
START = datetime(2026, 3, 10, 9, tzinfo=BERLIN)
UNTIL = START + timedelta(days=60)
SPANS = spans_between(CALENDAR, START, UNTIL)
NOTHING_KNOWN = Experience(learn([]))
HOUR = Estimate(45, 60, 120)


def sure(minutes: float) -> Experience:
    """A long record of steps that took just what was estimated, so that little is left to chance."""
    exact = Estimate(minutes, minutes, minutes)
    return Experience(learn([Record("recap", f"u{n}", "Mara", exact, minutes) for n in range(20_000)]), 0, 10_000)


CERTAIN = sure(60)
EXACT_HOUR = Estimate(60, 60, 60)


def task(unit: str, step: str = "bench", technician: str | None = "Mara", estimate: Estimate = EXACT_HOUR) -> Task:
    return Task(unit, step, technician, "recap", estimate)


def outlook(*tasks: Task, experience: Experience = CERTAIN, releases: dict[str, Release] | None = None) -> Outlook:
    return Outlook(START, tasks, {"Mara": SPANS, "Ivo": SPANS}, releases or {}, experience)


def median(finishes: Finishes, unit: str) -> datetime:
    return START + timedelta(minutes=float(np.median(finishes.minutes[unit])))


def hours(finishes: Finishes, unit: str) -> float:
    return (median(finishes, unit) - START).total_seconds() / 3600


def test_a_technician_does_one_after_the_other_and_two_work_side_by_side() -> None:
    done = simulate(outlook(task("a"), task("b"), task("c", technician="Ivo")))
    assert [hours(done, unit) for unit in "abc"] == pytest.approx([1, 2, 1], abs=0.1)


def test_steps_of_a_unit_follow_each_other_from_hand_to_hand() -> None:
    done = simulate(outlook(task("a"), task("a", "test", "Ivo"), task("b"), task("b", "test", "Ivo")))
    # Whoever takes over may be at something else first, for half an hour on average.
    assert hours(done, "a") == pytest.approx(2.5, abs=0.2)
    # Ivo begins the second when the first is done, at half past eleven or so; lunch comes between for some.
    assert 3 < hours(done, "b") < 4.5


def test_a_soak_goes_on_through_the_night_and_occupies_nobody() -> None:
    soak = Task("a", "soak", None, "soak", Estimate(24 * 60, 24 * 60, 24 * 60))
    done = simulate(outlook(task("a"), soak, task("b")))
    assert hours(done, "a") == pytest.approx(25, abs=0.1)
    assert hours(done, "b") == pytest.approx(2, abs=0.1)


def test_what_is_worked_already_is_not_done_again() -> None:
    begun = replace(task("a"), worked_min=45)
    soaking = Task("b", "soak", None, "soak", Estimate(240, 240, 240), worked_min=200)
    done = simulate(outlook(begun, soaking))
    assert 0.2 < hours(done, "a") < 0.4
    assert hours(done, "b") == pytest.approx(40 / 60, abs=0.01)


def test_it_waits_for_an_approval_and_lets_others_go_first_meanwhile() -> None:
    thursday = Release(datetime(2026, 3, 12, 9, tzinfo=BERLIN))
    done = simulate(outlook(task("a"), task("b"), releases={"a": thursday}))
    assert median(done, "a").date() == date(2026, 3, 12)
    assert hours(done, "b") == pytest.approx(1, abs=0.1)
    over = simulate(outlook(task("a"), releases={"a": Release(START - timedelta(days=9))}))
    assert hours(over, "a") == pytest.approx(1, abs=0.1)


def test_parts_may_come_late_and_as_late_as_they_used_to() -> None:
    due = {"a": Release(datetime(2026, 3, 12, 8, tzinfo=BERLIN), parts=True)}

    def late_chance(*days_late: float) -> float:
        seen = replace(CERTAIN, parts_late_days=days_late)
        return 1 - by_day(simulate(outlook(task("a"), experience=seen, releases=due)), CALENDAR, UNTIL).chance(
            "a", date(2026, 3, 13)
        )

    assert late_chance(*[0.0] * 100) < 0.1 < late_chance() < 0.6 < late_chance(*[6.0] * 100)


def test_parts_that_are_overdue_are_still_waited_for() -> None:
    overdue = {"a": Release(START - timedelta(days=30), parts=True)}
    done = simulate(outlook(task("a"), releases=overdue))
    assert median(done, "a").date() == date(2026, 3, 11)


def test_a_test_that_often_fails_sends_the_unit_back() -> None:
    mend = Mend("Mara", "recap", EXACT_HOUR)
    tested = replace(task("a", "test", "Ivo"), mend=mend)
    never, often = replace(CERTAIN, passed_tests=10_000), replace(CERTAIN, failed_tests=5_000, passed_tests=5_000)
    well, badly = (simulate(outlook(task("a"), tested, experience=seen)) for seen in (never, often))
    longer = badly.minutes["a"] - well.minutes["a"]
    assert float(np.mean(longer > 60)) == pytest.approx(0.5, abs=0.04)
    # Half of those fail again. Once is 285 minutes at most: two hours, one each until hands are free, and lunch.
    assert float(np.mean(longer > 290)) == pytest.approx(0.25, abs=0.06)


def test_the_same_seed_gives_the_same_and_another_does_not() -> None:
    wanted = outlook(task("a", estimate=HOUR), experience=NOTHING_KNOWN)
    first, again, other = (simulate(wanted, 100, seed).minutes["a"].tolist() for seed in (1, 1, 2))
    assert first == again != other


def test_a_unit_that_is_added_behind_changes_nothing_before_it() -> None:
    few = simulate(outlook(task("a", estimate=HOUR), experience=NOTHING_KNOWN), 200)
    more = simulate(outlook(task("a", estimate=HOUR), task("z"), experience=NOTHING_KNOWN), 200)
    assert few.minutes["a"].tolist() == more.minutes["a"].tolist()


def test_it_refuses_a_technician_without_working_time_given_and_no_runs() -> None:
    with pytest.raises(ValueError, match="no working time is given for Zoe"):
        outlook(task("a", technician="Zoe"))
    with pytest.raises(ValueError, match="one run"):
        simulate(outlook(task("a")), 0)


def test_it_promises_the_first_working_day_that_is_sure_enough() -> None:
    finishes = Finishes(START, {"a": np.repeat([60.0, 24 * 60.0, 6 * 24 * 60.0], [79, 20, 1])})
    dates = by_day(finishes, CALENDAR, UNTIL)
    assert dates.promise("a", 79).on == date(2026, 3, 10)
    promise = dates.promise("a", 80)
    assert (promise.on, promise.percent, promise.used_percent, promise.chance_percent) == (
        date(2026, 3, 11), 80, 80, 99,
    )  # fmt: skip
    assert dates.promise("a", 99).on == date(2026, 3, 11)
    assert dates.promise("a", 80, used_percent=70).on == date(2026, 3, 10)
    assert dates.promise("a", 80, used_percent=99.5).on == date(2026, 3, 16)


def test_what_is_done_after_closing_counts_for_the_next_working_day() -> None:
    """Friday 17:30 is closing; Saturday noon and Sunday are Monday's."""
    friday = (datetime(2026, 3, 13, 17, 30, tzinfo=BERLIN) - START).total_seconds() / 60
    ends = {"in time": friday, "after": friday + 1, "saturday": friday + 18 * 60, "sunday": friday + 48 * 60}
    dates = by_day(Finishes(START, {unit: np.array([end]) for unit, end in ends.items()}), CALENDAR, UNTIL)
    assert [dates.promise(unit, 80).on.day for unit in ends] == [13, 16, 16, 16]


def test_it_knows_the_chance_of_any_day() -> None:
    dates = by_day(Finishes(START, {"a": np.array([60.0, 24 * 60, 24 * 60, 5 * 24 * 60])}), CALENDAR, UNTIL)
    days = [date(2026, 3, 9), date(2026, 3, 10), date(2026, 3, 11), date(2026, 3, 14), date(2026, 3, 16)]
    assert [dates.chance("a", day) for day in days] == [0, 0.25, 0.75, 0.75, 1]


def test_it_refuses_what_the_working_time_does_not_hold_and_percents_that_are_none() -> None:
    dates = by_day(Finishes(START, {"a": np.array([60.0] * 7 + [np.inf] * 3)}), CALENDAR, UNTIL)
    assert dates.promise("a", 70).on == date(2026, 3, 10)
    with pytest.raises(Refused, match="promise_beyond_horizon"):
        dates.promise("a", 80)
    for percent, used in ((49, None), (100, None), (80, 0), (80, 100)):
        with pytest.raises(ValueError, match="percent"):
            dates.promise("a", percent, used)


# Working time changes with the clock in Berlin on 29 March 2026.
def test_a_day_closes_by_the_shops_clock_across_a_change_of_it() -> None:
    start = datetime(2026, 3, 27, 9, tzinfo=BERLIN)
    closing = datetime(2026, 3, 30, 15, 30, tzinfo=UTC)
    minutes = (closing - start).total_seconds() / 60
    dates = by_day(Finishes(start, {"a": np.array([minutes]), "b": np.array([minutes + 1])}), CALENDAR, UNTIL)
    assert [dates.promise(unit, 80).on.day for unit in "ab"] == [30, 31]


pieces = st.tuples(st.sampled_from("abcdef"), st.sampled_from(["Mara", "Ivo", None]), st.integers(5, 400))
units = st.lists(pieces, min_size=1, max_size=12)


def planned(drawn: list[tuple[str, str | None, int]]) -> Dates:
    tasks = [task(unit, f"{n}", who, Estimate(m / 2, m, 2 * m)) for n, (unit, who, m) in enumerate(drawn)]
    return by_day(simulate(outlook(*tasks, experience=NOTHING_KNOWN), 64), CALENDAR, UNTIL)


@settings(max_examples=40, deadline=None)
@given(units, st.integers(50, 99), st.integers(50, 99))
def test_more_confidence_never_promises_earlier_and_each_day_has_its_chance(
    drawn: list[tuple[str, str | None, int]], one: int, two: int
) -> None:
    dates, (low, high) = planned(drawn), sorted([one, two])
    for unit in dates.places:
        assert dates.promise(unit, low).on <= dates.promise(unit, high).on
        promise = dates.promise(unit, high)
        assert promise.chance_percent >= high
        assert CALENDAR.works_on(promise.on)
        assert dates.chance(unit, promise.on - timedelta(days=1)) * 100 < high
