"""How different two colours look."""

import math
from contextlib import suppress

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput
from shop.engineering.video_difference import ciede2000, lab_of_srgb, srgb_difference

LIGHTNESSES = st.floats(0, 100)
AXES = st.floats(-128, 128)
COLOURS = st.tuples(LIGHTNESSES, AXES, AXES)
# Half of them within the range, so that not everything is refused.
ANY = st.floats() | st.floats(0, 100)
HAIRS = st.tuples(*[st.floats(0, 1e-150)] * 3)
PIXELS = st.integers(0, 0xFFFFFF).map(lambda number: f"#{number:06x}")


def difference(one: tuple[float, float, float], other: tuple[float, float, float]) -> float:
    return ciede2000(
        before_l=one[0], before_a=one[1], before_b=one[2], after_l=other[0], after_a=other[1], after_b=other[2]
    ).delta_e


@given(COLOURS, COLOURS)
def test_no_difference_is_negative_and_different_lightness_always_counts(
    one: tuple[float, float, float], other: tuple[float, float, float]
) -> None:
    found = difference(one, other)
    assert found >= 0
    if abs(one[0] - other[0]) > 1:
        assert found > 0


@given(PIXELS)
def test_greys_of_a_picture_have_no_chroma_and_colours_keep_their_lightness_range(pixel: str) -> None:
    found = lab_of_srgb(pixel)
    assert 0 <= found.lightness <= 100
    grey = lab_of_srgb("#" + pixel[1:3] * 3)
    assert [grey.a, grey.b] == pytest.approx([0, 0], abs=1e-9)


@given(PIXELS, PIXELS)
def test_pixels_differ_as_their_colours_do(before: str, after: str) -> None:
    one, other = lab_of_srgb(before), lab_of_srgb(after)
    by_lab = difference((one.lightness, one.a, one.b), (other.lightness, other.a, other.b))
    assert srgb_difference(before, after).delta_e == pytest.approx(by_lab, abs=1e-12)


def test_black_and_white_are_a_hundred_apart() -> None:
    assert srgb_difference("#000000", "#ffffff").delta_e == pytest.approx(100, abs=1e-6)


@pytest.mark.parametrize(
    ("after", "codes"),
    [("#808080", ["hardly_noticeable"]), ("#818181", ["hardly_noticeable"]), ("#848484", []),
     ("#a0a0a0", ["large_difference"])],
)  # fmt: skip
def test_a_difference_too_small_to_see_or_too_large_to_measure_is_remarked(after: str, codes: list[str]) -> None:
    assert [remark.code for remark in srgb_difference("#808080", after).remarks] == codes


@pytest.mark.parametrize("colour", ["", "808080", "#80808", "#8080800", "#80808g", "#808080\n", "grey", "#٠٠٠٠٠٠"])
def test_it_refuses_what_is_no_colour(colour: str) -> None:
    for name, colours in (("before", (colour, "#000000")), ("after", ("#000000", colour))):
        with pytest.raises(BadInput) as refusal:
            srgb_difference(*colours)
        assert (refusal.value.code, refusal.value.name) == ("unreadable", name)


@pytest.mark.parametrize(("name", "value"), [("before_l", -1), ("after_l", 101), ("before_a", 2000), ("after_b", -1e4)])
def test_it_refuses_what_is_no_colour_in_lab(name: str, value: float) -> None:
    colours = dict.fromkeys(("before_l", "before_a", "before_b", "after_l", "after_a", "after_b"), 50.0)
    with pytest.raises(BadInput) as refusal:
        ciede2000(**colours | {name: value})
    assert (refusal.value.code, refusal.value.name) == ("out_of_range", name)


@given(st.tuples(ANY, ANY, ANY), st.tuples(ANY, ANY, ANY))
def test_any_input_is_refused_or_gives_a_finite_figure(
    one: tuple[float, float, float], other: tuple[float, float, float]
) -> None:
    with suppress(BadInput):
        assert math.isfinite(difference(one, other))


@given(HAIRS, HAIRS)
def test_colours_a_hair_from_black_give_a_finite_figure(
    one: tuple[float, float, float], other: tuple[float, float, float]
) -> None:
    assert difference(one, other) == pytest.approx(0, abs=1e-9)
