"""A photo laid straight under its board, checked by its laws and against scikit-image."""

from math import dist, isclose

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st
from skimage.transform import SimilarityTransform

from shop.boards.straighten import Known, Point, PointsTooClose, Straight, straighten

PIXELS = st.tuples(st.floats(0, 6000), st.floats(0, 6000))
PLACES = st.tuples(st.floats(0, 400), st.floats(0, 300))
PAIRS = st.tuples(st.builds(Known, px=PIXELS, mm=PLACES), st.builds(Known, px=PIXELS, mm=PLACES))
# A photo of 1000 × 800 px at a tenth of a millimetre: the lower left of the board at pixel (100, 700).
PLAIN = straighten(Known((100, 700), (0, 0)), Known((900, 100), (80, 60)))
SIZE = (80.0, 60.0)


def laid(pair: tuple[Known, Known], mirrored: bool) -> Straight:
    one, other = pair
    assume(dist(one.px, other.px) >= 20 and dist(one.mm, other.mm) >= 5)
    return straighten(one, other, mirrored=mirrored)


def through(six: tuple[float, ...], px: Point) -> Point:
    """What an SVG viewer makes of a pixel."""
    a, b, c, d, e, f = six
    return a * px[0] + c * px[1] + e, b * px[0] + d * px[1] + f


def test_it_reads_a_photo_that_lies_straight() -> None:
    assert PLAIN.to_mm((500, 400)) == pytest.approx((40, 30))
    assert PLAIN.to_px((80, 0)) == pytest.approx((900, 700))
    assert PLAIN.mm_per_px == pytest.approx(0.1)
    assert PLAIN.turn_deg == pytest.approx(0)


def test_it_says_how_far_a_photo_must_be_turned_counterclockwise() -> None:
    """The board's lower edge runs down the photo's left edge: the photo was shot with the board turned clockwise."""
    turned = straighten(Known((0, 0), (0, 0)), Known((0, 800), (80, 0)))
    assert turned.turn_deg == pytest.approx(90)
    assert turned.to_mm((100, 0)) == pytest.approx((0, 10))


def test_it_reads_a_photo_of_the_bottom_side_the_other_way_round() -> None:
    """Seen from below the board's origin lies lower right, and a photo that lies straight is not turned."""
    below = straighten(Known((900, 700), (0, 0)), Known((100, 100), (80, 60)), mirrored=True)
    assert below.to_mm((100, 700)) == pytest.approx((80, 0))
    assert below.to_mm((900, 100)) == pytest.approx((0, 60))
    assert below.turn_deg == pytest.approx(0)
    assert through(below.svg_matrix(*SIZE), (100, 100)) == pytest.approx((0, 0), abs=1e-9)
    assert through(below.svg_matrix(*SIZE), (900, 700)) == pytest.approx(SIZE)


def test_it_turns_a_photo_of_the_bottom_side_as_the_eye_sees_it() -> None:
    """Its lower edge, right to left as seen, runs down the photo: 90 degrees clockwise lay it straight."""
    below = straighten(Known((0, 0), (0, 0)), Known((0, 800), (80, 0)), mirrored=True)
    assert below.turn_deg == pytest.approx(-90)


@given(PAIRS, st.booleans())
def test_it_takes_the_known_points_to_themselves(pair: tuple[Known, Known], mirrored: bool) -> None:
    straight = laid(pair, mirrored)
    for known in pair:
        assert straight.to_mm(known.px) == pytest.approx(known.mm, abs=1e-6)
        assert straight.to_px(known.mm) == pytest.approx(known.px, abs=1e-6)


@given(PAIRS, PIXELS, st.booleans())
def test_its_two_ways_undo_each_other(pair: tuple[Known, Known], px: Point, mirrored: bool) -> None:
    straight = laid(pair, mirrored)
    assert straight.to_px(straight.to_mm(px)) == pytest.approx(px, abs=1e-6)


@given(PAIRS, PIXELS, PIXELS, st.booleans())
def test_it_scales_every_distance_alike(pair: tuple[Known, Known], one: Point, other: Point, mirrored: bool) -> None:
    straight = laid(pair, mirrored)
    expected = dist(one, other) * straight.mm_per_px
    assert isclose(dist(straight.to_mm(one), straight.to_mm(other)), expected, rel_tol=1e-9, abs_tol=1e-6)


@given(PAIRS, PIXELS)
def test_it_agrees_with_scikit_image(pair: tuple[Known, Known], px: Point) -> None:
    """Theirs knows no mirror, so it is given pixels whose y runs up as the board's does."""
    straight = laid(pair, mirrored=False)
    up = np.array([1.0, -1.0])
    theirs = SimilarityTransform.from_estimate(
        np.array([known.px for known in pair]) * up, np.array([known.mm for known in pair])
    )
    assert theirs, "scikit-image found no transform"
    assert tuple(theirs(np.array([px]) * up)[0]) == pytest.approx(straight.to_mm(px), abs=1e-4, rel=1e-6)
    assert theirs.scale == pytest.approx(straight.mm_per_px, rel=1e-6)


@given(PAIRS, PIXELS, st.booleans())
def test_its_matrix_puts_each_pixel_where_the_drawing_has_its_place(
    pair: tuple[Known, Known], px: Point, mirrored: bool
) -> None:
    straight = laid(pair, mirrored)
    x_mm, y_mm = straight.to_mm(px)
    drawn = (SIZE[0] - x_mm if mirrored else x_mm, SIZE[1] - y_mm)
    assert through(straight.svg_matrix(*SIZE), px) == pytest.approx(drawn, abs=1e-6)


def test_its_transform_is_the_matrix_as_svg_writes_it() -> None:
    assert PLAIN.svg_transform(*SIZE) == "matrix(0.1 0 0 0.1 -10 -10)"


@pytest.mark.parametrize(
    ("one", "other"),
    [
        (Known((0, 0), (0, 0)), Known((19.9, 0), (80, 0))),
        (Known((0, 0), (0, 0)), Known((900, 0), (3, 3.9))),
        (Known((5, 5), (1, 1)), Known((5, 5), (1, 1))),
        (Known((0, 0), (0, 0)), Known((float("nan"), 0), (80, 0))),
    ],
)
def test_it_refuses_points_too_close_to_tell_a_turn(one: Known, other: Known) -> None:
    with pytest.raises(PointsTooClose):
        straighten(one, other)


def test_it_takes_points_just_far_enough_apart() -> None:
    assert straighten(Known((0, 0), (0, 0)), Known((20, 0), (5, 0))).mm_per_px == pytest.approx(0.25)
