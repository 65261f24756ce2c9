"""How long an aluminium electrolytic capacitor lasts: the 10-kelvin rule and the makers' forms with ripple and voltage.

All give hours from rated hours. The rule is an estimate: Rubycon's notes hold it good from 70 to 90 °C and off below 60
and above 105 °C, and makers promise no more than 15 years however cool the part runs (nichicon, Beckhoff).
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shop.engineering.inputs import BadInput, Remark, in_range

CEILING_H = 131_400.0  # 15 years of 8760 h
_RULE_GOOD_C = (70.0, 90.0)
_RULE_OFF_C = (60.0, 105.0)
_COLDEST_C, _HOTTEST_C = -55.0, 150.0


@dataclass(frozen=True, slots=True)
class Life:
    """Expected hours: as computed, and as they may be promised (at most 15 years), with what qualifies them."""

    computed_h: float
    promised_h: float
    remarks: tuple[Remark, ...] = ()


def ten_kelvin_rule(rated_h: float, rated_c: float, actual_c: float) -> Life:
    """Return the life, in hours, of a part rated for rated_h at rated_c that runs at actual_c, in °C.

    L = L0 · 2^((T0 − Ta) / 10). Range −55 °C to the rated temperature, rated 1 to 1 000 000 h at 40 to 150 °C. Raises
    BadInput: above its rating a part has no stated life. Source: COSEL technical notes 100; Rubycon technical notes
    5-1 for the range.
    """
    return _life(_rule(rated_h, rated_c, actual_c), actual_c)


def with_ripple(*, rated_h: float, rated_c: float, actual_c: float, core_rise_k: float, ripple_ratio: float) -> Life:
    """Return the life, in hours, with the ripple current that really flows: the form that Rubycon publishes.

    core_rise_k is the rise of the core at rated ripple (often 5 K at 105 °C), 0 to 20 K; ripple_ratio is the real
    ripple over the rated one at its frequency, 0 to 1.

    L = Lb · 2^((Tmax − Ta)/10) · 2^(ΔT0/(10 − 0.25 ΔT0) − ΔT/(10 − 0.25 ΔT)), ΔT = ΔT0 · ratio².
    """
    base_h = _rule(rated_h, rated_c, actual_c)
    in_range("core_rise_k", core_rise_k, "K", 0, 20)
    _ripple(ripple_ratio)
    rise_k = core_rise_k * ripple_ratio**2
    power = core_rise_k / (10 - 0.25 * core_rise_k) - rise_k / (10 - 0.25 * rise_k)
    return _life(base_h * 2**power, actual_c)


def with_ripple_and_voltage(
    *,
    rated_h: float,
    rated_c: float,
    actual_c: float,
    core_rise_k: float,
    ripple_ratio: float,
    voltage_ratio: float,
    acceleration: float = 2.0,
) -> Life:
    """Return the life, in hours, with ripple and with the voltage that really stands across the part.

    voltage_ratio is the working voltage over the rated one, 0 to 1: from 0.6 the factor is ratio^−2.5, below it stays
    3.59. acceleration is Ki, 1 to 4 (2 within the rated ripple). Other ranges as `with_ripple`.

    L = L0 · 2^((T0 − Ta)/10) · Ki^((1 − ratio²) ΔT0/10) · KV. Source: Jianghai's life model (Albertsen).
    """
    base_h = _rule(rated_h, rated_c, actual_c)
    in_range("core_rise_k", core_rise_k, "K", 0, 20)
    _ripple(ripple_ratio)
    in_range("voltage_ratio", voltage_ratio, "", 0, 1)
    in_range("acceleration", acceleration, "", 1, 4)
    ripple_factor = acceleration ** ((1 - ripple_ratio**2) * core_rise_k / 10)
    return _life(base_h * ripple_factor * voltage_factor(voltage_ratio), actual_c)


def voltage_factor(voltage_ratio: float) -> float:
    """Return by how much less voltage than rated lengthens life; ratio 0 to 1. Source: Jianghai's life model."""
    in_range("voltage_ratio", voltage_ratio, "", 0, 1)
    return voltage_ratio**-2.5 if voltage_ratio >= 0.6 else 3.59


