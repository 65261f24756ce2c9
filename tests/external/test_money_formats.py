"""How amounts and rates read, against ISO 4217 and Babel 2.18.0. Strings are bound to that version's CLDR data."""

from decimal import Decimal

import babel
import pytest
from babel.numbers import format_currency, format_percent, get_currency_precision

from shop.core.money import minor_digits, show, show_rate, to_major, to_minor

NBSP, NARROW, APOSTROPHE = "\u00a0", "\u202f", "\u2019"


def test_the_strings_below_are_of_this_version() -> None:
    assert babel.__version__ == "2.18.0"


@pytest.mark.parametrize(
    ("currency", "digits"),
    [("USD", 2), ("JPY", 0), ("KWD", 3), ("BHD", 3), ("CLF", 4), ("ISK", 0), ("CHF", 2), ("UYW", 4)],
)
def test_it_knows_the_minor_digits(currency: str, digits: int) -> None:
    """TX-14: ISO 4217; the package iso4217 1.16 and Babel agree."""
    assert minor_digits(currency) == digits == get_currency_precision(currency)


@pytest.mark.parametrize(("currency", "iso", "cldr"), [("IQD", 3, 0), ("MGA", 2, 0)])
def test_where_cldr_and_iso_4217_disagree_it_keeps_to_iso_4217(currency: str, iso: int, cldr: int) -> None:
    """Trap T6."""
    assert (minor_digits(currency), get_currency_precision(currency)) == (iso, cldr)


@pytest.mark.parametrize(
    ("minor", "currency", "locale", "text"),
    [
        # TX-16.
        (123450, "USD", "en_US", "$1,234.50"),
        (123450, "EUR", "de_DE", f"1.234,50{NBSP}€"),
        (123450, "EUR", "fr_FR", f"1{NARROW}234,50{NBSP}€"),
        (123450, "GBP", "en_GB", "£1,234.50"),
        (123450, "CHF", "de_CH", f"CHF{NBSP}1{APOSTROPHE}234.50"),
        (123450, "SEK", "sv_SE", f"1{NBSP}234,50{NBSP}kr"),
        # TX-17.
        (-123450, "USD", "en_US", "-$1,234.50"),
    ],
)
def test_it_writes_amounts_as_the_locale_does(minor: int, currency: str, locale: str, text: str) -> None:
    assert show(minor, currency, locale) == text == format_currency(to_major(minor, currency), currency, locale=locale)


def test_it_writes_amounts_below_zero_as_bookkeepers_do() -> None:
    """TX-17."""
    assert show(-123450, "USD", "en_US", accounting=True) == "($1,234.50)"
    assert show(123450, "USD", "en_US", accounting=True) == "$1,234.50"


def test_it_groups_by_lakh_where_the_locale_does() -> None:
    """TX-17: 1234567.891 rupees, rounded once to paise."""
    assert show(to_minor(Decimal("1234567.891"), "INR"), "INR", "en_IN") == "₹12,34,567.89"


@pytest.mark.parametrize(
    ("amount", "currency", "text", "babels"),
    [("2.665", "USD", "$2.67", "$2.66"), ("1234.5", "JPY", "¥1,235", "¥1,234")],
)
def test_it_rounds_before_it_formats(amount: str, currency: str, text: str, babels: str) -> None:
    """Trap T5: Babel alone rounds half to even."""
    assert show(to_minor(Decimal(amount), currency), currency) == text
    assert format_currency(Decimal(amount), currency, locale="en_US") == babels


def test_it_writes_a_rate_with_its_decimals() -> None:
    """TX-18: Babel's default for 0.08875 is 9 %, and the pattern with three decimals gives ours."""
    rate = Decimal("0.08875")
    assert format_percent(rate, locale="en_US") == "9%"
    assert show_rate(8875) == "8.875%" == format_percent(rate, format="#,##0.###%", locale="en_US")
