"""Coupling capacitors: corner, tilt, sag correction."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput
from shop.engineering.video_coupling import (
    capacitance_for_tilt_f,
    corner_hz,
    field_tilt,
    sag_gains,
    tilt,
    tilt_curve,
)
from shop.engineering.video_timing import LineSystem
from tests.engineering.figures import refused_or_finite

FARADS = st.floats(1e-6, 1e-2)
OHMS = st.floats(1, 1e6)
SECONDS = st.floats(1e-5, 1)
# Half of them within the range of most inputs, so that not everything is refused.
ANY = st.floats() | st.floats(1e-6, 1)


@given(FARADS, OHMS)
def test_twice_the_capacitor_halves_the_corner(capacitance_f: float, resistance_ohm: float) -> None:
    corner = corner_hz(capacitance_f, resistance_ohm)
    assert corner_hz(2 * capacitance_f, resistance_ohm) == pytest.approx(corner / 2)
    assert corner == pytest.approx(0.15915494 / (resistance_ohm * capacitance_f))


@given(FARADS, SECONDS, OHMS)
def test_the_straight_line_is_never_below_the_exact_tilt(
    capacitance_f: float, time_s: float, resistance_ohm: float
) -> None:
    found = tilt(capacitance_f, time_s, resistance_ohm)
    assert 0 < found.tilt <= min(1, found.linear_tilt)


@pytest.mark.parametrize(("time_s", "expected"), [(0.0149, []), (0.0151, ["linear_approximation_poor"])])
def test_the_straight_line_is_remarked_beyond_a_tenth_of_the_time_constant(time_s: float, expected: list[str]) -> None:
    assert [remark.code for remark in tilt(1000e-6, time_s).remarks] == expected


def test_after_one_time_constant_63_percent_are_gone() -> None:
    assert tilt(1000e-6, 0.15).tilt == pytest.approx(0.632121, abs=1e-6)
    assert tilt(1000e-6, 0).tilt == 0


@pytest.mark.parametrize(("system", "half", "whole"), [("525", 0.11150, 0.21072), ("625", 0.13223, 0.24700)])
def test_a_field_of_50_hertz_tilts_more_than_one_of_60(system: str, half: float, whole: float) -> None:
    """470 µF with 150 ohm, computed."""
    found = field_tilt(470e-6, LineSystem(system))
    assert found.half_field.tilt == pytest.approx(half, abs=1e-4)
    assert found.field.tilt == pytest.approx(whole, abs=1e-4)
    assert [remark.code for remark in found.remarks] == ["linear_approximation_poor"]


@given(st.floats(1e-4, 0.99), SECONDS, OHMS)
def test_the_capacitor_asked_for_tilts_by_the_limit(limit: float, time_s: float, resistance_ohm: float) -> None:
    capacitance_f = capacitance_for_tilt_f(limit, time_s, resistance_ohm)
    assert capacitance_f > 0
    if 1e-12 <= capacitance_f <= 1:
        assert tilt(capacitance_f, time_s, resistance_ohm).tilt == pytest.approx(limit)


@given(FARADS, SECONDS, OHMS)
def test_the_curve_starts_at_one_and_only_sinks(capacitance_f: float, duration_s: float, resistance_ohm: float) -> None:
    points = tilt_curve(capacitance_f, duration_s, resistance_ohm)
    assert len(points) == 101
    assert points[0] == (0, 1)
    assert points[-1][0] == pytest.approx(duration_s)
    assert points[-1][1] == pytest.approx(1 - tilt(capacitance_f, duration_s, resistance_ohm).tilt)
    levels = [level for _, level in points]
    assert levels == sorted(levels, reverse=True)


@given(OHMS, OHMS, OHMS, OHMS)
def test_a_sag_network_lifts_the_low_end(
    output_ohm: float, sag_ohm: float, common_ohm: float, ground_ohm: float
) -> None:
    gains = sag_gains(output_ohm, sag_ohm, common_ohm, ground_ohm)
    assert gains.low_gain >= gains.high_gain >= 1
    assert gains.boost_db == pytest.approx(20 * math.log10(gains.low_gain / gains.high_gain), abs=1e-9)


def test_a_sag_pin_on_the_feedback_node_leaves_nothing_but_the_common_resistor() -> None:
    """1 ohm in place of the sag resistor: the high gain nears 1 + 1000 / 1000."""
    assert sag_gains(1e7, 1, 1000, 1000).high_gain == pytest.approx(2.001, abs=1e-6)


@pytest.mark.parametrize("capacitance_f", [0, -1e-6, 220, math.nan])
def test_it_refuses_a_capacitance_in_microfarads_or_none_at_all(capacitance_f: float) -> None:
    with pytest.raises(BadInput) as refusal:
        corner_hz(capacitance_f)
    assert refusal.value.name == "capacitance_f"


@pytest.mark.parametrize("limit", [0, 1, 5, -0.1])
def test_it_refuses_a_tilt_limit_that_no_capacitor_keeps_or_any_does(limit: float) -> None:
    with pytest.raises(BadInput) as refusal:
        capacitance_for_tilt_f(limit, 0.01)
    assert (refusal.value.code, refusal.value.name) == ("out_of_range", "tilt_limit")


@given(ANY, ANY, ANY, ANY)
def test_any_input_is_refused_or_gives_finite_figures(one: float, two: float, three: float, four: float) -> None:
    for answer in (
        lambda: corner_hz(one, two),
        lambda: tilt(one, two, three).linear_tilt,
        lambda: field_tilt(one, LineSystem.L525, two).field.linear_tilt,
        lambda: capacitance_for_tilt_f(one, two, three),
        lambda: sag_gains(one * 1e3, two * 1e3, three * 1e3, four * 1e3).boost_db,
        lambda: sum(level for _, level in tilt_curve(one, two, three)),
    ):
        assert refused_or_finite(answer)
