"""Levels of a composite or luma signal in IRE and in volts, and whether a measured level is acceptable.

Sources: NI, video levels (ni.com/docs/ja-JP/bundle/ni-fgen/page/video-levels.html), and
epanorama.net/documents/video/videosignal_levels.html for the levels; the SCART signal table at
silicon-heaven.org/atom/howel/SCART/scart_signals.htm for the acceptance windows. The 625-line burst of 300 mV
peak to peak (ITU-R BT.470), the 625-line peak of 4/3 and the 525-line variant without setup are from memory.
All volts are measured against blanking at a load of 75 ohm.
"""

import math
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shop.engineering.inputs import BadInput, Remark, in_range
from shop.engineering.limits import Verdict, verdict
from shop.engineering.video_timing import LineSystem

V_PER_IRE = {LineSystem.L525: 1 / 140, LineSystem.L625: 0.007}
SETUP_IRE = 7.5
_WHITE_V = {LineSystem.L525: 100 / 140, LineSystem.L625: 0.7}
_SYNC_V = {LineSystem.L525: -40 / 140, LineSystem.L625: -0.3}
_BURST_V = {LineSystem.L525: 20 / 140, LineSystem.L625: 0.15}
# The 525-line limit is the transmitter's; the 625-line one the yellow of 100 % bars, subcarrier included.
PEAK_IRE = {LineSystem.L525: 120.0, LineSystem.L625: 400 / 3}
_MOST_IRE = 1000.0
_MOST_V = 30.0
_LEAST_V = 1e-4
WINDOW_DB = 2.0
# A level computed to lie on a limit may miss it by rounding.
_ROUNDING = 1e-9


class VideoSignal(StrEnum):
    """What is measured: composite with sync (1 V peak to peak), or one of red, green, blue without (0.7 V)."""

    COMPOSITE = "composite"
    RGB = "rgb"


NOMINAL_VPP = {VideoSignal.COMPOSITE: 1.0, VideoSignal.RGB: 0.7}


@dataclass(frozen=True, slots=True)
class Level:
    """One level above blanking in both units."""

    level_ire: float
    level_v: float
    remarks: tuple[Remark, ...]


@dataclass(frozen=True, slots=True)
class NominalLevels:
    """The nominal levels against blanking, in volts; burst_v is the burst's amplitude, half of its peak to peak."""

    v_per_ire: float
    sync_v: float
    black_v: float
    white_v: float
    peak_v: float
    burst_v: float
    total_vpp: float
    remarks: tuple[Remark, ...] = ()


@dataclass(frozen=True, slots=True)
class LevelVerdict:
    """Whether a level keeps its window of low_v to high_v, and how far it is from nominal, in decibels."""

    verdict: Verdict
    deviation_db: float
    low_v: float
    high_v: float
    remarks: tuple[Remark, ...]


def volts_of_ire(level_ire: float, system: LineSystem) -> Level:
    """Return a level of −1000 to 1000 IRE in volts: 1/140 V per IRE on 525 lines, 7 mV on 625.

    Raises BadInput `out_of_range` or `not_finite`. Remarks `below_sync_tip` (facts level_ire, low_ire) and `above_peak`
    (facts level_ire, high_ire) when no proper signal reaches the level.
    """
    in_range("level_ire", level_ire, "IRE", -_MOST_IRE, _MOST_IRE)
    return Level(level_ire, level_ire * V_PER_IRE[system], _beyond(level_ire, system))


def ire_of_volts(level_v: float, system: LineSystem) -> Level:
    """Return a level of −7 to 7 V against blanking, at 75 ohm, in IRE. Errors and remarks like `volts_of_ire`."""
    in_range("level_v", level_v, "V", -7, 7)
    level_ire = level_v / V_PER_IRE[system]
    return Level(level_ire, level_v, _beyond(level_ire, system))


def nominal_levels(system: LineSystem, *, setup: bool | None = None) -> NominalLevels:
    """Return the nominal levels of a system, in volts at 75 ohm.

    setup: black lies 7.5 IRE above blanking; left out, it is so on 525 lines (not in Japan's variant) and not on 625.
    Raises BadInput `not_for_system` (fact system) for a setup on 625 lines.
    """
    raised = system == LineSystem.L525 if setup is None else setup
    if raised and system == LineSystem.L625:
        raise BadInput("not_for_system", "setup", system=str(system))
    per_ire = V_PER_IRE[system]
    white_v = _WHITE_V[system]
    return NominalLevels(
        v_per_ire=per_ire,
        sync_v=_SYNC_V[system],
        black_v=SETUP_IRE * per_ire if raised else 0.0,
        white_v=white_v,
        peak_v=PEAK_IRE[system] * per_ire,
        burst_v=_BURST_V[system],
        total_vpp=white_v - _SYNC_V[system],
    )


def volts_of_luma(luma: float, system: LineSystem, *, setup: bool | None = None) -> Level:
    """Return the level of a luma Y' of 0 (black) to 1 (white) on the scope; setup as for `nominal_levels`.

    Raises BadInput `out_of_range`, `not_finite` or `not_for_system`.
    """
    in_range("luma", luma, "", 0, 1)
    levels = nominal_levels(system, setup=setup)
    level_v = levels.black_v + luma * (levels.white_v - levels.black_v)
    return Level(level_v / levels.v_per_ire, level_v, ())


def judge_level(measured_vpp: float, signal: VideoSignal, uncertainty_v: float = 0.0) -> LevelVerdict:
    """Return whether a peak-to-peak level, 0.1 mV to 30 V at one load of 75 ohm, is within ±2 dB of its nominal.

    uncertainty_v is the expanded uncertainty (k = 2) of the measurement, 0 to 30 V: with it the verdict may be
    undecided. Composite is 1 V with sync and white, red, green and blue are 0.7 V without sync. Raises BadInput
    `out_of_range` or `not_finite`. Remark `level_low` or `level_high` (facts deviation_db, low_v or high_v) beyond the
    window.
    """
    in_range("measured_vpp", measured_vpp, "V", _LEAST_V, _MOST_V)
    in_range("uncertainty_v", uncertainty_v, "V", 0, _MOST_V)
    nominal = NOMINAL_VPP[signal]
    low_v, high_v = (nominal * 10 ** (sign * WINDOW_DB / 20) for sign in (-1, 1))
    edges = (Decimal(low_v * (1 - _ROUNDING)), Decimal(high_v * (1 + _ROUNDING)))
    judged = verdict(Decimal(measured_vpp), Decimal(uncertainty_v), *edges)
    deviation_db = 20 * math.log10(measured_vpp / nominal)
    remarks: tuple[Remark, ...] = ()
    if measured_vpp < edges[0]:
        remarks = (Remark("level_low", {"deviation_db": deviation_db, "low_v": low_v}),)
    elif measured_vpp > edges[1]:
        remarks = (Remark("level_high", {"deviation_db": deviation_db, "high_v": high_v}),)
    return LevelVerdict(judged, deviation_db, low_v, high_v, remarks)


def _beyond(level_ire: float, system: LineSystem) -> tuple[Remark, ...]:
    low_ire = _SYNC_V[system] / V_PER_IRE[system]
    if level_ire < low_ire * (1 + _ROUNDING):
        return (Remark("below_sync_tip", {"level_ire": level_ire, "low_ire": low_ire}),)
    if level_ire > PEAK_IRE[system] * (1 + _ROUNDING):
        return (Remark("above_peak", {"level_ire": level_ire, "high_ire": PEAK_IRE[system]}),)
    return ()
