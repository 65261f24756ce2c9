"""Laws of capacitors' life and losses, and what is refused."""

import math
from collections.abc import Callable
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering import capacitors, electrolytic_life
from shop.engineering.electrolytic_life import MixedDuty
from shop.engineering.inputs import BadInput
from tests.engineering.figures import one_at_an_edge, refused_or_finite, some_spoilt

temperature = st.floats(-55, 105)
ratio = st.floats(0, 1)
FULL = {"rated_h": 2000.0, "rated_c": 105.0, "actual_c": 65.0, "core_rise_k": 5.0, "ripple_ratio": 1.0}


def mixed(*, rated_h: float, rated_c: float, first_h: float, first_c: float, then_h: float, then_c: float) -> MixedDuty:
    return electrolytic_life.mixed_duty(rated_h, rated_c, [(first_h, first_c), (then_h, then_c)])


@given(temperature, temperature)
def test_a_cooler_part_never_lives_shorter(one: float, other: float) -> None:
    cool, warm = sorted((one, other))
    lives = [electrolytic_life.ten_kelvin_rule(2000, 105, each).computed_h for each in (cool, warm)]
    assert lives[0] >= lives[1]


@given(temperature, ratio)
def test_less_ripple_never_shortens_and_full_ripple_is_the_rule(actual_c: float, ripple: float) -> None:
    def life(with_ratio: float) -> float:
        return electrolytic_life.with_ripple(
            rated_h=2000, rated_c=105, actual_c=actual_c, core_rise_k=5, ripple_ratio=with_ratio
        ).computed_h

    assert life(ripple) >= life(1) * (1 - 1e-12)
    assert life(1) == pytest.approx(electrolytic_life.ten_kelvin_rule(2000, 105, actual_c).computed_h)


@given(st.lists(st.tuples(st.floats(0.1, 24), temperature), min_size=1, max_size=6))
def test_mixed_duty_lies_between_its_coolest_and_hottest_spell(spells: list[tuple[float, float]]) -> None:
    duty = electrolytic_life.mixed_duty(2000, 105, spells)
    degrees = [each for _hours, each in spells]
    assert min(degrees) - 1e-6 <= duty.equivalent_c <= max(degrees) + 1e-6
    mean = sum(hours * each for hours, each in spells) / sum(hours for hours, _each in spells)
    assert duty.equivalent_c >= mean - 1e-6


LIVES: dict[str, tuple[Callable[..., object], dict[str, float]]] = {
    "rule": (electrolytic_life.ten_kelvin_rule, {"rated_h": 2000, "rated_c": 105, "actual_c": 65}),
    "ripple": (electrolytic_life.with_ripple, FULL),
    "voltage": (electrolytic_life.with_ripple_and_voltage, {**FULL, "voltage_ratio": 0.8, "acceleration": 2}),
    "core": (electrolytic_life.by_core_temperature, {"rated_h": 2000, "rated_c": 85, "core_c": 80, "rated_rise_k": 10}),
    "factor": (electrolytic_life.voltage_factor, {"voltage_ratio": 0.8}),
    "mixed": (mixed, {"rated_h": 2000, "rated_c": 105, "first_h": 8, "first_c": 45, "then_h": 16, "then_c": 65}),
    "esr": (capacitors.esr_ohm, {"tan_delta": 0.2, "capacitance_f": 1e-4, "frequency_hz": 120}),
    "leakage": (capacitors.leakage_limit_a, {"capacitance_f": 1e-4, "rated_v": 16}),
    "tan_delta": (capacitors.tan_delta_limit, {"rated_v": 16, "capacitance_f": 1e-4}),
    "end": (capacitors.end_of_life, {"diameter_mm": 8}),
    "series": (lambda a, b, c, d: capacitors.in_series([a, b], [c, d]), {"a": 1e-4, "b": 1e-5, "c": 0.1, "d": 0.2}),
    "parallel": (lambda a, b, c, d: capacitors.in_parallel([a, b], [c, d]), {"a": 1e-4, "b": 1e-5, "c": 0.1, "d": 0.2}),
}


@pytest.mark.parametrize("name", LIVES)
def test_an_input_at_the_edge_of_floats_is_refused_or_gives_numbers(name: str) -> None:
    calculation, good = LIVES[name]
    assert refused_or_finite(lambda: calculation(**good))
    for typed in one_at_an_edge(good):
        assert refused_or_finite(partial(calculation, **typed)), typed


@pytest.mark.parametrize("name", LIVES)
@given(data=st.data())
def test_whatever_is_typed_is_refused_or_gives_numbers(name: str, data: st.DataObject) -> None:
    calculation, good = LIVES[name]
    typed = data.draw(some_spoilt(good))
    assert refused_or_finite(lambda: calculation(**typed))


