"""The date that is kept with a given chance: laws, and published worked examples."""

from datetime import date, timedelta
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.core.reasons import Refused, sentence
from shop.planning.promises.forecast import Estimate, Situation, chance, forecast, in_a_row

TUESDAY = date(2026, 3, 10)
MONDAY_TO_FRIDAY = frozenset(range(5))
HALF_A_MORNING = Estimate(60, 90, 180)


def situation(
    *ahead: Estimate,
    own: Estimate = HALF_A_MORNING,
    today: date = TUESDAY,
    minutes: int = 300,
    days: frozenset[int] = MONDAY_TO_FRIDAY,
    start: date | None = None,
) -> Situation:
    return Situation(today, tuple(ahead), own, minutes, days, start)


# Published: B. W. Taylor, Introduction to Management Science, chapter on CPM and PERT, worked example at its end (as
# shown at flylib.com/books/en/3.287.1.117/1): activities 1, 3, 5 and 7 on the critical path, 24 weeks, and 28 weeks
# are kept with 0.9633 from a table read at z = 1.79.
CRITICAL_PATH = [Estimate(5, 8, 17), Estimate(3, 5, 7), Estimate(4, 6, 8), Estimate(3, 4, 5)]


def test_it_agrees_with_a_published_critical_path() -> None:
    path = in_a_row(CRITICAL_PATH)
    assert path.mean_min == pytest.approx(24)
    assert path.sd_min**2 == pytest.approx(5)
    assert path.chance_within(28) == pytest.approx(0.9633, abs=0.0005)


# Published: slides on CPM and PERT, problem 1, "expected time and variance" (scribd.com, presentation 396883604).
@pytest.mark.parametrize(
    ("low", "likely", "high", "mean", "variance"),
    [(5, 6, 7, 6, 0.11), (1, 3, 5, 3, 0.44), (1, 4, 7, 4, 1.00), (1, 2, 9, 3, 1.78),
     (2, 2, 8, 3, 1.00), (4, 4, 10, 5, 1.0)],
)  # fmt: skip
def test_it_agrees_with_published_means_and_variances(
    low: float, likely: float, high: float, mean: float, variance: float
) -> None:
    estimate = Estimate(low, likely, high)
    assert estimate.mean_min == pytest.approx(mean)
    assert estimate.sd_min**2 == pytest.approx(variance, abs=0.005)


def test_it_promises_tomorrow_when_nothing_is_ahead_and_a_day_is_enough() -> None:
    answer = forecast(situation(), 80)
    assert (answer.on, answer.minutes_until) == (date(2026, 3, 11), 300)
    assert answer.mean_min == 100
    assert answer.sd_min == 20


def test_it_takes_the_next_day_when_the_confidence_asks_for_it() -> None:
    """300 minutes of mean in days of 300 are an even bet on the first day."""
    even = situation(own=Estimate(240, 300, 360))
    assert forecast(even, 50).on == date(2026, 3, 11)
    assert forecast(even, 51).on == date(2026, 3, 12)


def test_it_passes_over_the_weekend() -> None:
    assert forecast(situation(today=date(2026, 3, 13)), 80).on == date(2026, 3, 16)
    open_on_sunday = situation(today=date(2026, 3, 13), days=frozenset({6}))
    assert forecast(open_on_sunday, 80).on == date(2026, 3, 15)


def test_it_waits_for_parts_and_then_works_on_from_the_day_they_come() -> None:
    assert forecast(situation(start=date(2026, 3, 19)), 80).on == date(2026, 3, 19)
    assert forecast(situation(start=date(2026, 3, 21)), 80).on == date(2026, 3, 23)
    assert forecast(situation(start=date(2026, 3, 1)), 80).on == date(2026, 3, 11)


