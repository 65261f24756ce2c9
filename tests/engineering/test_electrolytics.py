"""Laws of capacitors' life and losses, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering import capacitors, electrolytic_life
from shop.engineering.inputs import BadInput

any_float = st.floats(allow_nan=True, allow_infinity=True)
temperature = st.floats(-55, 105)
ratio = st.floats(0, 1)


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


@given(any_float, any_float, any_float, any_float, any_float)
def test_whatever_is_typed_is_refused_or_gives_hours(a: float, b: float, c: float, d: float, e: float) -> None:
    calls = (
        lambda: electrolytic_life.ten_kelvin_rule(a, b, c),
        lambda: electrolytic_life.with_ripple(rated_h=a, rated_c=b, actual_c=c, core_rise_k=d, ripple_ratio=e),
        lambda: electrolytic_life.by_core_temperature(rated_h=a, rated_c=b, core_c=c, rated_rise_k=d),
        lambda: electrolytic_life.mixed_duty(a, b, [(c, d)]).life,
    )
    for call in calls:
        try:
            life = call()
        except BadInput:
            continue
        assert math.isfinite(life.computed_h)
        assert 0 < life.promised_h <= electrolytic_life.CEILING_H


def test_ripple_above_the_rating_has_no_stated_life() -> None:
    with pytest.raises(BadInput, match="ripple_above_rating"):
        electrolytic_life.with_ripple(rated_h=2000, rated_c=105, actual_c=65, core_rise_k=5, ripple_ratio=1.01)


def test_a_part_above_its_temperature_has_no_stated_life() -> None:
    with pytest.raises(BadInput) as refused:
        electrolytic_life.ten_kelvin_rule(2000, 85, 86)
    assert (refused.value.name, refused.value.facts["high"]) == ("actual_c", 85)


@pytest.mark.parametrize("spells", [[], [(0.0, 45.0)], [(8.0, math.nan)], [(8.0, 45.0)] * 101])
def test_a_duty_needs_spells(spells: list[tuple[float, float]]) -> None:
    with pytest.raises(BadInput):
        electrolytic_life.mixed_duty(2000, 105, spells)


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


@given(any_float, any_float, any_float)
def test_losses_are_refused_or_finite(a: float, b: float, c: float) -> None:
    calls = (
        lambda: capacitors.esr_ohm(a, b, c),
        lambda: capacitors.leakage_limit_a(a, b),
        lambda: capacitors.tan_delta_limit(a, b),
        lambda: capacitors.end_of_life(a).capacitance_change_percent,
        lambda: capacitors.in_series([a, b]).capacitance_f,
    )
    for call in calls:
        try:
            result = call()
        except BadInput:
            continue
        assert math.isfinite(result)
        assert result >= 0


def test_a_rating_between_two_takes_the_limit_of_the_lower() -> None:
    assert capacitors.tan_delta_limit(20, 1e-4) == 0.20