@given(temperature, st.floats(1, 1e6))
def test_a_promise_is_above_nothing_and_within_fifteen_years(actual_c: float, rated_h: float) -> None:
    life = electrolytic_life.ten_kelvin_rule(rated_h, 105, actual_c)
    assert 0 < life.promised_h <= electrolytic_life.CEILING_H
    assert life.promised_h <= life.computed_h
    assert ("life_ceiling" in {remark.code for remark in life.remarks}) is (life.promised_h < life.computed_h)


@given(ratio, ratio)
def test_less_voltage_never_shortens_but_for_the_step_where_the_factor_stays(one: float, other: float) -> None:
    low, high = sorted((one, other))
    assert electrolytic_life.voltage_factor(low) >= electrolytic_life.voltage_factor(high)


@given(temperature)
def test_at_rated_ripple_the_core_form_is_the_rule(actual_c: float) -> None:
    by_core = electrolytic_life.by_core_temperature(rated_h=2000, rated_c=105, core_c=actual_c + 5, rated_rise_k=5)
    rule = electrolytic_life.ten_kelvin_rule(2000, 105, actual_c)
    assert by_core.computed_h == pytest.approx(rule.computed_h, rel=1e-9)


def test_a_core_above_what_its_rating_brings_is_refused_by_its_name() -> None:
    with pytest.raises(BadInput) as refused:
        electrolytic_life.by_core_temperature(rated_h=2000, rated_c=85, core_c=96)
    assert (refused.value.name, refused.value.facts["value"], refused.value.facts["high"]) == ("core_c", 96, 95)


def test_a_core_at_its_rated_point_runs_in_rated_air() -> None:
    life = electrolytic_life.by_core_temperature(rated_h=2000, rated_c=85, core_c=95)
    assert (life.computed_h, life.remarks) == (2000, ())


def test_ripple_above_the_rating_has_no_stated_life() -> None:
    with pytest.raises(BadInput, match="ripple_above_rating"):
        electrolytic_life.with_ripple(rated_h=2000, rated_c=105, actual_c=65, core_rise_k=5, ripple_ratio=1.01)


def test_a_part_above_its_temperature_has_no_stated_life() -> None:
    with pytest.raises(BadInput) as refused:
        electrolytic_life.ten_kelvin_rule(2000, 85, 86)
    assert (refused.value.name, refused.value.facts["high"]) == ("actual_c", 85)


@pytest.mark.parametrize("spells", [
    [], [(0.0, 45.0)], [(5e-324, 45.0)], [(8.0, math.nan)], [(8.0, 45.0), (8.0, 105.1)], [(8.0, 45.0)] * 101,
])  # fmt: skip
def test_a_duty_needs_spells_within_the_rating(spells: list[tuple[float, float]]) -> None:
    with pytest.raises(BadInput) as refused:
        electrolytic_life.mixed_duty(2000, 105, spells)
    assert refused.value.name == "spells"


farads = st.floats(1e-12, 1)


@given(st.lists(farads, min_size=1, max_size=20))
def test_series_is_less_than_the_least_and_parallel_more_than_the_most(parts: list[float]) -> None:
    assert capacitors.in_series(parts).capacitance_f <= min(parts) * (1 + 1e-9)
    assert capacitors.in_parallel(parts).capacitance_f >= max(parts) * (1 - 1e-9)


def test_a_series_of_electrolytics_asks_for_balance() -> None:
    assert [remark.code for remark in capacitors.in_series([1e-4, 1e-4]).remarks] == ["series_needs_balance"]
    assert capacitors.in_series([1e-4], [0.2]).esr_ohm == 0.2
    with pytest.raises(BadInput, match="not_as_many"):
        capacitors.in_parallel([1e-4, 1e-4], [0.2])


def test_a_rating_between_two_takes_the_limit_of_the_lower() -> None:
    assert capacitors.tan_delta_limit(20, 1e-4) == 0.20


def test_a_rating_beyond_the_sheet_is_refused_and_another_sheet_may_have_it() -> None:
    with pytest.raises(BadInput) as refused:
        capacitors.tan_delta_limit(63, 1e-4)
    assert (refused.value.facts["low"], refused.value.facts["high"]) == (6.3, 50)
    assert capacitors.tan_delta_limit(63, 1e-4, capacitors.LossSheet.VEJ_TO_10_MM) == 0.12


@given(st.floats(1e-6, 10), st.floats(1e-9, 1), st.floats(1, 1e7))
def test_esr_gives_its_loss_tangent_back(tan_delta: float, capacitance_f: float, frequency_hz: float) -> None:
    ohms = capacitors.esr_ohm(tan_delta, capacitance_f, frequency_hz)
    assert ohms * 2 * math.pi * frequency_hz * capacitance_f == pytest.approx(tan_delta, rel=1e-12)
