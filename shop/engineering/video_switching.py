"""Switching voltages of the SCART connector: function (pin 8) and fast blanking (pin 16).

Sources: petricli.com/elektro/ders/scart.htm for the ranges (IEC 60933-1, EN 50049-1), which leave gaps where the set
may do either; the pin 16 divider of 5 V through 100 ohm in the copy at scribd 481414364. Pin 16 ends in 75 ohm, pin 8
in 10 kohm or more.
"""

from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import Remark, in_range

BLANKING_LOAD_OHM = 75.0
FUNCTION_LOAD_OHM = 10_000.0
_MOST_V = 50.0
_MOST_OHM = 1e6


class Switching(StrEnum):
    """What a pin asks of the set; undefined where the standard says nothing."""

    OFF = "off"
    WIDE = "av_16_9"
    NORMAL = "av_4_3"
    COMPOSITE = "composite"
    RGB = "rgb"
    UNDEFINED = "undefined"


FUNCTION_RANGES_V = {Switching.OFF: (0.0, 2.0), Switching.WIDE: (5.0, 8.0), Switching.NORMAL: (9.5, 12.0)}
BLANKING_RANGES_V = {Switching.COMPOSITE: (0.0, 0.4), Switching.RGB: (1.0, 3.0)}
# A divider computed to lie on a limit may miss it by rounding.
_ROUNDING_V = 1e-9


@dataclass(frozen=True, slots=True)
class PinState:
    """What the voltage of a pin means."""

    switching: Switching
    pin_v: float
    remarks: tuple[Remark, ...]


@dataclass(frozen=True, slots=True)
class BlankingDrive:
    """Pin 16 fed through a resistor: what it means, the current drawn, and what the resistor dissipates."""

    switching: Switching
    pin_v: float
    current_a: float
    power_w: float
    remarks: tuple[Remark, ...]


@dataclass(frozen=True, slots=True)
class FunctionDrive:
    """Pin 8 fed through a resistor: low_v at the heaviest load allowed, high_v with none."""

    switching: Switching
    low_v: float
    high_v: float
    remarks: tuple[Remark, ...]


@dataclass(frozen=True, slots=True)
class SeriesRange:
    """The series resistors that keep a pin within its range."""

    low_ohm: float
    high_ohm: float
    remarks: tuple[Remark, ...] = ()


def function_state(pin_v: float) -> PinState:
    """Return what −50 to 50 V at pin 8 mean: off 0 to 2 V, wide picture 5 to 8 V, 4:3 picture 9.5 to 12 V.

    Raises BadInput `out_of_range` or `not_finite`. Remarks where it is undefined: `between_ranges` (facts low_v, high_v
    of the gap), `outside_standard` (facts low_v, high_v of the standard).
    """
    in_range("pin_v", pin_v, "V", -_MOST_V, _MOST_V)
    return _state(pin_v, FUNCTION_RANGES_V)


def blanking_state(pin_v: float) -> PinState:
    """Return what −50 to 50 V at pin 16, in 75 ohm, mean: composite 0 to 0.4 V, RGB 1 to 3 V. Like `function_state`."""
    in_range("pin_v", pin_v, "V", -_MOST_V, _MOST_V)
    return _state(pin_v, BLANKING_RANGES_V)


def blanking_drive(source_v: float, series_ohm: float) -> BlankingDrive:
    """Return what a source of 0 to 50 V does to pin 16 through 0 to 1 Mohm, into the pin's 75 ohm.

    Raises BadInput `out_of_range` or `not_finite`. Remarks like `function_state`.
    """
    in_range("source_v", source_v, "V", 0, _MOST_V)
    in_range("series_ohm", series_ohm, "ohm", 0, _MOST_OHM)
    current_a = source_v / (series_ohm + BLANKING_LOAD_OHM)
    state = _state(current_a * BLANKING_LOAD_OHM, BLANKING_RANGES_V)
    return BlankingDrive(state.switching, state.pin_v, current_a, current_a**2 * series_ohm, state.remarks)


def blanking_series_range(source_v: float) -> SeriesRange:
    """Return which series resistors switch pin 16 to RGB, 1 to 3 V in 75 ohm, from a source of 1 to 50 V.

    Raises BadInput `out_of_range` (a source below 1 V never does) or `not_finite`.
    """
    low_v, high_v = BLANKING_RANGES_V[Switching.RGB]
    in_range("source_v", source_v, "V", low_v, _MOST_V)
    low_ohm, high_ohm = (BLANKING_LOAD_OHM * (source_v - level_v) / level_v for level_v in (high_v, low_v))
    return SeriesRange(max(0.0, low_ohm), high_ohm)


def function_drive(source_v: float, series_ohm: float) -> FunctionDrive:
    """Return what a source of 0 to 50 V does to pin 8 through 0 to 1 Mohm, whatever load of 10 kohm or more is there.

    Undefined unless the lowest and the highest voltage mean the same. Raises BadInput `out_of_range` or `not_finite`.
    Remarks like `function_state`, and `depends_on_load` (facts low_v, high_v) when the two do not mean the same.
    """
    in_range("source_v", source_v, "V", 0, _MOST_V)
    in_range("series_ohm", series_ohm, "ohm", 0, _MOST_OHM)
    low_v = source_v * FUNCTION_LOAD_OHM / (series_ohm + FUNCTION_LOAD_OHM)
    lowest, highest = _state(low_v, FUNCTION_RANGES_V), _state(source_v, FUNCTION_RANGES_V)
    if lowest.switching == highest.switching and lowest.remarks == highest.remarks:
        return FunctionDrive(lowest.switching, low_v, source_v, lowest.remarks)
    remark = Remark("depends_on_load", {"low_v": low_v, "high_v": source_v})
    return FunctionDrive(Switching.UNDEFINED, low_v, source_v, (remark,))


def _state(pin_v: float, ranges: dict[Switching, tuple[float, float]]) -> PinState:
    for switching, (low_v, high_v) in ranges.items():
        if low_v - _ROUNDING_V <= pin_v <= high_v + _ROUNDING_V:
            return PinState(switching, pin_v, ())
    below = [high_v for _, high_v in ranges.values() if high_v < pin_v]
    above = [low_v for low_v, _ in ranges.values() if low_v > pin_v]
    if below and above:
        remark = Remark("between_ranges", {"low_v": max(below), "high_v": min(above)})
    else:
        ends = [end for limits in ranges.values() for end in limits]
        remark = Remark("outside_standard", {"low_v": min(ends), "high_v": max(ends)})
    return PinState(Switching.UNDEFINED, pin_v, (remark,))
