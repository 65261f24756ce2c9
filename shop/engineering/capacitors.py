"""Losses, leakage and end of life of electrolytic capacitors, and capacitors put together."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput, Remark, in_range, positive

_LARGEST_F = 10.0
_EVERY_F = 1000e-6


def esr_ohm(tan_delta: float, capacitance_f: float, frequency_hz: float = 120.0) -> float:
    """Return the equivalent series resistance, in ohms, that a loss tangent stands for: tan δ / (2π f C).

    tan_delta 0 to 10, capacitance 0.1 pF to 10 F, frequency 1 Hz to 10 MHz. It is the figure at the frequency at which
    tan δ was measured: at 100 kHz, where switching supplies work, an electrolytic's is several times lower (common
    practice). Raises BadInput. Source: definition of the loss tangent.
    """
    in_range("tan_delta", tan_delta, "", 0, 10)
    _farads("capacitance_f", capacitance_f)
    in_range("frequency_hz", frequency_hz, "Hz", 1, 10e6)
    return tan_delta / (2 * math.pi * frequency_hz * capacitance_f)


class LossSheet(StrEnum):
    """Whose limits of tan δ: nichicon's flat ZG cans, or the VEJ sheet's radial cans of 4 to 10 or 12.5 to 18 mm."""

    NICHICON_ZG = "nichicon_zg"
    VEJ_TO_10_MM = "vej_to_10_mm"
    VEJ_FROM_12_5_MM = "vej_from_12_5_mm"


# The limit by rated voltage at 120 Hz and 20 °C.
_TAN_DELTA = {
    LossSheet.NICHICON_ZG: {6.3: 0.38, 10: 0.32, 16: 0.20, 25: 0.16, 35: 0.14, 50: 0.14},
    LossSheet.VEJ_TO_10_MM: {6.3: 0.45, 10: 0.35, 16: 0.28, 25: 0.18, 35: 0.16, 50: 0.14, 63: 0.12, 100: 0.12},
    LossSheet.VEJ_FROM_12_5_MM: {6.3: 0.40, 10: 0.38, 16: 0.34, 25: 0.26, 35: 0.22, 50: 0.18, 63: 0.14, 100: 0.10},
}


def tan_delta_limit(rated_v: float, capacitance_f: float, sheet: LossSheet = LossSheet.NICHICON_ZG) -> float:
    """Return a usual limit of tan δ at 120 Hz and 20 °C for a rated voltage of 6.3 to 50 V, or 100 V (VEJ).

    Above 1000 µF sheets add 0.02 for every 1000 µF; a begun thousand counts whole here (3300 µF adds 0.06), which is
    the milder reading of an ambiguous rule. A voltage in between takes the limit of the next one below. Raises
    BadInput. Sources: nichicon ZG and VEJ sheets; the addition from the VEJ sheet.
    """
    limits = _TAN_DELTA[sheet]
    in_range("rated_v", rated_v, "V", min(limits), max(limits))
    _farads("capacitance_f", capacitance_f)
    base = limits[max(volts for volts in limits if volts <= rated_v)]
    beyond = max(0, math.ceil(round((capacitance_f - _EVERY_F) / _EVERY_F, 9)))
    return base + 0.02 * beyond


def leakage_limit_a(capacitance_f: float, rated_v: float) -> float:
    """Return the usual leakage limit, in amperes, after two minutes at rated voltage: 0.01 C V, at least 3 µA.

    C in µF and V in volts give µA. Range 0.1 pF to 10 F, up to 1000 V. Raises BadInput. Source: nichicon ZG sheet.
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

    For ESR that holds where it outweighs the reactance (for electrolytics at 100 kHz), or where C times ESR is alike
    in all parts; at 120 Hz unlike parts share the current by capacitance. Each 0.1 pF to 10 F and 1 µΩ to 1 MΩ. Raises
    BadInput, also with not_as_many. Source: circuit theory.
    """
    _check(capacitances_f, esrs_ohm)
    return Together(sum(capacitances_f), 1 / sum(1 / each for each in esrs_ohm) if esrs_ohm else None)


def in_series(capacitances_f: Sequence[float], esrs_ohm: Sequence[float] = ()) -> Together:
    """Return 1 to 20 capacitors in series: 1/C adds up, and so does ESR.

    The remark says that the voltage is shared by leakage, not by capacitance: electrolytics need resistors across them
    (common practice). Ranges and refusals as `in_parallel`. Source: circuit theory.
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
