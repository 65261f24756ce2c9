"""Three digits as the colours of a resistor."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.bands import COLOURS, bands_of


def luminance(paint: str) -> float:
    """Relative luminance as WCAG 2.2 defines it."""
    parts = [int(paint[place : place + 2], 16) / 255 for place in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    light, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (light + 0.05) / (dark + 0.05)


def test_it_names_the_colours_that_iec_60062_gives_the_digits() -> None:
    """Catalogue MK-16: IEC 60062, read at resistorcolorcodes.org/chart."""
    published = "black brown red orange yellow green blue violet grey white"
    assert " ".join(colour.name for colour in COLOURS) == published
    assert [colour.digit for colour in COLOURS] == list(range(10))


@given(st.integers(0, 999))
def test_it_gives_each_digit_its_band(number: int) -> None:
    digits = f"{number:03d}"
    assert "".join(str(band.digit) for band in bands_of(digits)) == digits


@pytest.mark.parametrize("digits", ["", "42", "0042", "4x2", "-12", "١٢٣", "1²3"])
def test_it_takes_three_plain_digits_and_nothing_else(digits: str) -> None:
    with pytest.raises(ValueError, match="three digits"):
        bands_of(digits)


def test_its_digits_can_be_read_on_their_bands() -> None:
    """WCAG 2.2, 1.4.3: text 4.5 to 1, which is more than the 3 to 1 that an outline needs (1.4.11)."""
    assert all(contrast(colour.paint, colour.ink) >= 4.5 for colour in COLOURS)


def test_no_two_colours_are_painted_alike() -> None:
    assert len({colour.paint for colour in COLOURS}) == 10
