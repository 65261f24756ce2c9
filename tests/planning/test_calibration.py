"""Kept promises counted, and the correction that makes the next ones honest."""

from datetime import date, timedelta
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.planning.promises.calibration import GAIN, Outcome, correction, kept_shares, percent_to_use

FIRST = date(2026, 1, 1)


def outcomes(kept: list[bool], percent: int = 80) -> list[Outcome]:
    return [Outcome(FIRST + timedelta(days=n), percent, each) for n, each in enumerate(kept)]


def test_it_counts_kept_promises_by_what_was_stated() -> None:
    eighty, ninety = outcomes([True] * 81 + [False] * 19), outcomes([True] * 40 + [False] * 10, 90)
    first, second = kept_shares([*ninety, *eighty])
    assert (first.percent, first.promised, first.kept, first.kept_percent) == (80, 100, 81, 81)
    assert first.agrees
    assert (second.percent, second.promised, second.kept_percent) == (90, 50, 80)
    assert not second.agrees
    assert kept_shares([]) == []


def test_its_interval_is_wilsons() -> None:
    """Newcombe 1998, 81 of 263: 0.2553 to 0.3662."""
    share = kept_shares(outcomes([True] * 81 + [False] * 182))[0]
    assert (share.low_percent, share.high_percent) == pytest.approx((25.53, 36.62), abs=0.005)


def test_without_a_record_the_percent_is_used_as_stated() -> None:
    assert correction([]) == 0
    assert percent_to_use(80, []) == pytest.approx(80)


def test_promises_kept_as_often_as_stated_leave_it_alone() -> None:
    assert percent_to_use(80, outcomes([True, True, False, True, True] * 40)) == pytest.approx(80, abs=0.5)


def test_one_missed_promise_weighs_as_much_as_four_kept_ones() -> None:
    assert correction(outcomes([False])) == pytest.approx(0.8 * GAIN)
    assert correction(outcomes([True])) == pytest.approx(-0.2 * GAIN)


def test_missed_promises_make_it_careful_and_kept_ones_bold() -> None:
    assert percent_to_use(80, outcomes([False] * 10)) > 85
    assert percent_to_use(80, outcomes([True] * 40)) < 75
    assert percent_to_use(80, outcomes([True] * 1000)) == pytest.approx(40)
    assert percent_to_use(99, outcomes([False] * 1000)) < 100


def test_a_long_good_time_leaves_no_debt() -> None:
    """After a thousand kept promises one that is missed is heeded at once."""
    good = [True] * 1000
    assert percent_to_use(80, outcomes([*good, False])) > percent_to_use(80, outcomes(good))
    assert percent_to_use(80, outcomes([*good, *[False] * 40])) > 80


def test_one_correction_serves_all_stated_percents() -> None:
    missed = outcomes([False] * 6)
    normal = NormalDist()
    shifts = [normal.inv_cdf(percent_to_use(p, missed) / 100) - normal.inv_cdf(p / 100) for p in (60, 80, 95)]
    assert shifts == pytest.approx([correction(missed)] * 3)


def test_outcomes_count_in_the_order_of_their_days() -> None:
    seen = outcomes([False] * 60 + [True] * 60)
    assert correction(seen[::-1]) == correction(seen)


@pytest.mark.parametrize("percent", [0, 49, 100])
def test_it_refuses_a_percent_that_no_promise_has(percent: int) -> None:
    with pytest.raises(ValueError, match="percent"):
        percent_to_use(percent, [])


@pytest.mark.parametrize(("shift", "spread"), [(0.5, 1.0), (-0.4, 1.0), (0.0, 1.6), (0.3, 0.7)])
def test_a_forecast_that_errs_is_put_right_in_the_long_run(shift: float, spread: float) -> None:
    """Units are late by a normal deviate that the forecast gets wrong in place or in width; 1,500 promises at 80 %."""
    dice, told = np.random.default_rng(2), list[Outcome]()
    for day in range(1500):
        limit = NormalDist().inv_cdf(percent_to_use(80, told[-400:]) / 100)
        told.append(Outcome(FIRST + timedelta(days=day), 80, bool(dice.normal(shift, spread) <= limit)))
    assert kept_shares(told[300:])[0].kept_percent == pytest.approx(80, abs=3)


@given(st.lists(st.booleans(), max_size=80), st.integers(51, 99))
def test_a_kept_promise_never_makes_it_more_careful(kept: list[bool], percent: int) -> None:
    before = percent_to_use(percent, outcomes(kept))
    assert (
        percent_to_use(percent, outcomes([*kept, True])) <= before <= percent_to_use(percent, outcomes([*kept, False]))
    )
    assert 40 <= before < 100
