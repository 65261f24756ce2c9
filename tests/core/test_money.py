"""Amounts: minor units, one rounding, the locale's own writing."""

from decimal import Decimal
from fractions import Fraction
from math import ceil

import pytest
from babel.numbers import format_currency, format_percent
from hypothesis import given
from hypothesis import strategies as st

from shop.core.money import (
    LARGEST_MINOR,
    Rounding,
    allocate,
    checked,
    exact_share,
    read,
    share,
    show,
    show_rate,
    to_major,
    to_minor,
    to_step,
)
from shop.core.reasons import Refused

NBSP = "\u00a0"


@pytest.mark.parametrize(
    ("minor", "currency", "locale", "text"),
    [
        # No digits after the point where the currency has none, three where it has three. tests/external has the rest.
        (1234, "JPY", "en_US", "¥1,234"),
        (1234500, "KWD", "en_US", "KWD1,234.500"),
        (1000, "IQD", "en_US", "IQD1.000"),
        (12345, "USD", "en-US", "$123.45"),
    ],
)
def test_it_writes_amounts_as_the_locale_does(minor: int, currency: str, locale: str, text: str) -> None:
    assert show(minor, currency, locale) == text


@pytest.mark.parametrize(
    ("amount", "currency", "minor"),
    # Trap T5: half-even and binary floats give 2.66, 1 234 and 2.67 here.
    [("2.665", "USD", 267), ("1234.5", "JPY", 1235), ("2.675", "USD", 268), ("-2.665", "USD", -267)],
)
def test_it_rounds_halves_away_from_zero_before_anything_is_shown(amount: str, currency: str, minor: int) -> None:
    assert to_minor(Decimal(amount), currency) == minor


@pytest.mark.parametrize(
    ("mode", "minor"),
    [(Rounding.HALF_UP, 267), (Rounding.HALF_EVEN, 266), (Rounding.DOWN, 266), (Rounding.UP, 267)],
)
def test_it_rounds_as_the_named_mode_says(mode: Rounding, minor: int) -> None:
    assert to_minor(Decimal("2.665"), "USD", mode) == minor


def test_it_rounds_once_however_many_digits_come() -> None:
    """Catalogue TX-03: 0.00499… is nothing, although it would be 0.005 after a first rounding."""
    assert to_minor(Decimal("1.23462"), "USD") == 123
    assert to_minor(Decimal("0.004" + "9" * 40), "USD") == 0


@given(st.integers(0, LARGEST_MINOR), st.sampled_from(["USD", "JPY", "KWD", "CLF"]))
def test_it_reads_back_what_it_writes_plainly(minor: int, currency: str) -> None:
    assert to_minor(to_major(minor, currency), currency) == minor
    assert read(str(to_major(minor, currency)), currency, label="Price") == minor


@given(st.integers(0, LARGEST_MINOR), st.sampled_from(["en_US", "de_DE", "fr_FR", "de_CH", "sv_SE", "en_IN"]))
def test_it_reads_back_what_it_shows(minor: int, locale: str) -> None:
    shown = "".join(sign for sign in show(minor, "EUR", locale) if sign not in "€EUR")
    assert read(shown, "EUR", label="Price", locale=locale) == minor


@pytest.mark.parametrize(
    ("text", "currency", "locale", "minor"),
    [
        ("12.50", "USD", "en_US", 1250),
        ("12,5", "USD", "en_US", 1250),
        (".5", "USD", "en_US", 50),
        (" 7 ", "USD", "en_US", 700),
        ("1,234", "JPY", "en_US", 1234),
        ("1,234,567", "JPY", "en_US", 1234567),
        ("1.234", "EUR", "de_DE", 123400),
        ("0.50", "EUR", "de_DE", 50),
        ("12.50", "EUR", "de_DE", 1250),
        ("1'234.50", "CHF", "de_CH", 123450),
        ("12,34,567.89", "INR", "en_IN", 123456789),
        ("1.250", "KWD", "en_US", 1250),
        ("0.500", "USD", "en_US", 50),
    ],
)
def test_it_reads_what_people_type(text: str, currency: str, locale: str, minor: int) -> None:
    assert read(text, currency, label="Price", locale=locale) == minor


@pytest.mark.parametrize(
    "text",
    ["", "free", "12.345", "1e5", "1e99999999", "NaN", "Infinity", "1_000", "1,2,3", "--5", "9" * 400, "1.5 kg"],
)
def test_it_refuses_what_is_not_an_amount_of_the_currency(text: str) -> None:
    with pytest.raises(Refused) as caught:
        read(text, "USD", label="Price", field="price")
    assert caught.value.code == "not_a_number"
    assert caught.value.reasons[0].field == "price"


