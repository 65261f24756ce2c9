"""Preferred values: neighbours, nearness by ratio, membership, and the next rated voltage."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput
from shop.engineering.preferred import (
    RATED_VOLTAGES_V,
    Series,
    at_least,
    at_most,
    nearest,
    rated_voltage_at_least,
    series_with,
)
from tests.engineering.outcome import outcome

any_float = st.floats(allow_nan=True, allow_infinity=True)
sensible = st.floats(1e-15, 1e15)
any_series = st.sampled_from(Series)


@given(sensible, any_series)
def test_a_value_lies_between_its_neighbours_and_no_value_of_the_series_does(value: float, series: Series) -> None:
    low, high = at_most(value, series).value, at_least(value, series).value
    assert low <= value * (1 + 1e-12)
    assert high >= value * (1 - 1e-12)
    between = math.sqrt(low * high)
    assert low == high or (at_most(between, series).value, at_least(between, series).value) == (low, high)


@given(sensible, any_series)
def test_the_nearest_is_the_neighbour_at_the_smaller_ratio(value: float, series: Series) -> None:
    low, near, high = at_most(value, series).value, nearest(value, series).value, at_least(value, series).value
    assert near == (high if high / value <= value / low else low)


@given(any_series, st.integers(0, 191), st.integers(-13, 12))
def test_every_value_of_a_series_is_its_own_neighbour_in_every_decade(series: Series, place: int, power: int) -> None:
    value = float(f"{series.hundreds[place % series.size]}e{power}")
    found = [find(value, series) for find in (nearest, at_least, at_most)]
    assert {each.value for each in found} == {value}
    assert {each.deviation_percent for each in found} == {0}
    assert series in series_with(value)


@given(sensible, any_series)
def test_the_deviation_is_relative_to_what_was_asked_for(value: float, series: Series) -> None:
    found = nearest(value, series)
    assert value * (1 + found.deviation_percent / 100) == pytest.approx(found.value, rel=1e-12)


def test_nearness_is_by_ratio_and_not_by_difference() -> None:
    # 15 is nearer to 22 by ratio (1.47 against 1.5) and nearer to 10 by difference (5 against 7).
    assert nearest(15, Series.E3).value == 22
    assert nearest(14.8, Series.E3).value == 10


def test_of_two_equally_near_the_larger_is_taken_and_the_other_named() -> None:
    found = nearest(math.sqrt(10 * 22), Series.E3)
    assert found.value == 22
    assert [(each.code, each.facts["other"]) for each in found.remarks] == [("tie", 10.0)]
    assert nearest(15, Series.E3).remarks == ()


@pytest.mark.parametrize(("value", "below", "above"), [(0.99, 0.82, 1.0), (9.9, 8.2, 10), (999, 820, 1000)])
def test_the_neighbour_may_be_in_the_next_decade(value: float, below: float, above: float) -> None:
    assert (at_most(value, Series.E12).value, at_least(value, Series.E12).value) == (below, above)


def test_a_value_names_the_series_that_have_it() -> None:
    assert series_with(4700) == (Series.E3, Series.E6, Series.E12, Series.E24, Series.E192)
    assert series_with(0.27) == (Series.E12, Series.E24)
    assert series_with(0.0002) == (Series.E24, Series.E96, Series.E192)
    assert series_with(4.72) == ()


@given(any_float, any_series)
def test_whatever_number_is_asked_the_answer_is_finite_or_names_the_input(value: float, series: Series) -> None:
    found = outcome(lambda: nearest(value, series))
    if isinstance(found, BadInput):
        assert found.name == "value"
        assert not 1e-15 <= value <= 1e15
    else:
        assert math.isfinite(found.value)
        assert math.isfinite(found.deviation_percent)


@given(st.floats(0, RATED_VOLTAGES_V[-1], exclude_min=True))
def test_a_rating_is_the_smallest_that_is_not_below_the_need(volts: float) -> None:
    assert rated_voltage_at_least(volts) == min(each for each in RATED_VOLTAGES_V if each >= volts)


@pytest.mark.parametrize("volts", [0.0, -6.3, 450.001, 1e300, math.nan, math.inf, -math.inf])
def test_beyond_the_ratings_there_is_none(volts: float) -> None:
    with pytest.raises(BadInput) as refused:
        rated_voltage_at_least(volts)
    assert refused.value.name == "voltage_v"
