"""Laws of wire, batteries and rework, and what is refused."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering import rework, wire
from shop.engineering.batteries import Swap, cell_named, standby, swap
from shop.engineering.inputs import BadInput
from tests.engineering.figures import refused_or_finite

any_float = st.floats(allow_nan=True, allow_infinity=True)


@given(st.integers(-3, 40))
def test_a_gauge_is_found_again_by_its_diameter(gauge: int) -> None:
    assert wire.nearest_gauge(wire.diameter_mm(gauge)) == gauge


@given(st.integers(-3, 39), st.floats(-50, 150))
def test_a_thinner_wire_and_a_hotter_one_resist_more(gauge: int, temperature_c: float) -> None:
    assert wire.resistance_ohm_m(gauge + 1) > wire.resistance_ohm_m(gauge)
    assert (wire.resistance_ohm_m(gauge, temperature_c) > wire.resistance_ohm_m(gauge)) == (temperature_c > 20)


@given(st.integers(10, 36), st.floats(0.001, 5), st.floats(0.01, 5))
def test_the_longest_run_drops_just_what_was_allowed(gauge: int, current_a: float, drop_v: float) -> None:
    length = wire.longest_run_m(gauge, current_a, drop_v)
    if length <= 100:
        assert wire.run(gauge, length, current_a, 100).drop_v == pytest.approx(drop_v)


def test_a_run_says_when_it_loses_much_and_refuses_the_impossible() -> None:
    assert [remark.code for remark in wire.run(30, 2, 1, 5).remarks] == ["drop_above_3_percent"]
    assert wire.run(18, 0.1, 0.1, 5).remarks == ()
    with pytest.raises(BadInput, match="current_a"):
        wire.run(36, 100, 50, 1)


@given(any_float, any_float, any_float)
def test_whatever_is_typed_is_refused_or_finite(a: float, b: float, c: float) -> None:
    calls = (
        lambda: wire.run(24, a, b, c).left_v,
        lambda: wire.resistance_ohm_m(24, a),
        lambda: wire.longest_run_m(24, a, b, c),
        lambda: float(wire.nearest_gauge(a)),
        lambda: standby(a, b, c).hours_h,
        lambda: rework.tip("SAC305", a).above_k,
        lambda: rework.hole_fill(2, 20, a, b).least_percent or 0.0,
    )
    for call in calls:
        assert refused_or_finite(call)


@given(st.floats(1, 10_000), st.floats(0.01, 15_000), st.floats(0, 50))
def test_self_discharge_only_shortens(capacity: float, drain: float, percent: float) -> None:
    found = standby(capacity, drain, percent)
    assert found.hours_h <= found.drain_only_h * (1 + 1e-9)


def test_a_tiny_drain_lasts_no_longer_than_the_cell_keeps() -> None:
    assert "beyond_shelf_life" in [remark.code for remark in standby(225, 0.1).remarks]
    assert "above_standard_drain" in [remark.code for remark in standby(225, 500).remarks]


@pytest.mark.parametrize("name", ["", "CR", "CR20", "2032", "XR2032", "CR20325", "CR9999", "CR2000", "CR٢٠٣٢"])
def test_what_is_no_cell_is_refused(name: str) -> None:
    with pytest.raises(BadInput, match="unreadable"):
        cell_named(name)


@pytest.mark.parametrize(
    ("fitted", "offered", "charges", "why"),
    [
        ("CR2032", "CR2032", False, set()),
        ("CR2032", "BR2032", False, set()),
        ("CR2032", "CR2032", True, {"primary_would_be_charged"}),
        ("CR2032", "CR2025", False, {"other_size"}),
        ("CR2032", "LIR2032", False, {"rechargeable_for_primary", "other_voltage"}),
        ("LIR2032", "CR2032", True, {"primary_would_be_charged", "other_voltage"}),
        ("LR1130", "SR1130", False, set()),
    ],
)
def test_which_cell_may_take_anothers_place(fitted: str, offered: str, charges: bool, why: set[str]) -> None:
    answer = swap(fitted, offered, board_charges=charges)
    assert {reason.code for reason in answer.reasons} == why
    assert answer.answer is (Swap.MUST_NOT if why else Swap.MAY)


def test_a_tip_that_is_too_cold_or_too_hot_says_so() -> None:
    def codes(tip_c: float) -> set[str]:
        return {remark.code for remark in rework.tip("Sn63Pb37", tip_c).remarks}

    assert codes(180) == {"hot_iron", "does_not_melt"}
    assert codes(250) == {"hot_iron", "tip_rather_cold"}
    assert codes(330) == {"hot_iron"}
    assert codes(400) == {"hot_iron", "tip_rather_hot"}
    with pytest.raises(BadInput, match="not_one_of"):
        rework.tip("Unobtainium", 300)
