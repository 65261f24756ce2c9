"""Check symbols against values that others published for Douglas Crockford's base 32 (crockford.com/base32.html)."""

import pytest

from shop.core.tagcode import CHECKS, check_symbol, decode, encode, tidy


@pytest.mark.parametrize(
    ("value", "code", "check"),
    [
        # github.com/factor/factor, extra/base32-crockford/base32-crockford-tests.factor; metacpan.org, the
        # documentation of Encode::Base32::Crockford; hexdocs.pm/crockford_base32
        (1234, "16J", "D"),
        (0, "0", "0"),
        # github.com/jbittel/base32-crockford, README.rst
        (42, "1A", "5"),
    ],
)
def test_it_writes_published_numbers_with_their_published_check_symbols(value: int, code: str, check: str) -> None:
    assert encode(value, len(code)) == code
    assert decode(code) == value
    assert check_symbol(code) == check


def test_it_writes_a_published_number_of_six_symbols() -> None:
    """readme.hex.pm/base32_crockford: one milliard is XSNJG0."""
    assert encode(10**9, 6) == "XSNJG0"


@pytest.mark.parametrize(
    ("place", "symbol"),
    # github.com/Identifiers/spec, Base-32.md, addendum on checksums; the same in Crockford's own table
    [(32, "*"), (33, "~"), (34, "$"), (35, "="), (36, "U")],
)
def test_it_uses_the_five_published_extra_symbols(place: int, symbol: str) -> None:
    assert CHECKS.index(symbol) == place
    assert check_symbol(encode(place)) == symbol
    assert check_symbol(encode(place + 37)) == symbol


@pytest.mark.parametrize(("typed", "meant"), [("I6JD", "16JD"), ("i6JD", "16JD"), ("La5", "1A5")])
def test_it_reads_published_misreadings(typed: str, meant: str) -> None:
    """The same Factor tests (I6JD, i6JD) and README (La5)."""
    assert tidy(typed) == meant
