"""Losses, leakage and end of life of electrolytic capacitors, and capacitors put together."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shop.engineering.inputs import BadInput, Remark, in_range, positive

_LARGEST_F = 10.0
_EVERY_F = 1000e-6


def esr_ohm(tan_delta: float, capacitance_f: float, frequency_hz: float = 120.0) -> float:
    """Return the equivalent series resistance, in ohms, that a loss tangent stands for: tan δ / (2π f C).

    tan_delta 0 to 10, capacitance up to 10 F, frequency up to 10 MHz. It is the figure at that frequency: at 100 kHz,
    where switching supplies work, an electrolytic's is several times lower. Raises BadInput.
    """
    in_range("tan_delta", tan_delta, "", 0, 10)
    _farads("capacitance_f", capacitance_f)
    positive("frequency_hz", frequency_hz, "Hz", 10e6)
    return tan_delta / (2 * math.pi * frequency_hz * capacitance_f)


# nichicon ZG series, 120 Hz, 20 °C: the limit by rated voltage.
_TAN_DELTA = ((6.3, 0.38), (10.0, 0.32), (16.0, 0.20), (25.0, 0.16), (35.0, 0.14), (50.0, 0.14))


def tan_delta_limit(rated_v: float, capacitance_f: float) -> float:
    """Return a usual limit of tan δ at 120 Hz and 20 °C for a rated voltage of 6.3 to 50 V.

    Above 1000 µF sheets add 0.02 for every 1000 µF; a begun thousand counts whole here (3300 µF adds 0.06), which is
    the milder reading of an ambiguous rule. A voltage in between takes the limit of the next one below. Raises
    BadInput. Sources: nichicon ZG; the addition from the VEJ sheet.
    """
    in_range("rated_v", rated_v, "V", 6.3, 50)
    _farads("capacitance_f", capacitance_f)
    base = [limit for volts, limit in _TAN_DELTA if volts <= rated_v][-1]
    beyond = max(0, math.ceil(round((capacitance_f - _EVERY_F) / _EVERY_F, 9)))
    return base + 0.02 * beyond


def leakage_limit_a(capacitance_f: float, rated_v: float) -> float:
    """Return the usual leakage limit, in amperes, after two minutes at rated voltage: 0.01 C V, at least 3 µA.

    C in µF and V in volts give µA. Range up to 10 F and 1000 V. Raises BadInput. Source: nichicon ZG sheet.
    """
    _farads("capacitance_f", capacitance_f)
    positive("rated_v", rated_v, "V", 1000)
    return max(0.01 * (capacitance_f * 1e6) * rated_v, 3.0) * 1e-6


@dataclass(frozen=True, slots=True)
class EndOfLife:
    """What an endurance test still allows: change of capacitance in ± percent, and tan δ over its limit in percent."""

    capacitance_change_percent: float
    tan_delta_percent_of_limit: float


def end_of_life(diameter_mm: float) -> EndOfLife:
    """Return what a radial or SMD can of 3 to 20 mm may have come to when its rated life is over.

    Up to 6.3 mm ± 25 % and three times tan δ, from 8 mm ± 20 % and twice; leakage stays within its limit. In between
    the milder figures hold. Raises BadInput. Source: the VEJ sheet.
    """
    in_range("diameter_mm", diameter_mm, "mm", 3, 20)
    return EndOfLife(20, 200) if diameter_mm >= 8 else EndOfLife(25, 300)


@dataclass(frozen=True, slots=True)
class Together:
    """Capacitors put together: farads, and ohms when every ESR is known."""

    capacitance_f: float
    esr_ohm: float | None
    remarks: tuple[Remark, ...] = ()


def in_parallel(capacitances_f: Sequence[float], esrs_ohm: Sequence[float] = ()) -> Together:
    """Return 1 to 20 capacitors in parallel: C adds up, and ESR is that of resistors in parallel.

    That holds for ESR where the parts are alike enough to share the current. Raises BadInput.
    """
    _check(capacitances_f, esrs_ohm)
    known = esrs_ohm and 1 / sum(1 / each for each in esrs_ohm)
    return Together(sum(capacitances_f), known or None)


def in_series(capacitances_f: Sequence[float], esrs_ohm: Sequence[float] = ()) -> Together:
    """Return 1 to 20 capacitors in series: 1/C adds up, and so does ESR.

    The remark says that the voltage is shared by leakage, not by capacitance: electrolytics need resistors across them
    (common practice). Raises BadInput.
    """
    _check(capacitances_f, esrs_ohm)
    remarks = (Remark("series_needs_balance"),) if len(capacitances_f) > 1 else ()
    return Together(1 / sum(1 / each for each in capacitances_f), sum(esrs_ohm) if esrs_ohm else None, remarks)


def _check(capacitances_f: Sequence[float], esrs_ohm: Sequence[float]) -> None:
    in_range("capacitances_f", len(capacitances_f), "", 1, 20)
    for each in capacitances_f:
        _farads("capacitances_f", each)
    for each in esrs_ohm:
        in_range("esrs_ohm", each, "Ω", 1e-6, 1e6)
    if esrs_ohm and len(esrs_ohm) != len(capacitances_f):
        raise BadInput("not_as_many", "esrs_ohm", given=len(esrs_ohm), wanted=len(capacitances_f))


def _farads(name: str, value: float) -> None:
    in_range(name, value, "F", 1e-13, _LARGEST_F)
