"""Line and field timing."""

import math
from contextlib import suppress
from dataclasses import astuple

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput
from shop.engineering.video_timing import (
    LINE_RATE_HZ,
    PROGRESSIVE_LINES,
    LineSystem,
    progressive_timing,
    standard_timing,
)

SYSTEMS = st.sampled_from(LineSystem)


@given(SYSTEMS)
def test_rates_and_durations_are_each_others_inverse(system: LineSystem) -> None:
    timing = standard_timing(system)
    assert timing.line_hz * timing.line_s == pytest.approx(1, rel=1e-12)
    assert timing.field_hz * timing.field_s == pytest.approx(1, rel=1e-12)
    assert timing.field_hz == pytest.approx(2 * timing.frame_hz, rel=1e-12)
    assert timing.line_s * timing.lines_per_field == pytest.approx(timing.field_s, rel=1e-12)


@pytest.mark.parametrize(
    ("system", "lines", "field_hz"),
    [("525", 262, 60.054449), ("525", 263, 59.826106), ("625", 312, 50.080128), ("625", 313, 49.920128)],
)
def test_a_field_of_whole_lines_has_the_line_rate_over_its_lines(system: str, lines: int, field_hz: float) -> None:
    """Common practice, computed."""
    timing = progressive_timing(LineSystem(system), lines)
    assert timing.field_hz == pytest.approx(field_hz, abs=1e-6)
    assert timing.field_s == pytest.approx(1 / field_hz, abs=1e-9)
    assert timing.line_hz == LINE_RATE_HZ[LineSystem(system)]


def test_a_field_of_half_a_line_less_runs_fast_and_says_so() -> None:
    timing = progressive_timing(LineSystem.L525, 262)
    assert timing.field_offset_percent == pytest.approx(100 * 0.5 / 262)
    (remark,) = timing.remarks
    assert remark.code == "off_standard_field_rate"
    assert remark.facts["standard_hz"] == pytest.approx(59.94006, abs=1e-5)


def test_a_line_rate_that_makes_up_for_the_half_line_needs_no_remark() -> None:
    timing = progressive_timing(LineSystem.L525, 262, LINE_RATE_HZ[LineSystem.L525] * 262 / 262.5)
    assert timing.field_hz == pytest.approx(59.94006, abs=1e-5)
    assert timing.remarks == ()


@pytest.mark.parametrize(("system", "lines"), [("525", 312), ("625", 262), ("525", 525), ("525", 0), ("625", -1)])
def test_it_refuses_a_line_count_of_no_console(system: str, lines: int) -> None:
    with pytest.raises(BadInput) as refusal:
        progressive_timing(LineSystem(system), lines)
    assert (refusal.value.code, refusal.value.name) == ("not_one_of", "lines")
    assert refusal.value.facts["choices"] == PROGRESSIVE_LINES[LineSystem(system)]


@pytest.mark.parametrize("line_hz", [14_000, 31_468, 0, -15_625])
def test_it_refuses_a_line_rate_that_a_set_would_not_lock_to(line_hz: float) -> None:
    with pytest.raises(BadInput) as refusal:
        progressive_timing(LineSystem.L525, 262, line_hz)
    assert (refusal.value.code, refusal.value.name) == ("out_of_range", "line_hz")


@given(SYSTEMS, st.integers(260, 315), st.none() | st.floats() | st.floats(15e3, 16e3))
def test_any_input_is_refused_or_gives_finite_figures(system: LineSystem, lines: int, line_hz: float | None) -> None:
    with suppress(BadInput):
        timing = progressive_timing(system, lines, line_hz)
        assert all(math.isfinite(figure) for figure in astuple(timing)[:-1])
