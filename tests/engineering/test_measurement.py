"""Laws of uncertainty and shares, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering import meters, shares
from shop.engineering.inputs import BadInput
from shop.engineering.meters import Part, Shape
from shop.engineering.risk import global_risk
from tests.engineering.figures import refused_or_finite

any_float = st.floats(allow_nan=True, allow_infinity=True)
standard = st.floats(1e-6, 1e6)


@given(st.lists(standard, min_size=1, max_size=10))
def test_together_is_at_least_the_largest_and_at_most_the_sum(parts: list[float]) -> None:
    found = meters.together([Part(each) for each in parts])
    assert max(parts) * (1 - 1e-12) <= found.standard <= sum(parts) * (1 + 1e-12)
    assert found.factor == pytest.approx(1.959964, abs=1e-5)


@given(st.lists(st.tuples(standard, st.integers(1, 50)), min_size=1, max_size=6))
def test_freedom_lies_between_the_least_and_the_sum(parts: list[tuple[float, int]]) -> None:
    found = meters.together([Part(each, freedom) for each, freedom in parts])
    freedoms = [freedom for _each, freedom in parts]
    assert min(freedoms) - 1e-6 <= found.freedom <= sum(freedoms) + 1e-6


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=50), st.floats(-1e6, 1e6))
def test_a_shift_moves_the_mean_and_not_the_spread(readings: list[float], by: float) -> None:
    plain, shifted = meters.repeated(readings), meters.repeated([each + by for each in readings])
    assert shifted.mean == pytest.approx(plain.mean + by, abs=1e-6)
    assert shifted.deviation == pytest.approx(plain.deviation, abs=1e-6)


def test_a_small_reading_is_mostly_digits() -> None:
    assert [remark.code for remark in meters.meter_error(0.005, 0.5, 3, 0.001).remarks] == ["digits_dominate"]
    assert meters.meter_error(5, 0.5, 3, 0.001).remarks == ()
    assert meters.meter_error(-5, 0.5, 0, 0.001).half_width == pytest.approx(0.025)


def test_the_shapes_have_their_divisors() -> None:
    assert [round(meters.standard_uncertainty(1, shape), 6) for shape in Shape] == [0.57735, 0.408248, 0.5]


@given(any_float, any_float, any_float, any_float)
def test_whatever_is_typed_is_refused_or_finite(a: float, b: float, c: float, d: float) -> None:
    calls = (
        lambda: meters.meter_error(a, b, c, d).expanded,
        lambda: meters.standard_uncertainty(a, Shape.NORMAL),
        lambda: meters.repeated([a, b, c]).deviation,
        lambda: meters.together([Part(a, b), Part(c)]).expanded,
        lambda: meters.student_factor(a, b),
        lambda: shares.smoothed_chart([a], b, c, d).high,
    )
    for call in calls:
        assert refused_or_finite(call)


@given(st.floats(0.2, 0.999), st.floats(0.001, 1), st.floats(1.01, 2))
def test_a_worse_test_turns_more_good_items_away(in_tolerance: float, ratio: float, worse: float) -> None:
    good, bad = global_risk(in_tolerance, ratio), global_risk(in_tolerance, ratio * worse)
    assert bad.false_accept <= 1 - in_tolerance + 1e-9
    assert bad.false_reject >= good.false_reject - 1e-9
    assert good.false_accept <= 1 - in_tolerance + 1e-9


@given(st.integers(1, 2000), st.data())
def test_intervals_hold_the_share_and_the_exact_one_is_the_wider(cases: int, data: st.DataObject) -> None:
    hits = data.draw(st.integers(0, cases))
    low, high = shares.wilson(hits, cases)
    exact_low, exact_high = shares.clopper_pearson(hits, cases)
    assert 0 <= low <= hits / cases <= high <= 1
    assert exact_low <= hits / cases <= exact_high
    assert shares.wilson(cases - hits, cases) == pytest.approx((1 - high, 1 - low))


@pytest.mark.parametrize(("hits", "cases"), [(0, 0), (-1, 5), (6, 5)])
def test_impossible_counts_are_refused(hits: int, cases: int) -> None:
    with pytest.raises(BadInput):
        shares.wilson(hits, cases)


def test_a_drift_leaves_the_chart() -> None:
    assert shares.smoothed_chart([50, 51, 53, 55, 56], 50, 1).outside
