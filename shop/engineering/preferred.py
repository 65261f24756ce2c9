"""Preferred values: the E series of IEC 60063, and the rated voltages of electrolytic capacitors.

The series are tables, not a formula: eight values of E24 and one of E192 (920, where the formula gives 919) differ from
the rounded power of ten, and thirteen values of E24 are in no finer series. E3, E6 and E12 are every eighth, fourth and
second value of E24; E48 and E96 every fourth and second of E192.
"""

import math
from bisect import bisect_left
from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import Remark, in_range, positive

# fmt: off
_E24 = (
    100, 110, 120, 130, 150, 160, 180, 200, 220, 240, 270, 300, 330, 360, 390, 430, 470, 510, 560, 620, 680, 750, 820,
    910,
)
_E192 = (
    100, 101, 102, 104, 105, 106, 107, 109, 110, 111, 113, 114, 115, 117, 118, 120, 121, 123, 124, 126, 127, 129, 130,
    132, 133, 135, 137, 138, 140, 142, 143, 145, 147, 149, 150, 152, 154, 156, 158, 160, 162, 164, 165, 167, 169, 172,
    174, 176, 178, 180, 182, 184, 187, 189, 191, 193, 196, 198, 200, 203, 205, 208, 210, 213, 215, 218, 221, 223, 226,
    229, 232, 234, 237, 240, 243, 246, 249, 252, 255, 258, 261, 264, 267, 271, 274, 277, 280, 284, 287, 291, 294, 298,
    301, 305, 309, 312, 316, 320, 324, 328, 332, 336, 340, 344, 348, 352, 357, 361, 365, 370, 374, 379, 383, 388, 392,
    397, 402, 407, 412, 417, 422, 427, 432, 437, 442, 448, 453, 459, 464, 470, 475, 481, 487, 493, 499, 505, 511, 517,
    523, 530, 536, 542, 549, 556, 562, 569, 576, 583, 590, 597, 604, 612, 619, 626, 634, 642, 649, 657, 665, 673, 681,
    690, 698, 706, 715, 723, 732, 741, 750, 759, 768, 777, 787, 796, 806, 816, 825, 835, 845, 856, 866, 876, 887, 898,
    909, 920, 931, 942, 953, 965, 976, 988,
)
# fmt: on
# IEC 60384-4, from memory; 4 to 100 V are seen on makers' sheets.
RATED_VOLTAGES_V = (4, 6.3, 10, 16, 25, 35, 50, 63, 80, 100, 160, 200, 250, 315, 350, 400, 450)
# A measured or computed value this near to one of the series, relatively, is that one.
_SAME = 1e-12


class Series(StrEnum):
    """A series, by the number of its values in a decade."""

    E3 = "E3"
    E6 = "E6"
    E12 = "E12"
    E24 = "E24"
    E48 = "E48"
    E96 = "E96"
    E192 = "E192"

    @property
    def size(self) -> int:
        """Return how many values there are in a decade."""
        return int(self.value[1:])

    @property
    def tolerance_percent(self) -> float:
        """Return the tolerance that the series is made for, in ± percent (for E3 the standard says over 20)."""
        return {3: 40, 6: 20, 12: 10, 24: 5, 48: 2, 96: 1, 192: 0.5}[self.size]

    @property
    def hundreds(self) -> tuple[int, ...]:
        """Return the values of one decade, as whole numbers from 100 to 999."""
        table = _E24 if self.size <= len(_E24) else _E192
        return table[:: len(table) // self.size]


@dataclass(frozen=True, slots=True)
class Preferred:
    """A value of a series, and how far it lies from what was asked for, in percent of that."""

    value: float
    deviation_percent: float
    remarks: tuple[Remark, ...] = ()


def nearest(value: float, series: Series) -> Preferred:
    """Return the value of the series nearest to a value above zero, in whatever unit.

    Nearest is by ratio, since the series are geometric; of two equally near the larger, with the remark `tie` (fact
    other). Range 1e-15 to 1e15. Raises BadInput: not_finite, out_of_range. Source: IEC 60063:2015.
    """
    below, above = _around(value, series)
    found = _preferred(above if above / value <= value / below else below, value)
    if below < above and math.isclose(above / value, value / below, rel_tol=_SAME):
        return Preferred(found.value, found.deviation_percent, (Remark("tie", {"other": below + above - found.value}),))
    return found


def at_least(value: float, series: Series) -> Preferred:
    """Return the smallest value of the series that is not below the value. Otherwise like `nearest`."""
    return _preferred(_around(value, series)[1], value)


def at_most(value: float, series: Series) -> Preferred:
    """Return the largest value of the series that is not above the value. Otherwise like `nearest`."""
    return _preferred(_around(value, series)[0], value)


def series_with(value: float) -> tuple[Series, ...]:
    """Return the series that have the value (to a part in a million), the coarsest first; none when there is none.

    Range 1e-15 to 1e15. Raises BadInput: not_finite, out_of_range. Source: IEC 60063:2015.
    """
    return tuple(each for each in Series if abs(nearest(value, each).value / value - 1) < 1e-6)


def rated_voltage_at_least(voltage_v: float) -> float:
    """Return the smallest usual rated voltage, in volts, that is not below one above 0 and up to 450 V.

    Raises BadInput: not_finite, out_of_range. Source: IEC 60384-4, from memory; 4 to 100 V are on makers' sheets.
    """
    positive("voltage_v", voltage_v, "V", RATED_VOLTAGES_V[-1])
    return RATED_VOLTAGES_V[bisect_left(RATED_VOLTAGES_V, voltage_v)]


def _preferred(found: float, asked: float) -> Preferred:
    return Preferred(found, (found / asked - 1) * 100)


def _around(value: float, series: Series) -> tuple[float, float]:
    """Return the neighbours of a value in the series, which are both the value itself when it is one of them."""
    in_range("value", value, "", 1e-15, 1e15)
    decade = math.floor(math.log10(value))
    # One decade to either side: the logarithm may land on the wrong side of a power of ten.
    values = [_exact(hundred, power) for power in (decade - 1, decade, decade + 1) for hundred in series.hundreds]
    place = bisect_left(values, value * (1 - _SAME))
    if math.isclose(values[place], value, rel_tol=_SAME):
        return values[place], values[place]
    return values[place - 1], values[place]


def _exact(hundred: int, power: int) -> float:
    """Return hundred × 10^(power − 2) as the float that its decimal digits are read as: 4.7e-06, not 4.699999…e-06."""
    return float(f"{hundred}e{power - 2}")
