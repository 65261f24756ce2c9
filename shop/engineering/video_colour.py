"""Luma, 8-bit colour and colour bars of ITU-R BT.601.

Sources: ITU-R BT.601, its luma by the TU München page COL_31; the bars at avisynth.nl, ColorBars_theory oldid=2963,
agree (the current revision of that page holds the numbers of BT.709 under the name of BT.601).
"""

import math
from dataclasses import dataclass

from shop.engineering.inputs import Remark, in_range

LUMA_RED, LUMA_GREEN, LUMA_BLUE = 0.299, 0.587, 0.114
_BARS = (
    ("white", 1, 1, 1),
    ("yellow", 1, 1, 0),
    ("cyan", 0, 1, 1),
    ("green", 0, 1, 0),
    ("magenta", 1, 0, 1),
    ("red", 1, 0, 0),
    ("blue", 0, 0, 1),
    ("black", 0, 0, 0),
)


@dataclass(frozen=True, slots=True)
class Ycbcr:
    """A colour as three 8-bit words: luma 16 to 235, both colour differences 16 to 240 with 128 for none."""

    luma: int
    cb: int
    cr: int
    remarks: tuple[Remark, ...] = ()


@dataclass(frozen=True, slots=True)
class Bar:
    """One colour bar: R'G'B' and luma from 0 to 1, colour differences from −0.5 to 0.5, and the 8-bit words."""

    name: str
    red: float
    green: float
    blue: float
    luma: float
    pb: float
    pr: float
    words: Ycbcr
    remarks: tuple[Remark, ...] = ()


def luma(red: float, green: float, blue: float) -> float:
    """Return the luma Y', 0 to 1, of gamma-corrected R'G'B' from 0 to 1: 0.299 R' + 0.587 G' + 0.114 B'.

    Source: ITU-R BT.601. Raises BadInput `out_of_range` or `not_finite`.
    """
    for name, value in (("red", red), ("green", green), ("blue", blue)):
        in_range(name, value, "", 0, 1)
    return LUMA_RED * red + LUMA_GREEN * green + LUMA_BLUE * blue


def ycbcr(red: float, green: float, blue: float) -> Ycbcr:
    """Return the 8-bit words of gamma-corrected R'G'B' from 0 to 1, in the narrow range of ITU-R BT.601.

    Halves round up, as the standard has it. Raises BadInput `out_of_range` or `not_finite`.
    """
    y, pb, pr = _differences(red, green, blue)
    return Ycbcr(math.floor(16.5 + 219 * y), math.floor(128.5 + 224 * pb), math.floor(128.5 + 224 * pr))


def colour_bars(amplitude: float = 0.75) -> tuple[Bar, ...]:
    """Return the eight bars from white to black with R'G'B' of 0 or the amplitude: 0.75 and 1 are the usual ones.

    White has the amplitude too; in EBU bars (100/0/75/0) it has 1 while the colours have 0.75. Valid for amplitudes of
    0.01 to 1. Raises BadInput `out_of_range` or `not_finite`.
    """
    in_range("amplitude", amplitude, "", 0.01, 1)
    bars = []
    for name, *full in _BARS:
        red, green, blue = (amplitude * part for part in full)
        bars.append(Bar(name, red, green, blue, *_differences(red, green, blue), ycbcr(red, green, blue)))
    return tuple(bars)


def _differences(red: float, green: float, blue: float) -> tuple[float, float, float]:
    """Return luma and both colour differences, these scaled to −0.5 to 0.5."""
    y = luma(red, green, blue)
    return y, (blue - y) / (2 * (1 - LUMA_BLUE)), (red - y) / (2 * (1 - LUMA_RED))
