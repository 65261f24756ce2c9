"""Coupling capacitors of video outputs: corner frequency, tilt over a field, and sag correction.

Sources: 1/(2πRC) as TI OPA4830 (SBOS350) applies it, 1 − e^(−t/RC) for the tilt, TI THS7303 (SLOS479B, page 25) for the
feedback network that corrects sag. An output capacitor works into its series resistor and the load: 75 + 75 ohm.
"""

import math
from dataclasses import dataclass

from shop.engineering.inputs import Remark, in_range
from shop.engineering.video_timing import LineSystem, standard_timing

COUPLING_OHM = 150.0
# Beyond a tenth of the time constant the straight line is over 5 % too steep.
LINEAR_LIMIT = 0.1
_CURVE_STEPS = 100


@dataclass(frozen=True, slots=True)
class Tilt:
    """How far a level sinks: exact, and by the straight line t/RC; both as a share of the step, 1 being all of it."""

    tilt: float
    linear_tilt: float
    time_s: float
    remarks: tuple[Remark, ...]


@dataclass(frozen=True, slots=True)
class FieldTilt:
    """The tilt over half a field (a picture half white, half black) and over a whole one."""

    half_field: Tilt
    field: Tilt
    remarks: tuple[Remark, ...]


@dataclass(frozen=True, slots=True)
class SagGains:
    """The gain of a buffer with sag correction far below and far above its capacitors' corners, and the difference."""

    low_gain: float
    low_db: float
    high_gain: float
    high_db: float
    boost_db: float
    remarks: tuple[Remark, ...] = ()


def corner_hz(capacitance_f: float, resistance_ohm: float = COUPLING_OHM) -> float:
    """Return the −3 dB corner, Hz, of a capacitor of 1 pF to 1 F with 1 mohm to 100 Mohm: 1/(2πRC).

    The resistance is all that is in series with the capacitor. Raises BadInput `out_of_range` or `not_finite`.
    """
    _check_network(capacitance_f, resistance_ohm)
    return 1 / (2 * math.pi * resistance_ohm * capacitance_f)


def tilt(capacitance_f: float, time_s: float, resistance_ohm: float = COUPLING_OHM) -> Tilt:
    """Return how far a step of the picture sinks in 0 to 10 s behind a capacitor of 1 pF to 1 F.

    Valid for a step after a long rest, 1 mohm to 100 Mohm in all; a clamp in the receiver undoes the tilt that builds
    up before its line. Raises BadInput `out_of_range` or `not_finite`. Remark `linear_approximation_poor` (facts
    time_constants, limit) when time_s is over a tenth of RC; there linear_tilt may be over 1.
    """
    _check_network(capacitance_f, resistance_ohm)
    in_range("time_s", time_s, "s", 0, 10)
    constants = time_s / (resistance_ohm * capacitance_f)
    facts = {"time_constants": constants, "limit": LINEAR_LIMIT}
    remarks = (Remark("linear_approximation_poor", facts),) if constants > LINEAR_LIMIT else ()
    return Tilt(-math.expm1(-constants), constants, time_s, remarks)


def field_tilt(capacitance_f: float, system: LineSystem, resistance_ohm: float = COUPLING_OHM) -> FieldTilt:
    """Return the tilt over half a field and a whole one: 16.68 ms on 525 lines, 20 ms on 625. Like `tilt`."""
    field_s = standard_timing(system).field_s
    half, whole = (tilt(capacitance_f, time_s, resistance_ohm) for time_s in (field_s / 2, field_s))
    return FieldTilt(half, whole, whole.remarks)


def capacitance_for_tilt_f(tilt_limit: float, time_s: float, resistance_ohm: float = COUPLING_OHM) -> float:
    """Return the least capacitance, F, that keeps the tilt over 1 µs to 10 s to a share from 0.0001 to 0.99.

    Resistance and validity like `tilt`; exact, −t/(R ln(1 − tilt)). A capacitor's tolerance and age come on top. Raises
    BadInput `out_of_range` or `not_finite`.
    """
    in_range("tilt_limit", tilt_limit, "", 1e-4, 0.99)
    in_range("time_s", time_s, "s", 1e-6, 10)
    in_range("resistance_ohm", resistance_ohm, "ohm", 1e-3, 1e8)
    return -time_s / (resistance_ohm * math.log1p(-tilt_limit))


def tilt_curve(
    capacitance_f: float, duration_s: float, resistance_ohm: float = COUPLING_OHM
) -> tuple[tuple[float, float], ...]:
    """Return 101 points (time_s, level) of a step of 1 that sinks over 1 µs to 10 s. Ranges and errors like `tilt`."""
    in_range("duration_s", duration_s, "s", 1e-6, 10)
    times = [duration_s * step / _CURVE_STEPS for step in range(_CURVE_STEPS + 1)]
    return tuple((time_s, 1 - tilt(capacitance_f, time_s, resistance_ohm).tilt) for time_s in times)


def sag_gains(output_ohm: float, sag_ohm: float, common_ohm: float, ground_ohm: float) -> SagGains:
    """Return the gains of a buffer whose feedback comes from both sides of its output capacitor.

    From its output through output_ohm and from behind the capacitor through sag_ohm to one node, from there through
    common_ohm to the inverting input, which has ground_ohm to ground; each 1 ohm to 10 Mohm. Low: the capacitors are
    open, only output_ohm feeds back. High: they are shorts, both do. Into a series 75 ohm the high gain ought to be 2.
    Source: TI THS7303. Raises BadInput `out_of_range` or `not_finite`.
    """
    given = {"output_ohm": output_ohm, "sag_ohm": sag_ohm, "common_ohm": common_ohm, "ground_ohm": ground_ohm}
    for name, value_ohm in given.items():
        in_range(name, value_ohm, "ohm", 1, 1e7)
    both_ohm = output_ohm * sag_ohm / (output_ohm + sag_ohm)
    low_gain = 1 + (output_ohm + common_ohm) / ground_ohm
    high_gain = 1 + (both_ohm + common_ohm) / ground_ohm
    low_db, high_db = 20 * math.log10(low_gain), 20 * math.log10(high_gain)
    return SagGains(low_gain, low_db, high_gain, high_db, low_db - high_db)


def _check_network(capacitance_f: float, resistance_ohm: float) -> None:
    in_range("capacitance_f", capacitance_f, "F", 1e-12, 1)
    in_range("resistance_ohm", resistance_ohm, "ohm", 1e-3, 1e8)
