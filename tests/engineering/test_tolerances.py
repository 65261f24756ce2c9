"""Tolerance letters: what they stand for, by size of the value, and where makers disagree."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput
from shop.engineering.tolerances import LETTERS, tolerance_of, tolerance_readings


@pytest.mark.parametrize(
    ("letter", "farads"), [("B", 0.1e-12), ("C", 0.25e-12), ("D", 0.5e-12), ("F", 1e-12), ("G", 2e-12)]
)
def test_up_to_ten_picofarads_some_letters_are_picofarads_and_above_percent(letter: str, farads: float) -> None:
    assert tolerance_of(letter, 10e-12).farads == farads
    assert tolerance_of(letter, 10.1e-12).farads is None
    assert tolerance_of(letter).farads is None


def test_five_percent_is_five_percent_at_any_size() -> None:
    assert tolerance_of("J", 1e-12) == tolerance_of("J", 1e-6) == tolerance_of(" j ")


def test_a_lopsided_tolerance_gives_lopsided_limits() -> None:
    assert tolerance_of("Z").limits(100.0) == pytest.approx((80, 180))


def test_limits_of_picofarads_do_not_go_below_nothing() -> None:
    assert tolerance_of("F", 0.5e-12).limits(0.5e-12) == pytest.approx((0, 1.5e-12))


@given(st.sampled_from(LETTERS), st.floats(0, 1e15))
def test_a_value_lies_within_its_limits(letter: str, value: float) -> None:
    for tolerance in tolerance_readings(letter):
        low, high = tolerance.limits(value)
        assert 0 <= low <= value <= high < math.inf


@pytest.mark.parametrize("value", [-1e-12, math.nan, math.inf, 1e300])
def test_what_is_no_value_has_no_limits(value: float) -> None:
    with pytest.raises(BadInput) as refused:
        tolerance_of("J").limits(value)
    assert refused.value.name == "value"


@pytest.mark.parametrize("capacitance_f", [0.0, -1e-12, math.nan, math.inf])
def test_an_impossible_capacitance_is_refused(capacitance_f: float) -> None:
    with pytest.raises(BadInput) as refused:
        tolerance_readings("F", capacitance_f)
    assert refused.value.name == "capacitance_f"


@pytest.mark.parametrize("letter", ["", "A", "Y", "JJ", "5"])
def test_an_unknown_letter_is_unreadable(letter: str) -> None:
    assert tolerance_readings(letter) == ()
    with pytest.raises(BadInput) as refused:
        tolerance_of(letter)
    assert (refused.value.code, refused.value.name) == ("unreadable", "letter")


@pytest.mark.parametrize("letter", list("EHLPW"))
def test_a_disputed_letter_asks_and_gives_every_reading(letter: str) -> None:
    with pytest.raises(BadInput) as refused:
        tolerance_of(letter)
    assert refused.value.code == "ambiguous"
    assert refused.value.facts["readings"] == tolerance_readings(letter)
    assert len(set(tolerance_readings(letter))) > 1
