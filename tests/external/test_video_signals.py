"""Video levels, coupling, switching and timing against published figures (catalogue section 4).

Where a check is exact it is held to the last digit that a float carries.
"""

import pytest

from shop.engineering.limits import Verdict
from shop.engineering.video_coupling import corner_hz, sag_gains, tilt
from shop.engineering.video_levels import VideoSignal, ire_of_volts, judge_level, nominal_levels, volts_of_ire
from shop.engineering.video_switching import (
    blanking_drive,
    blanking_series_range,
    blanking_state,
    function_state,
)
from shop.engineering.video_termination import diagnose_level, line_levels, open_level_v
from shop.engineering.video_timing import BT601_SAMPLING_HZ, LineSystem, standard_timing

EXACT = 1e-12


@pytest.mark.parametrize(("level_ire", "level_mv"), [(1, 7.142857), (-40, -285.714), (7.5, 53.571), (100, 714.286)])
def test_140_ire_are_one_volt_on_525_lines(level_ire: float, level_mv: float) -> None:
    """VD-01: NI, video levels (7.143 mV); epanorama.net videosignal_levels (0.714, 0.286, 0.054 V)."""
    assert volts_of_ire(level_ire, LineSystem.L525).level_v * 1000 == pytest.approx(level_mv, abs=1e-3)
    assert volts_of_ire(140, LineSystem.L525).level_v == pytest.approx(1, abs=EXACT)


def test_sync_and_white_of_625_lines_are_300_and_700_millivolts() -> None:
    """VD-02: the same two pages."""
    levels = nominal_levels(LineSystem.L625)
    assert (levels.sync_v, levels.white_v, levels.black_v, levels.v_per_ire) == (-0.3, 0.7, 0, 0.007)
    assert round(levels.total_vpp / levels.v_per_ire) == 143


def test_the_levels_of_525_lines_in_ire() -> None:
    """VD-03: NI, video levels. Burst as amplitude."""
    levels = nominal_levels(LineSystem.L525)
    given = (levels.sync_v, 0, levels.black_v, levels.white_v, levels.peak_v, levels.burst_v)
    in_ire = [ire_of_volts(level_v, LineSystem.L525).level_ire for level_v in given]
    assert in_ire == pytest.approx([-40, 0, 7.5, 100, 120, 20], abs=EXACT)


@pytest.mark.parametrize(("terminated_v", "open_v"), [(1, 2), (0.7, 1.4)])
def test_an_unloaded_source_stands_at_twice_the_level(terminated_v: float, open_v: float) -> None:
    """VD-04: NI, video levels."""
    assert open_level_v(terminated_v) == open_v
    assert line_levels(open_v).terminated_v == terminated_v
    assert {suspect.cause.value for suspect in diagnose_level(open_v, terminated_v).suspects} == {
        "no_load", "no_series_resistor",
    }  # fmt: skip


@pytest.mark.parametrize(("signal", "low_v", "high_v"), [("composite", 0.794, 1.259), ("rgb", 0.556, 0.881)])
def test_a_level_may_be_two_decibels_off(signal: str, low_v: float, high_v: float) -> None:
    """VD-06: silicon-heaven.org, SCART signals: ±2 dB; the limits computed."""
    judged = judge_level(1, VideoSignal(signal))
    assert [judged.low_v, judged.high_v] == pytest.approx([low_v, high_v], abs=1e-3)
    outside = (judge_level(level_v, VideoSignal(signal)).verdict for level_v in (low_v - 1e-3, high_v + 1e-3))
    assert set(outside) == {Verdict.FAIL}


@pytest.mark.parametrize(
    ("pin_v", "expected"),
    [(0, "off"), (2, "off"), (3, "undefined"), (5, "av_16_9"), (8, "av_16_9"), (9, "undefined"), (9.5, "av_4_3"),
     (12, "av_4_3")],
)  # fmt: skip
def test_pin_8_selects_by_its_voltage(pin_v: float, expected: str) -> None:
    """VD-07: petricli.com, scart (IEC 60933-1, EN 50049-1)."""
    assert function_state(pin_v).switching == expected


@pytest.mark.parametrize(
    ("pin_v", "expected"), [(0, "composite"), (0.4, "composite"), (0.7, "undefined"), (1, "rgb"), (3, "rgb")]
)
def test_pin_16_selects_by_its_voltage(pin_v: float, expected: str) -> None:
    """VD-08: the same page."""
    assert blanking_state(pin_v).switching == expected