def test_it_knows_the_chance_of_any_day() -> None:
    assert chance(situation(), TUESDAY) == 0
    assert chance(situation(own=Estimate(240, 300, 360)), date(2026, 3, 11)) == pytest.approx(0.5)
    assert chance(situation(own=Estimate(90, 90, 90)), date(2026, 3, 11)) == 1
    assert chance(situation(own=Estimate(301, 301, 301)), date(2026, 3, 11)) == 0


def test_it_says_so_when_no_date_can_be_promised() -> None:
    endless = situation(*[Estimate(600, 900, 1200)] * 2000)
    with pytest.raises(Refused) as refused:
        forecast(endless, 80)
    assert "5 years" in sentence(refused.value.reasons[0])
    with pytest.raises(Refused, match="promise_beyond_horizon"):
        forecast(situation(start=date(2036, 1, 1)), 80)


@pytest.mark.parametrize("percent", [0, 49, 100])
def test_it_promises_nothing_that_is_more_likely_missed_nor_certain(percent: int) -> None:
    with pytest.raises(ValueError, match="50 to 99"):
        forecast(situation(), percent)


@pytest.mark.parametrize("wrong", [{"minutes": 0}, {"days": frozenset()}, {"days": frozenset({7})}])
def test_it_wants_days_that_can_be(wrong: dict[str, Any]) -> None:
    with pytest.raises(ValueError, match=r"minute|weekdays"):
        situation(**wrong)


@pytest.mark.parametrize("points", [(-1, 2, 3), (3, 2, 4), (1, 5, 4), (float("nan"), 1, 2)])
def test_it_wants_three_points_in_order(points: tuple[float, float, float]) -> None:
    with pytest.raises(ValueError, match="low ≤ likely ≤ high"):
        Estimate(*points)


estimates = st.lists(st.floats(0, 600), min_size=3, max_size=3).map(lambda points: Estimate(*sorted(points)))
percents = st.integers(50, 99)
situations = st.builds(
    Situation,
    today=st.dates(date(2026, 1, 1), date(2030, 1, 1)),
    ahead=st.lists(estimates, max_size=10).map(tuple),
    own=estimates,
    minutes_a_day=st.integers(60, 900),
    weekdays=st.sets(st.integers(0, 6), min_size=1).map(frozenset),
    earliest_start=st.none() | st.dates(date(2026, 1, 1), date(2030, 3, 1)),
)


@given(seen=situations, percent=percents, more=estimates)
def test_it_never_promises_earlier_with_more_ahead(seen: Situation, percent: int, more: Estimate) -> None:
    busier = Situation(
        seen.today, (*seen.ahead, more), seen.own, seen.minutes_a_day, seen.weekdays, seen.earliest_start
    )
    assert forecast(busier, percent).on >= forecast(seen, percent).on


@given(seen=situations, percent=percents, surer=percents)
def test_it_never_promises_earlier_with_more_confidence(seen: Situation, percent: int, surer: int) -> None:
    low, high = sorted([percent, surer])
    assert forecast(seen, low).on <= forecast(seen, high).on


@given(seen=situations, percent=percents)
def test_it_promises_a_working_day_that_is_neither_past_nor_before_the_start(seen: Situation, percent: int) -> None:
    answer = forecast(seen, percent)
    assert answer.on.weekday() in seen.weekdays
    assert answer.on > seen.today
    assert seen.earliest_start is None or answer.on >= seen.earliest_start


@given(seen=situations, percent=percents)
def test_it_promises_the_first_working_day_that_is_sure_enough(seen: Situation, percent: int) -> None:
    """Counted out day by day, as a person would."""
    answer = forecast(seen, percent)
    assert chance(seen, answer.on) * 100 >= percent
    before = answer.on - timedelta(days=1)
    while before.weekday() not in seen.weekdays:
        before -= timedelta(days=1)
    assert before <= seen.today or chance(seen, before) * 100 < percent
    working = [seen.today + timedelta(days=n) for n in range(1, (answer.on - seen.today).days + 1)]
    assert answer.minutes_until == seen.minutes_a_day * sum(day.weekday() in seen.weekdays for day in working)