@pytest.mark.parametrize(("text", "code"), [("-5", "negative_money"), ("\u22125", "negative_money")])
def test_it_refuses_amounts_below_zero(text: str, code: str) -> None:
    with pytest.raises(Refused, match=code):
        read(text, "USD", label="Price")


def test_it_refuses_absurd_amounts() -> None:
    assert checked(LARGEST_MINOR, label="Price") == LARGEST_MINOR
    with pytest.raises(Refused, match="out_of_range"):
        checked(LARGEST_MINOR + 1, label="Price")
    with pytest.raises(Refused, match="out_of_range"):
        read("99999999999999", "USD", label="Price")


@given(st.integers(0, 10**9), st.lists(st.integers(0, 10**9), max_size=12))
def test_what_is_divided_adds_up_and_is_within_a_unit_of_its_share(minor: int, weights: list[int]) -> None:
    whole = sum(weights)
    parts = allocate(minor if whole else 0, weights)
    assert len(parts) == len(weights)
    assert sum(parts) == (minor if whole else 0)
    for part, weight in zip(parts, weights, strict=True):
        assert whole == part == 0 if not whole else abs(part - Fraction(minor * weight, whole)) < 1
        assert part <= weight or minor > whole


@pytest.mark.parametrize(
    ("minor", "weights", "parts"),
    [
        (100, [1, 1, 1], [34, 33, 33]),
        (1, [1, 1], [1, 0]),
        (10, [5, 4, 1], [5, 4, 1]),
        # 3.5, 2.5: equal remainders, the larger weight goes first, wherever it stands.
        (6, [5, 7], [2, 4]),
        (6, [7, 5], [4, 2]),
        (0, [], []),
        (0, [0, 0], [0, 0]),
        (7, [0, 3, 0], [0, 7, 0]),
    ],
)
def test_the_units_left_over_go_to_the_largest_remainders(minor: int, weights: list[int], parts: list[int]) -> None:
    assert allocate(minor, weights) == parts


@pytest.mark.parametrize(("minor", "weights"), [(-1, [1]), (1, []), (1, [0, 0]), (1, [2, -1])])
def test_it_divides_nothing_that_cannot_be(minor: int, weights: list[int]) -> None:
    with pytest.raises(ValueError, match="cannot divide"):
        allocate(minor, weights)


@pytest.mark.parametrize(
    ("minor", "millipercent", "rounding", "part"),
    [
        (100, 12_500, Rounding.HALF_UP, 13),
        (100, 12_500, Rounding.HALF_EVEN, 12),
        (-100, 12_500, Rounding.HALF_UP, -13),
        (101, 1000, Rounding.UP, 2),
        (199, 1000, Rounding.DOWN, 1),
        (10**12, 1_000_000, Rounding.HALF_UP, 10**13),
    ],
)
def test_a_share_is_rounded_once(minor: int, millipercent: int, rounding: Rounding, part: int) -> None:
    assert share(minor, millipercent, rounding) == part
    assert abs(part - exact_share(minor, millipercent)) < 1


@given(st.integers(0, LARGEST_MINOR), st.integers(1, 10_000))
def test_it_rounds_up_to_whole_steps(minor: int, step: int) -> None:
    assert to_step(Decimal(minor), step, Rounding.UP) == ceil(Fraction(minor, step)) * step
    assert to_step(Decimal(minor) / 7, 1, Rounding.UP) == ceil(Fraction(minor, 7))


def test_it_knows_no_step_below_one() -> None:
    with pytest.raises(ValueError, match="no step"):
        to_step(Decimal(1), 0)


@pytest.mark.parametrize(
    ("rate", "locale", "text"),
    [
        (8875, "en_US", "8.875%"),
        (8875, "en-GB", "8.875%"),
        (8875, "de_DE", f"8,875{NBSP}%"),
        (8875, "fr_FR", f"8,875{NBSP}%"),
        (20_000, "en_US", "20%"),
        (1_000_000, "en_US", "1,000%"),
        (0, "en_US", "0%"),
        (1, "en_US", "0.001%"),
    ],
)
def test_it_writes_a_rate_with_as_many_decimals_as_it_needs(rate: int, locale: str, text: str) -> None:
    assert show_rate(rate, locale) == text


def test_showing_a_rate_or_an_amount_leaves_the_locales_own_patterns_alone() -> None:
    assert (show_rate(8875), show(1, "JPY")) == ("8.875%", "¥1")
    assert (format_percent(0.08875, locale="en_US"), format_currency(1, "USD", locale="en_US")) == ("9%", "$1.00")


def test_a_hundred_per_cent_off_shows_no_minus_before_nothing() -> None:
    assert show(-share(0, 100_000), "USD") == "$0.00"
    assert show(to_minor(Decimal("-0.001"), "USD"), "USD", accounting=True) == "$0.00"
