"""Switching voltages of the SCART connector."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput
from shop.engineering.video_switching import (
    Switching,
    blanking_drive,
    blanking_series_range,
    blanking_state,
    function_drive,
    function_state,
)
from tests.engineering.figures import refused_or_finite

# Half of them within the range of most inputs, so that not everything is refused.
ANY = st.floats() | st.floats(0, 50)


@pytest.mark.parametrize(("pin_v", "gap"), [(2.01, (2, 5)), (4.99, (2, 5)), (8.01, (8, 9.5)), (9.49, (8, 9.5))])
def test_a_gap_of_pin_8_is_named_with_its_ends(pin_v: float, gap: tuple[float, float]) -> None:
    state = function_state(pin_v)
    assert state.switching is Switching.UNDEFINED
    (remark,) = state.remarks
    assert (remark.code, remark.facts) == ("between_ranges", {"low_v": gap[0], "high_v": gap[1]})


@pytest.mark.parametrize("pin_v", [-0.5, 12.01, 50])
def test_a_voltage_beyond_the_standard_is_undefined_and_says_so(pin_v: float) -> None:
    state = function_state(pin_v)
    assert state.switching is Switching.UNDEFINED
    (remark,) = state.remarks
    assert (remark.code, remark.facts) == ("outside_standard", {"low_v": 0, "high_v": 12})


@pytest.mark.parametrize(("pin_v", "code"), [(0.7, "between_ranges"), (3.1, "outside_standard")])
def test_pin_16_is_undefined_between_and_beyond_its_ranges(pin_v: float, code: str) -> None:
    state = blanking_state(pin_v)
    assert state.switching is Switching.UNDEFINED
    assert [remark.code for remark in state.remarks] == [code]


@given(st.floats(-50, 50))
def test_a_state_is_remarked_just_when_it_is_undefined(pin_v: float) -> None:
    for state in (function_state(pin_v), blanking_state(pin_v)):
        assert (state.switching is Switching.UNDEFINED) == (len(state.remarks) == 1)


@given(st.floats(0, 50), st.floats(0, 1e5))
def test_a_source_shares_its_power_between_resistor_and_pin(source_v: float, series_ohm: float) -> None:
    drive = blanking_drive(source_v, series_ohm)
    assert drive.power_w + drive.pin_v * drive.current_a == pytest.approx(source_v * drive.current_a)


@given(st.floats(1, 50), st.floats(0, 1))
def test_every_resistor_of_the_range_switches_to_rgb(source_v: float, place: float) -> None:
    found = blanking_series_range(source_v)
    assert 0 <= found.low_ohm <= found.high_ohm
    series_ohm = found.low_ohm + place * (found.high_ohm - found.low_ohm)
    assert blanking_drive(source_v, series_ohm).switching is Switching.RGB


@given(st.floats(3.1, 50))
def test_a_resistor_outside_of_the_range_does_not(source_v: float) -> None:
    found = blanking_series_range(source_v)
    assert blanking_drive(source_v, found.low_ohm * 0.99).switching is not Switching.RGB
    assert blanking_drive(source_v, found.high_ohm * 1.02).switching is not Switching.RGB


def test_it_refuses_a_source_that_never_reaches_rgb() -> None:
    with pytest.raises(BadInput) as refusal:
        blanking_series_range(0.9)
    assert (refusal.value.code, refusal.value.name, refusal.value.facts["low"]) == ("out_of_range", "source_v", 1)


@pytest.mark.parametrize(
    ("source_v", "series_ohm", "expected", "codes"),
    [
        (12, 1000, "av_4_3", []),
        (12, 2631, "av_4_3", []),
        (12, 2700, "undefined", ["depends_on_load"]),
        (5, 0, "av_16_9", []),
        (5, 100, "undefined", ["depends_on_load"]),
        (9, 100, "undefined", ["between_ranges"]),
        (1, 1000, "off", []),
        (14, 0, "undefined", ["outside_standard"]),
        (12, 10_000, "undefined", ["depends_on_load"]),
    ],
)
def test_pin_8_counts_only_what_every_allowed_load_makes_of_it(
    source_v: float, series_ohm: float, expected: str, codes: list[str]
) -> None:
    """Loads from 10 kohm to none; 12 V reaches 9.5 V up to 2631.6 ohm, computed."""
    drive = function_drive(source_v, series_ohm)
    assert drive.switching == expected
    assert [remark.code for remark in drive.remarks] == codes
    assert drive.low_v == pytest.approx(source_v / (1 + series_ohm / 10_000))
    assert drive.high_v == source_v


@pytest.mark.parametrize("pin_v", [-50.1, 51, 230, math.nan, math.inf])
def test_it_refuses_what_cannot_be_on_the_connector(pin_v: float) -> None:
    for state in (function_state, blanking_state):
        with pytest.raises(BadInput) as refusal:
            state(pin_v)
        assert refusal.value.name == "pin_v"


@given(ANY, ANY)
def test_any_input_is_refused_or_gives_finite_figures(one: float, other: float) -> None:
    for answer in (
        lambda: blanking_drive(one, other).power_w,
        lambda: blanking_series_range(one).high_ohm,
        lambda: function_drive(one, other).low_v,
        lambda: function_state(one).pin_v,
    ):
        assert refused_or_finite(answer)