def test_five_volts_through_100_ohm_select_rgb() -> None:
    """VD-09: scribd 481414364: "2.1 v"."""
    drive = blanking_drive(5, 100)
    assert drive.pin_v == pytest.approx(2.142857, abs=1e-6)
    assert drive.pin_v == pytest.approx(2.1, abs=0.05)
    assert drive.switching == "rgb"


def test_pin_16_takes_50_to_300_ohm_from_five_volts() -> None:
    """VD-10: the divider."""
    found = blanking_series_range(5)
    assert (found.low_ohm, found.high_ohm) == (50, 300)


def test_the_corner_of_133_microfarads_with_150_ohm_is_8_hertz() -> None:
    """VD-12: TI OPA4830, SBOS350."""
    assert corner_hz(133e-6, 150) == pytest.approx(7.98, rel=0.005)
    assert round(corner_hz(133e-6, 150)) == 8


@pytest.mark.parametrize(("uf", "hz"), [(220, 4.82288), (330, 3.21525), (470, 2.25752), (1000, 1.06103)])
def test_the_corners_of_the_usual_output_capacitors(uf: float, hz: float) -> None:
    """VD-13: capacitors as in TI THS7368 and THS7315, computed."""
    assert corner_hz(uf * 1e-6) == pytest.approx(hz, abs=1e-4)


@pytest.mark.parametrize(
    ("uf", "percent", "linear_percent"), [(220, 22.316, 25.25), (470, 11.148, 11.82), (1000, 5.404, 5.56)]
)
def test_the_tilt_over_half_a_field(uf: float, percent: float, linear_percent: float) -> None:
    """VD-15: 8.333 ms and 150 ohm, computed; to 0.001 of the step, and to every digit printed."""
    found = tilt(uf * 1e-6, 8.333e-3)
    assert found.tilt * 100 == pytest.approx(percent, abs=1e-3)
    assert found.linear_tilt * 100 == pytest.approx(linear_percent, abs=5e-3)


def test_the_gains_of_a_sag_network() -> None:
    """VD-17: TI THS7303, SLOS479B, page 25: 2.55 (8.1 dB) and 2 (6.0 dB)."""
    gains = sag_gains(output_ohm=675, sag_ohm=150, common_ohm=878, ground_ohm=1000)
    assert [gains.low_gain, gains.high_gain] == pytest.approx([2.553, 2.0007], abs=5e-5)
    assert [gains.low_db, gains.high_db] == pytest.approx([8.14, 6.02], abs=0.1)


def test_the_timing_of_525_lines() -> None:
    """VD-22: ITU-R BT.1700, SMPTE 170M, from memory and recomputed. Subcarrier in MHz, line in µs."""
    timing = standard_timing(LineSystem.L525)
    assert timing.line_hz == pytest.approx(15_734.2657, abs=1e-4)
    assert timing.line_hz == pytest.approx(4.5e6 / 286, abs=1e-4)
    assert timing.subcarrier_hz / 1e6 == pytest.approx(3.5795455, abs=1e-4)
    assert timing.subcarrier_hz == pytest.approx(227.5 * timing.line_hz, abs=1e-4)
    assert timing.subcarrier_cycles_per_line == pytest.approx(227.5, abs=1e-9)
    assert timing.field_hz == pytest.approx(59.94006, abs=1e-4)
    assert timing.line_s * 1e6 == pytest.approx(63.5556, abs=1e-4)


def test_the_timing_of_625_lines() -> None:
    """VD-23: ITU-R BT.470, BT.1700, from memory and recomputed."""
    timing = standard_timing(LineSystem.L625)
    assert (timing.subcarrier_hz, timing.line_s, timing.line_hz, timing.field_hz) == (4_433_618.75, 64e-6, 15_625, 50)


@pytest.mark.parametrize(("system", "samples", "hz"), [("525", 858, 15_734.2657), ("625", 864, 15_625)])
def test_13_and_a_half_megahertz_are_a_whole_number_of_samples_a_line(system: str, samples: int, hz: float) -> None:
    """VD-24: ITU-R BT.601, from memory and recomputed."""
    timing = standard_timing(LineSystem(system))
    assert timing.samples_per_line == samples
    assert BT601_SAMPLING_HZ / samples == pytest.approx(hz, abs=1e-4)
    assert timing.line_hz * samples == pytest.approx(BT601_SAMPLING_HZ, rel=EXACT)
