"""Copper wire by AWG: diameter, resistance at a temperature, and what a run drops.

Sources: ASTM B258 for the diameters, resistivity of annealed copper 1.7241e-8 Ωm at 20 °C (IACS) with 0.00393 a kelvin.
No current limit is given for hook-up wire in air: it depends on bundle, insulation and air, and no source was read.
"""

import math
from dataclasses import dataclass

from shop.engineering.inputs import Remark, in_range, positive

RESISTIVITY_OHM_M = 1.7241e-8
TEMPERATURE_COEFFICIENT = 0.00393
_LARGEST_GAUGE, _SMALLEST_GAUGE = -3, 40  # 0000 is −3


def diameter_mm(gauge: int) -> float:
    """Return the diameter, in millimetres, of AWG −3 (0000) to 40: 0.127 · 92^((36 − n) / 39). Raises BadInput."""
    in_range("gauge", gauge, "AWG", _LARGEST_GAUGE, _SMALLEST_GAUGE)
    return float(0.127 * 92 ** ((36 - gauge) / 39))


def area_mm2(gauge: int) -> float:
    """Return the cross-section, in mm², of a solid wire. Raises BadInput."""
    return math.pi / 4 * diameter_mm(gauge) ** 2


def resistance_ohm_m(gauge: int, temperature_c: float = 20.0) -> float:
    """Return the resistance, in ohms a metre, of solid copper at −50 to 150 °C. Stranded wire has a little more.

    Raises BadInput.
    """
    in_range("temperature_c", temperature_c, "°C", -50, 150)
    at_20 = RESISTIVITY_OHM_M / (area_mm2(gauge) * 1e-6)
    return at_20 * (1 + TEMPERATURE_COEFFICIENT * (temperature_c - 20))


def nearest_gauge(measured_mm: float) -> int:
    """Return the AWG nearest, by ratio, to a bare wire of 0.07 to 12 mm. Raises BadInput."""
    in_range("measured_mm", measured_mm, "mm", 0.07, 12)
    return max(_LARGEST_GAUGE, min(_SMALLEST_GAUGE, round(36 - 39 * math.log(measured_mm / 0.127, 92))))


@dataclass(frozen=True, slots=True)
class Run:
    """A run there and back: ohms, volts lost, watts of heat, and what is left at the far end in volts."""

    resistance_ohm: float
    drop_v: float
    heat_w: float
    left_v: float
    remarks: tuple[Remark, ...] = ()


def run(gauge: int, length_m: float, current_a: float, supply_v: float, temperature_c: float = 20.0) -> Run:
    """Return what a pair of wires of a length (up to 100 m, one way) loses at a current of up to 50 A.

    A remark says when more than 3 % of the supply is lost (common practice). Raises BadInput, also when the wire would
    drop more than there is.
    """
    positive("length_m", length_m, "m", 100)
    in_range("current_a", current_a, "A", 0, 50)
    positive("supply_v", supply_v, "V", 1000)
    ohms = 2 * length_m * resistance_ohm_m(gauge, temperature_c)
    in_range("current_a", current_a, "A", 0, supply_v / ohms)
    drop = ohms * current_a
    remarks = (Remark("drop_above_3_percent", {"percent": drop / supply_v * 100}),) if drop > 0.03 * supply_v else ()
    return Run(ohms, drop, drop * current_a, supply_v - drop, remarks)


def longest_run_m(gauge: int, current_a: float, drop_v: float, temperature_c: float = 20.0) -> float:
    """Return how long a pair may be, one way in metres, to lose no more than drop_v (up to 100 V). Raises BadInput."""
    positive("current_a", current_a, "A", 50)
    positive("drop_v", drop_v, "V", 100)
    return drop_v / (2 * current_a * resistance_ohm_m(gauge, temperature_c))
