"""Luma, 8-bit colour and colour bars."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput
from shop.engineering.video_colour import colour_bars, luma, ycbcr

PARTS = st.floats(0, 1)


@given(PARTS, PARTS, PARTS)
def test_luma_lies_between_the_least_and_the_most_of_its_parts(red: float, green: float, blue: float) -> None:
    found = luma(red, green, blue)
    assert min(red, green, blue) - 1e-12 <= found <= max(red, green, blue) + 1e-12


@given(PARTS)
def test_grey_has_no_colour(grey: float) -> None:
    words = ycbcr(grey, grey, grey)
    assert (words.cb, words.cr) == (128, 128)
    assert abs(words.luma - (16 + 219 * grey)) <= 0.5 + 1e-9


@given(PARTS, PARTS, PARTS)
def test_the_words_keep_the_narrow_range(red: float, green: float, blue: float) -> None:
    words = ycbcr(red, green, blue)
    assert 16 <= words.luma <= 235
    assert 16 <= words.cb <= 240
    assert 16 <= words.cr <= 240


@given(PARTS, PARTS, PARTS)
def test_a_colour_and_its_complement_lie_opposite(red: float, green: float, blue: float) -> None:
    """The words are rounded, so the two may add up to one more or less than 16 + 235 and 2 × 128."""
    one, other = ycbcr(red, green, blue), ycbcr(1 - red, 1 - green, 1 - blue)
    assert abs(one.luma + other.luma - 251) <= 1
    assert abs(one.cb + other.cb - 256) <= 1
    assert abs(one.cr + other.cr - 256) <= 1


@given(st.floats(0.01, 1))
def test_the_bars_fall_in_luma_from_white_to_black(amplitude: float) -> None:
    lumas = [bar.luma for bar in colour_bars(amplitude)]
    assert lumas == sorted(lumas, reverse=True)
    assert lumas[0] == pytest.approx(amplitude)
    assert lumas[-1] == 0


@pytest.mark.parametrize("amplitude", [0, -0.75, 75, 1.01, math.nan])
def test_it_refuses_an_amplitude_in_percent_or_none(amplitude: float) -> None:
    with pytest.raises(BadInput) as refusal:
        colour_bars(amplitude)
    assert refusal.value.name == "amplitude"


@given(PARTS, st.sampled_from(["red", "green", "blue"]), st.floats().filter(lambda part: not 0 <= part <= 1))
def test_a_part_outside_of_zero_to_one_is_refused_by_name(proper: float, name: str, part: float) -> None:
    parts = dict.fromkeys(("red", "green", "blue"), proper) | {name: part}
    for calculation in (luma, ycbcr):
        with pytest.raises(BadInput) as refusal:
            calculation(**parts)
        assert refusal.value.name == name
