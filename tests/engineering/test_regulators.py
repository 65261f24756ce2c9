"""Laws of linear regulators, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering import regulator_heat, regulator_window
from shop.engineering.inputs import BadInput
from shop.engineering.regulator_heat import Need

any_float = st.floats(allow_nan=True, allow_infinity=True)


@given(st.floats(0.01, 20), st.floats(-40, 100))
def test_the_sink_that_is_asked_for_brings_the_junction_to_its_limit(power_w: float, ambient_c: float) -> None:
    found = regulator_heat.heatsink(power_w, ambient_c)
    if found.need is Need.HEATSINK:
        assert found.sink_k_w is not None
        together = found.sink_k_w + 5 + 1
        assert regulator_heat.junction(power_w, together, ambient_c).junction_c == pytest.approx(125)
    elif found.need is Need.NONE:
        assert regulator_heat.junction(power_w, 60, ambient_c).junction_c <= 125 + 1e-6
    else:
        assert found.allowed_k_w <= 6


@given(any_float, any_float, any_float, any_float)
def test_whatever_is_typed_is_refused_or_finite(a: float, b: float, c: float, d: float) -> None:
    calls = (
        lambda: regulator_heat.dissipation_w(a, b, c, d),
        lambda: regulator_heat.junction(a, b, c, d).junction_c,
        lambda: regulator_heat.most_without_heatsink_w(a, b, c),
        lambda: regulator_heat.heatsink(a, b, limit_c=c, junction_case_k_w=d).allowed_k_w,
        lambda: regulator_window.input_window(a, b, dropout_v=c, ripple_vpp=d).above_dropout_v,
        lambda: regulator_window.reservoir_ripple_vpp(a, b, c),
        lambda: regulator_window.switching_instead(a, b, c, efficiency=d).switching_heat_w,
    )
    for call in calls:
        try:
            assert math.isfinite(call())
        except BadInput:
            continue


def test_a_hot_junction_says_so_and_a_close_one_too() -> None:
    def codes(power_w: float) -> list[str]:
        return [remark.code for remark in regulator_heat.junction(power_w, 50, 25).remarks]

    assert codes(0.5) == ["air_inside_the_case"]
    assert codes(1.8) == ["air_inside_the_case", "little_margin"]
    assert codes(3) == ["air_inside_the_case", "shuts_down_or_fails"]


def test_an_input_below_the_output_is_no_regulator() -> None:
    with pytest.raises(BadInput) as refused:
        regulator_heat.dissipation_w(4.9, 5, 1)
    assert refused.value.name == "input_v"


def test_air_hotter_than_the_limit_is_refused() -> None:
    with pytest.raises(BadInput, match="ambient_c"):
        regulator_heat.heatsink(1, 80, limit_c=70)


def test_the_window_counts_the_valley_at_weak_mains_and_the_peak_at_strong() -> None:
    found = regulator_window.input_window(10, 5, ripple_vpp=2)
    assert (found.lowest_v, found.highest_v, found.holds) == (7.0, 11.0, True)
    weak = regulator_window.input_window(9, 5, ripple_vpp=2)
    assert "hum_at_weak_mains" in [remark.code for remark in weak.remarks]
    strong = regulator_window.input_window(34, 5)
    assert "too_much_at_strong_mains" in [remark.code for remark in strong.remarks]
    assert not strong.holds


def test_ripple_halves_with_twice_the_capacitance_and_a_full_wave() -> None:
    ripple = regulator_window.reservoir_ripple_vpp(1, 4700e-6, 50)
    assert ripple == pytest.approx(1 / (100 * 4700e-6))
    assert regulator_window.reservoir_ripple_vpp(1, 9400e-6, 50) == pytest.approx(ripple / 2)
    assert regulator_window.reservoir_ripple_vpp(1, 4700e-6, 50, full_wave=False) == pytest.approx(ripple * 2)


@pytest.mark.parametrize(("nominal", "from_memory"), [(5, False), (12, True)])
def test_limits_say_what_is_from_memory(nominal: float, from_memory: bool) -> None:
    limits = regulator_window.output_limits(nominal, loaded=True)
    assert limits.from_memory is from_memory
    assert limits.low_v == pytest.approx(nominal * 0.95)
    with pytest.raises(BadInput, match="not_one_of"):
        regulator_window.output_limits(7, loaded=True)


def test_switching_is_better_where_the_linear_one_is_too_hot_and_says_what_changes() -> None:
    hot = regulator_window.switching_instead(12, 5, 1)
    assert (hot.linear_heat_w, hot.better) == (7.0, True)
    assert hot.switching_heat_w == pytest.approx(5 * (1 / 0.85 - 1))
    assert hot.switching_input_a == pytest.approx(5 / 0.85 / 12)
    assert {remark.code for remark in hot.remarks} >= {"switching_ripple", "switching_radio_noise"}
    assert not regulator_window.switching_instead(7, 5, 0.1).better
