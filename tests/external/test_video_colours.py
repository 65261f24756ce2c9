"""Luma, colour bars and colour differences against published figures (catalogue section 4)."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from skimage.color import deltaE_ciede2000, rgb2lab

from shop.engineering.video_colour import colour_bars, luma
from shop.engineering.video_difference import ciede2000, lab_of_srgb
from shop.engineering.video_levels import volts_of_luma
from shop.engineering.video_timing import LineSystem

DATA = Path(__file__).parent / "data"
LIGHTNESSES = st.floats(0, 100)
AXES = st.floats(-128, 128)
Colour = tuple[float, float, float]
COLOURS = st.tuples(LIGHTNESSES, AXES, AXES)


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


BARS = rows("bt601_bars.csv")
PAIRS = rows("ciede2000_sharma.csv")


def difference(one: Colour, other: Colour) -> float:
    return ciede2000(
        before_l=one[0], before_a=one[1], before_b=one[2], after_l=other[0], after_a=other[1], after_b=other[2]
    ).delta_e


def pair_of(row: dict[str, str]) -> tuple[Colour, Colour]:
    first, second = ((float(row[f"L{n}"]), float(row[f"a{n}"]), float(row[f"b{n}"])) for n in (1, 2))
    return first, second


@pytest.mark.parametrize(("red", "green", "blue"), [(1, 0, 0), (0, 1, 0), (0, 0, 1), (1, 1, 1), (0.2, 0.4, 0.9)])
def test_luma_is_the_weighted_sum_of_bt_601(red: float, green: float, blue: float) -> None:
    """VD-18: ITU-R BT.601; TU München, COL_31."""
    assert luma(red, green, blue) == 0.299 * red + 0.587 * green + 0.114 * blue


@pytest.mark.parametrize("row", BARS, ids=lambda row: f"{row['bar']}-{row['amplitude']}")
def test_a_bar_has_the_words_of_bt_601(row: dict[str, str]) -> None:
    """VD-19, VD-20: 75 % bars at avisynth.nl, ColorBars_theory oldid=2963; 100 % bars by the formula of BT.601."""
    (bar,) = (bar for bar in colour_bars(float(row["amplitude"])) if bar.name == row["bar"])
    assert (bar.words.luma, bar.words.cb, bar.words.cr) == tuple(int(row[word]) for word in ("Y8", "Cb8", "Cr8"))
    assert (bar.red, bar.green, bar.blue) == tuple(float(row[part]) for part in "RGB")
    given_parts = [float(row[part]) for part in ("Yprime", "Pb", "Pr")]
    assert [bar.luma, bar.pb, bar.pr] == pytest.approx(given_parts, abs=5e-7)
    assert volts_of_luma(bar.luma, LineSystem.L625).level_v * 1000 == pytest.approx(
        float(row["luma_mV_of_700"]), abs=5.1e-3
    )


@pytest.mark.parametrize(
    ("amplitude", "words"),
    [
        (0.75, [(180, 128, 128), (162, 44, 142), (131, 156, 44), (112, 72, 58), (84, 184, 198), (65, 100, 212),
                (35, 212, 114), (16, 128, 128)]),
        (1.0, [(235, 128, 128), (210, 16, 146), (170, 166, 16), (145, 54, 34), (106, 202, 222), (81, 90, 240),
               (41, 240, 110), (16, 128, 128)]),
    ],
)  # fmt: skip
def test_the_bars_come_in_the_order_white_to_black(amplitude: float, words: list[tuple[int, int, int]]) -> None:
    """VD-19, VD-20: as above."""
    assert [(bar.words.luma, bar.words.cb, bar.words.cr) for bar in colour_bars(amplitude)] == words


def test_yellow_is_that_of_bt_601_and_not_of_bt_709() -> None:
    """T3: avisynth.nl's current table has 168, 44, 136 under the name of BT.601."""
    yellow = colour_bars(0.75)[1].words
    assert (yellow.luma, yellow.cb, yellow.cr) == (162, 44, 142)


def test_the_luma_of_ebu_bars() -> None:
    """VD-21: EBU colour bars, wiki.inamatrix.xyz, printed to two places."""
    lumas = [bar.luma for bar in colour_bars(0.75)[1:7]]
    assert lumas == pytest.approx([0.67, 0.53, 0.44, 0.31, 0.23, 0.08], abs=0.01)
    assert lumas == pytest.approx([0.6645, 0.52575, 0.44025, 0.30975, 0.22425, 0.0855], abs=1e-12)


@pytest.mark.parametrize("row", PAIRS, ids=lambda row: f"pair-{row['pair']}")
def test_the_difference_of_a_pair_of_sharma(row: dict[str, str]) -> None:
    """VD-25: Sharma, Wu & Dalal 2005, Color Research & Application 30(1), Table I."""
    assert difference(*pair_of(row)) == pytest.approx(float(row["dE00"]), abs=1e-4)


def test_the_pairs_that_hinge_on_the_mean_hue() -> None:
    """VD-25: pairs 9 to 15 and 17, which tell apart the wrong ways to halve an angle."""
    by_number = {int(row["pair"]): difference(*pair_of(row)) for row in PAIRS}
    assert len(by_number) == 34
    hinges = [by_number[number] for number in (9, 10, 11, 12, 13, 14, 15, 17)]
    expected = [7.1792, 7.1792, 7.2195, 7.2195, 4.8045, 4.8045, 4.7461, 27.1492]
    assert hinges == pytest.approx(expected, abs=1e-4)


@given(COLOURS, COLOURS)
def test_the_difference_is_the_same_both_ways_and_zero_to_itself(one: Colour, other: Colour) -> None:
    """VD-26: Sharma, Wu & Dalal 2005."""
    assert difference(one, other) == pytest.approx(difference(other, one), abs=1e-12)
    assert difference(one, one) == pytest.approx(0, abs=1e-12)


def test_the_difference_of_two_colours_far_out() -> None:
    """VD-27: colour-science 0.4.7, tests of delta_e."""
    found = difference((100, 21.57210357, 272.22819350), (100, 426.67945353, 72.39590835))
    assert found == pytest.approx(94.03564903, abs=1e-7)


@given(COLOURS, COLOURS)
def test_the_difference_is_that_of_an_independent_library(one: Colour, other: Colour) -> None:
    """An oracle of the registry: scikit-image 0.26.0.

    Exactly opposite hues have two halves, of which rounding picks one: the two need not agree there.
    """
    across = one[1] * other[2] - one[2] * other[1]
    assume(abs(across) > 1e-6 or one[1] * other[1] + one[2] * other[2] >= 0)
    theirs = float(deltaE_ciede2000(np.array(one), np.array(other)))
    assert difference(one, other) == pytest.approx(theirs, abs=1e-6)


@given(st.integers(0, 255), st.integers(0, 255), st.integers(0, 255))
def test_a_pixel_has_the_lab_of_an_independent_library(red: int, green: int, blue: int) -> None:
    """An oracle of the registry: scikit-image 0.26.0, whose matrix is cut at six places."""
    theirs = rgb2lab(np.array([[[red, green, blue]]], dtype=np.uint8))[0, 0]
    ours = lab_of_srgb(f"#{red:02x}{green:02x}{blue:02x}")
    assert [ours.lightness, ours.a, ours.b] == pytest.approx(list(theirs), abs=0.02)