def by_core_temperature(*, rated_h: float, rated_c: float, core_c: float, rated_rise_k: float = 10.0) -> Life:
    """Return the life, in hours, from the temperature of the core, which at rated ripple is rated_rise_k above rated_c.

    L = Lmax · 2^((Tmax + rise − Tc)/10). rated_rise_k 0 to 20 K, core −55 °C to rated_c + rated_rise_k; else as
    `ten_kelvin_rule`. The rule's range is one of the air, so it is held against the air that would heat the core as
    much at rated ripple. Raises BadInput. Source: Kendeil, useful life.
    """
    _rated(rated_h, rated_c)
    in_range("rated_rise_k", rated_rise_k, "K", 0, 20)
    in_range("core_c", core_c, "°C", _COLDEST_C, rated_c + rated_rise_k)
    return _life(_doubled(rated_h, rated_c + rated_rise_k - core_c), core_c - rated_rise_k)


@dataclass(frozen=True, slots=True)
class MixedDuty:
    """Life under changing temperatures, and the one steady temperature, in °C, that would wear as much."""

    life: Life
    equivalent_c: float


def mixed_duty(rated_h: float, rated_c: float, spells: Sequence[tuple[float, float]]) -> MixedDuty:
    """Return the life under spells of (hours, °C) that repeat, such as the parts of a day; 1 to 100 of them.

    L = Σ h / Σ (h / L(T)). Each spell 0.001 to 1 000 000 h and −55 °C to the rated temperature. The equivalent
    temperature lies above the mean, since heat wears more than cold spares. Raises BadInput, for a figure of a spell
    as well with the name spells and the unit of that figure. Source: COSEL technical notes 100.
    """
    _rated(rated_h, rated_c)
    in_range("spells", len(spells), "", 1, 100)
    for spell_h, spell_c in spells:
        in_range("spells", spell_h, "h", 1e-3, 1e6)
        in_range("spells", spell_c, "°C", _COLDEST_C, rated_c)
    hours = sum(spell_h for spell_h, _spell_c in spells)
    used = sum(spell_h / _doubled(rated_h, rated_c - spell_c) for spell_h, spell_c in spells)
    life_h = hours / used
    equivalent_c = rated_c - 10 * math.log2(life_h / rated_h)
    return MixedDuty(_life(life_h, *(spell_c for _hours, spell_c in spells)), equivalent_c)


def _rule(rated_h: float, rated_c: float, actual_c: float) -> float:
    _rated(rated_h, rated_c)
    in_range("actual_c", actual_c, "°C", _COLDEST_C, rated_c)
    return _doubled(rated_h, rated_c - actual_c)


def _rated(rated_h: float, rated_c: float) -> None:
    in_range("rated_h", rated_h, "h", 1, 1e6)
    in_range("rated_c", rated_c, "°C", 40, _HOTTEST_C)


def _doubled(rated_h: float, cooler_k: float) -> float:
    """Return the rated hours, doubled for every 10 K that the part is cooler."""
    return float(rated_h * 2.0 ** (cooler_k / 10))


def _ripple(ripple_ratio: float) -> None:
    if math.isfinite(ripple_ratio) and ripple_ratio > 1:
        raise BadInput("ripple_above_rating", "ripple_ratio", value=ripple_ratio)
    in_range("ripple_ratio", ripple_ratio, "", 0, 1)


def _life(hours: float, *temperatures_c: float) -> Life:
    remarks = []
    coolest, hottest = min(temperatures_c), max(temperatures_c)
    if coolest < _RULE_OFF_C[0] or hottest > _RULE_OFF_C[1]:
        remarks.append(Remark("rule_is_off", {"low_c": _RULE_OFF_C[0], "high_c": _RULE_OFF_C[1]}))
    elif coolest < _RULE_GOOD_C[0] or hottest > _RULE_GOOD_C[1]:
        remarks.append(Remark("rule_is_rough", {"low_c": _RULE_GOOD_C[0], "high_c": _RULE_GOOD_C[1]}))
    if hours > CEILING_H:
        remarks.append(Remark("life_ceiling", {"years": 15, "hours_h": CEILING_H}))
    return Life(hours, min(hours, CEILING_H), tuple(remarks))
