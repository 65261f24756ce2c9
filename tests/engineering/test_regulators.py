"""Laws of linear regulators, and what is refused."""

from collections.abc import Callable
from functools import partial

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering import regulator_heat, regulator_window
from shop.engineering.inputs import BadInput
from shop.engineering.regulator_heat import Need
from tests.engineering.figures import one_at_an_edge, refused_or_finite, some_spoilt


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


IN_OUT_LOAD = {"input_v": 9.0, "output_v": 5.0, "load_a": 0.5}
CALCULATIONS: dict[str, tuple[Callable[..., object], dict[str, float]]] = {
    "dissipation": (regulator_heat.dissipation_w, {**IN_OUT_LOAD, "ground_a": 0.005}),
    "load": (regulator_heat.most_load_a, {"heat_w": 1.5, "input_v": 9, "output_v": 5, "ground_a": 0.005}),
    "junction": (regulator_heat.junction, {"power_w": 2, "resistance_k_w": 60, "ambient_c": 40, "limit_c": 125}),
    "bare": (regulator_heat.most_without_heatsink_w, {"free_air_k_w": 60, "ambient_c": 40, "limit_c": 125}),
    "heatsink": (
        regulator_heat.heatsink,
        {"power_w": 4, "ambient_c": 40, "limit_c": 125, "junction_case_k_w": 5, "case_sink_k_w": 1, "free_air_k_w": 60},
    ),
    "window": (
        regulator_window.input_window,
        {"input_v": 12, "output_v": 5, "dropout_v": 2, "rating_v": 35, "ripple_vpp": 1,
         "mains_low_percent": 10, "mains_high_percent": 10},
    ),
    "ripple": (regulator_window.reservoir_ripple_vpp, {"load_a": 0.5, "capacitance_f": 4700e-6, "mains_hz": 60}),
    "limits": (lambda nominal_v: regulator_window.output_limits(nominal_v, loaded=True), {"nominal_v": 5}),
    "switching": (regulator_window.switching_instead, {**IN_OUT_LOAD, "efficiency": 0.85, "bearable_w": 1.5}),
}  # fmt: skip


@pytest.mark.parametrize("name", CALCULATIONS)
def test_an_input_at_the_edge_of_floats_is_refused_or_gives_numbers(name: str) -> None:
    calculation, good = CALCULATIONS[name]
    assert refused_or_finite(lambda: calculation(**good))
    for typed in one_at_an_edge(good):
        assert refused_or_finite(partial(calculation, **typed)), typed


@pytest.mark.parametrize("name", CALCULATIONS)
@given(data=st.data())
def test_whatever_is_typed_is_refused_or_gives_numbers(name: str, data: st.DataObject) -> None:
    calculation, good = CALCULATIONS[name]
    typed = data.draw(some_spoilt(good))
    assert refused_or_finite(lambda: calculation(**typed))


@given(st.floats(0.5, 50), st.floats(7, 60), st.floats(0, 0.005))
def test_the_most_load_makes_just_the_heat(heat_w: float, input_v: float, ground_a: float) -> None:
    load_a = regulator_heat.most_load_a(heat_w, input_v, 5, ground_a)
    assert (input_v - 5) * load_a + input_v * ground_a == pytest.approx(heat_w)


def test_heat_that_the_ground_current_makes_alone_leaves_no_load() -> None:
    with pytest.raises(BadInput) as refused:
        regulator_heat.most_load_a(0.05, 10, 5, 0.006)
    assert (refused.value.name, refused.value.facts["low"]) == ("heat_w", pytest.approx(0.06))


def test_heat_beyond_any_heatsink_says_so() -> None:
    found = regulator_heat.heatsink(20, 40)
    assert (found.need, found.sink_k_w) == (Need.BEYOND, None)
    assert [remark.code for remark in found.remarks] == ["no_heatsink_can"]


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


def test_no_more_ripple_than_the_peak_at_weak_mains() -> None:
    assert regulator_window.input_window(10, 5, ripple_vpp=9).lowest_v == pytest.approx(0, abs=1e-9)
    with pytest.raises(BadInput) as refused:
        regulator_window.input_window(10, 5, ripple_vpp=9.1)
    assert refused.value.name == "ripple_vpp"


def test_a_capacitor_far_too_small_has_no_ripple_figure() -> None:
    with pytest.raises(BadInput) as refused:
        regulator_window.reservoir_ripple_vpp(10, 1e-6, 50)
    assert (refused.value.name, refused.value.facts["low"]) == ("capacitance_f", pytest.approx(10 / (100 * 60)))


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
    assert {remark.code for remark in hot.remarks} == {
        "switching_ripple",
        "switching_footprint",
        "switching_radio_noise",
        "switching_output_capacitor",
        "switching_minimum_load",
    }
    assert not regulator_window.switching_instead(7, 5, 0.1).better
