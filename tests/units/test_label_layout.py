"""Where things stand on labels, whatever is written on them."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import settings as limits
from hypothesis import strategies as st

from shop.core.fonts import Fonts, bundled_font, find_font
from shop.core.reasons import Refused
from shop.core.tagcode import ALPHABET, printed
from shop.units.label_layout import LABEL_MM, Box, Line, lay_out, module_mm
from shop.units.labels import Tag, qr_modules

POINT_MM = 25.4 / 72
TAG = Tag("http://shop.test/t/K7Q2M9F", "K7Q-2M9F~", "042", "Quillon Lantern", "TB", "unit")


@given(st.integers(1, 177))
@limits(max_examples=40, deadline=None)
def test_modules_are_large_enough_and_keep_their_quiet_zone(length: int) -> None:
    """At least 0.4 mm a module, and four of them white on each side before the label's edge."""
    rows = qr_modules("x" * length)
    side = module_mm(len(rows))
    assert side >= 0.4
    assert side * 40 == pytest.approx(round(side * 40))
    assert 1 + side * len(rows) <= 32 + 1e-9
    margin = [*rows[:4], *rows[-4:], *([*row[:4], *row[-4:]] for row in rows)]
    assert not any(any(row) for row in margin)


@pytest.mark.parametrize(
    ("address", "code"),
    [
        ("http://" + "x" * 171, "label_address_too_long"),
        ("http://wärme.example/t/K7Q2M9F", "label_address_not_ascii"),
        ("http://shop test/t/K7Q2M9F", "label_address_not_ascii"),
    ],
)
def test_it_says_when_an_address_makes_no_good_code(address: str, code: str) -> None:
    with pytest.raises(Refused, match=code):
        qr_modules(address)


WORDS = st.text(st.characters(codec="utf-8", categories=["L", "N", "P", "Zs", "S", "M"]), max_size=90)


TAGS = st.builds(
    Tag,
    address=st.just(TAG.address),
    code=st.text(ALPHABET, min_size=7, max_size=7).map(printed),
    large=st.one_of(st.from_regex(r"[0-9]{3}", fullmatch=True), WORDS),
    title=WORDS,
    owner=st.text(ALPHABET, max_size=12),
    kind=st.sampled_from(["unit", "fasteners", "accessories"]),
    contents=WORDS,
    cautions=st.lists(st.sampled_from(["insects: keep sealed", "liquid: no power", "mains inside"]), unique=True).map(
        tuple
    ),
)


@pytest.mark.parametrize("fonts", [find_font(), bundled_font()], ids=["found", "bundled"])
@limits(max_examples=60, deadline=None)
@given(tag=TAGS)
def test_whatever_is_written_stays_on_the_label_and_off_the_rest(fonts: Fonts, tag: Tag) -> None:
    marks = lay_out(tag, fonts)
    lines = [mark for mark in marks if isinstance(mark, Line)]
    frame = [mark for mark in marks if isinstance(mark, Box) and mark.x_mm > 32]
    for line in lines:
        height = line.size_pt * POINT_MM
        assert line.x_mm + line.width_mm <= LABEL_MM[0] - 1
        assert line.y_mm - 0.76 * height > 0
        assert line.y_mm + 0.24 * height <= LABEL_MM[1]
        assert line.x_mm >= 33 or line.y_mm - 0.76 * height > 32.4, "words in the quiet zone"
    column = sorted((line for line in lines if line.y_mm < 33), key=lambda line: line.y_mm)
    for above, below in pairwise(column):
        assert below.y_mm - above.y_mm >= 0.7 * below.size_pt * POINT_MM
    outside = [line for line in column if frame and line.y_mm < min(box.y_mm for box in frame) + 0.5]
    assert bool(frame) == bool(tag.cautions)
    assert len(outside) >= (1 if frame else 0)
    foot = sorted((line for line in lines if line.y_mm > 33), key=lambda line: line.x_mm)
    assert foot[0].text == tag.code
    assert all(left.x_mm + left.width_mm + 1 < right.x_mm for left, right in pairwise(foot))


@pytest.mark.parametrize("fonts", [find_font(), bundled_font()], ids=["found", "bundled"])
def test_a_name_in_any_script_makes_a_label(fonts: Fonts) -> None:
    """What the typeface lacks shows as a box or a question mark, one for each character."""
    for name in ("Trần Bảo", "Ждан", "Λάμπρος", "田中", "김", "ทอง", "🦋 x", "a\tb\nc"):
        shown = fonts.writable(name, fonts.bold)
        assert len(shown) == len(name)
        assert lay_out(Tag(TAG.address, TAG.code, name, name, name), fonts)
    assert fonts.writable("Ada", fonts.bold) == "Ada"
    assert set(fonts.writable("田中", fonts.bold)) <= {"\u25a1", "?"}
    assert "Chinese" in fonts.missing
    assert "Latin" not in fonts.missing


def test_the_font_that_was_found_is_the_one_in_the_file() -> None:
    fonts = find_font()
    assert all(fonts.file_of(name).is_file() for name in (fonts.regular, fonts.bold, fonts.mono))
    assert find_font() is fonts
