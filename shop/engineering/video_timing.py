"""Line and field timing of the two analogue television systems, and of the non-interlaced modes of old consoles.

Sources: ITU-R BT.1700 and SMPTE 170M for the 525-line system, ITU-R BT.470 and BT.1700 for the 625-line system, both
from memory and recomputed; ITU-R BT.601 for the samples per line, from memory and recomputed. The non-interlaced modes
are common practice: whole lines only, so that every field falls on the same lines.
"""

from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput, Remark, in_range

BT601_SAMPLING_HZ = 13_500_000.0
# Common practice: a set of the time locks to a line rate this near to the standard's.
LOCK_RANGE = 0.05
# Common practice: one field in ten thousand, which a display at the standard's rate drops or repeats every 3 minutes.
_NOTICEABLE_OFFSET_PERCENT = 0.01


class LineSystem(StrEnum):
    """A television system by the lines of its frame: 525 (with NTSC colour), 625 (with PAL colour)."""

    L525 = "525"
    L625 = "625"


# 4.5 MHz is the distance of the sound carrier, of which the 525-line system takes a 286th.
LINE_RATE_HZ = {LineSystem.L525: 4_500_000 / 286, LineSystem.L625: 15_625.0}
_SUBCARRIER_HZ = {LineSystem.L525: 315e6 / 88, LineSystem.L625: 283.75 * 15_625 + 25}
_BT601_SAMPLES = {LineSystem.L525: 858, LineSystem.L625: 864}
PROGRESSIVE_LINES = {LineSystem.L525: (262, 263), LineSystem.L625: (312, 313)}


@dataclass(frozen=True, slots=True)
class Timing:
    """The timing of an interlaced system: rates in hertz, durations in seconds.

    samples_per_line are those of ITU-R BT.601 at 13.5 MHz, blanking included.
    """

    line_hz: float
    line_s: float
    field_hz: float
    field_s: float
    frame_hz: float
    lines_per_frame: int
    lines_per_field: float
    subcarrier_hz: float
    subcarrier_cycles_per_line: float
    samples_per_line: int
    remarks: tuple[Remark, ...] = ()


@dataclass(frozen=True, slots=True)
class ProgressiveTiming:
    """The timing of a non-interlaced mode; field_offset_percent is against the interlaced standard."""

    line_hz: float
    line_s: float
    field_hz: float
    field_s: float
    field_offset_percent: float
    remarks: tuple[Remark, ...]


def standard_timing(system: LineSystem) -> Timing:
    """Return the timing of an interlaced system with its usual colour subcarrier (NTSC on 525, PAL on 625 lines)."""
    lines, line_hz, subcarrier_hz = int(system), LINE_RATE_HZ[system], _SUBCARRIER_HZ[system]
    return Timing(
        line_hz=line_hz,
        line_s=1 / line_hz,
        field_hz=2 * line_hz / lines,
        field_s=lines / (2 * line_hz),
        frame_hz=line_hz / lines,
        lines_per_frame=lines,
        lines_per_field=lines / 2,
        subcarrier_hz=subcarrier_hz,
        subcarrier_cycles_per_line=subcarrier_hz / line_hz,
        samples_per_line=_BT601_SAMPLES[system],
    )


def progressive_timing(system: LineSystem, lines: int, line_hz: float | None = None) -> ProgressiveTiming:
    """Return the timing of a "240p" mode (262 or 263 lines) or a "288p" mode (312 or 313 lines).

    line_hz is the line rate as measured, within 5 % of the standard's, which is taken when it is left out. Valid for
    modes that repeat the same whole number of lines; field rate = line rate / lines, common practice. Raises BadInput
    with `not_one_of` (facts given, choices) for other line counts, `not_finite`, and `out_of_range` for a line rate no
    set would lock to. Remark `off_standard_field_rate` (facts field_hz, standard_hz, off_percent) when the rate is over
    0.01 % off the interlaced one.
    """
    if lines not in PROGRESSIVE_LINES[system]:
        raise BadInput("not_one_of", "lines", given=lines, choices=PROGRESSIVE_LINES[system])
    nominal_hz = LINE_RATE_HZ[system]
    rate_hz = nominal_hz if line_hz is None else line_hz
    in_range("line_hz", rate_hz, "Hz", nominal_hz * (1 - LOCK_RANGE), nominal_hz * (1 + LOCK_RANGE))
    field_hz, standard_hz = rate_hz / lines, 2 * nominal_hz / int(system)
    off_percent = (field_hz / standard_hz - 1) * 100
    remarks: tuple[Remark, ...] = ()
    if abs(off_percent) > _NOTICEABLE_OFFSET_PERCENT:
        facts = {"field_hz": field_hz, "standard_hz": standard_hz, "off_percent": off_percent}
        remarks = (Remark("off_standard_field_rate", facts),)
    return ProgressiveTiming(rate_hz, 1 / rate_hz, field_hz, lines / rate_hz, off_percent, remarks)
