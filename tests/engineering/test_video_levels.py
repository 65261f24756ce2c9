"""IRE, volts, and the window of a measured level."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput
from shop.engineering.limits import Verdict
from shop.engineering.video_levels import (
    NOMINAL_VPP,
    VideoSignal,
    ire_of_volts,
    judge_level,
    nominal_levels,
    volts_of_ire,
    volts_of_luma,
)
from shop.engineering.video_timing import LineSystem
from tests.engineering.figures import refused_or_finite

SYSTEMS = st.sampled_from(LineSystem)
SIGNALS = st.sampled_from(VideoSignal)
# Half of them within the range of most inputs, so that not everything is refused.
ANY = st.floats() | st.floats(1e-6, 1)


@given(st.floats(-900, 900), SYSTEMS)
def test_volts_and_ire_are_there_and_back_again(level_ire: float, system: LineSystem) -> None:
    assert ire_of_volts(volts_of_ire(level_ire, system).level_v, system).level_ire == pytest.approx(level_ire)


@pytest.mark.parametrize(
    ("level_ire", "system", "codes"),
    [
        (-40, "525", []),
        (-40.1, "525", ["below_sync_tip"]),
        (120, "525", []),
        (120.1, "525", ["above_peak"]),
        (-300 / 7, "625", []),
        (-43, "625", ["below_sync_tip"]),
        (133, "625", []),
        (134, "625", ["above_peak"]),
    ],
)
def test_a_level_that_no_proper_signal_reaches_is_remarked(level_ire: float, system: str, codes: list[str]) -> None:
    assert [remark.code for remark in volts_of_ire(level_ire, LineSystem(system)).remarks] == codes


@given(SYSTEMS)
def test_sync_and_white_make_one_volt(system: LineSystem) -> None:
    levels = nominal_levels(system)
    assert levels.total_vpp == pytest.approx(1, abs=1e-12)
    assert levels.sync_v < 0 <= levels.black_v < levels.white_v < levels.peak_v


def test_japans_variant_has_black_at_blanking() -> None:
    """From memory: 525 lines without setup."""
    assert nominal_levels(LineSystem.L525, setup=False).black_v == 0
    assert nominal_levels(LineSystem.L525, setup=True) == nominal_levels(LineSystem.L525)


def test_it_refuses_a_setup_on_625_lines() -> None:
    with pytest.raises(BadInput) as refusal:
        nominal_levels(LineSystem.L625, setup=True)
    assert (refusal.value.code, refusal.value.name) == ("not_for_system", "setup")
    assert refusal.value.facts == {"system": "625"}


@pytest.mark.parametrize(
    ("luma", "system", "setup", "level_ire"),
    [(0, "525", None, 7.5), (1, "525", None, 100), (0.75, "525", None, 76.875), (0.75, "525", False, 75),
     (0, "625", None, 0), (0.75, "625", None, 75)],
)  # fmt: skip
def test_a_luma_stands_between_black_and_white(luma: float, system: str, setup: bool | None, level_ire: float) -> None:
    """The 75 % white of bars with setup, 76.9 IRE: from memory and recomputed."""
    assert volts_of_luma(luma, LineSystem(system), setup=setup).level_ire == pytest.approx(level_ire)


@pytest.mark.parametrize(
    ("measured_vpp", "uncertainty_v", "expected", "codes"),
    [
        (1.0, 0, "pass", []),
        (0.80, 0, "pass", []),
        (0.79, 0, "fail", ["level_low"]),
        (1.25, 0, "pass", []),
        (1.26, 0, "fail", ["level_high"]),
        (2.0, 0, "fail", ["level_high"]),
        (0.80, 0.02, "undecided", []),
        (1.27, 0.02, "undecided", ["level_high"]),
        (1.30, 0.02, "fail", ["level_high"]),
    ],
)
def test_it_judges_a_composite_level(
    measured_vpp: float, uncertainty_v: float, expected: str, codes: list[str]
) -> None:
    judged = judge_level(measured_vpp, VideoSignal.COMPOSITE, uncertainty_v)
    assert judged.verdict == expected
    assert [remark.code for remark in judged.remarks] == codes


@given(st.floats(1e-4, 30), SIGNALS)
def test_without_uncertainty_it_passes_just_within_two_decibels(measured_vpp: float, signal: VideoSignal) -> None:
    judged = judge_level(measured_vpp, signal)
    assert 10 ** (judged.deviation_db / 20) * NOMINAL_VPP[signal] == pytest.approx(measured_vpp)
    assert (judged.verdict is Verdict.PASS) == (abs(judged.deviation_db) <= 2 + 1e-8)
    assert (judged.verdict is Verdict.PASS) == (judged.remarks == ())


@given(SIGNALS)
def test_a_level_right_on_a_limit_passes(signal: VideoSignal) -> None:
    limits = judge_level(1, signal)
    for level_v in (limits.low_v, limits.high_v, NOMINAL_VPP[signal] * 10**0.1, NOMINAL_VPP[signal] / 10**0.1):
        assert judge_level(level_v, signal).verdict is Verdict.PASS


@pytest.mark.parametrize("measured_vpp", [0, -1, 30.1, math.nan, math.inf])
def test_it_refuses_a_level_that_is_none(measured_vpp: float) -> None:
    with pytest.raises(BadInput) as refusal:
        judge_level(measured_vpp, VideoSignal.RGB)
    assert refusal.value.name == "measured_vpp"


@given(ANY, ANY, SYSTEMS, SIGNALS)
def test_any_input_is_refused_or_gives_finite_figures(
    one: float, other: float, system: LineSystem, signal: VideoSignal
) -> None:
    for answer in (
        lambda: volts_of_ire(one, system).level_v,
        lambda: ire_of_volts(one, system).level_ire,
        lambda: volts_of_luma(one, system).level_v,
        lambda: judge_level(one, signal, other).deviation_db,
    ):
        assert refused_or_finite(answer)
