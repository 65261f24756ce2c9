"""Codes that people read and type."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.core.reasons import Refused
from shop.core.tagcode import ALPHABET, CHECKS, LENGTH, check_symbol, decode, encode, new_code, printed, read_typed

CODES = st.text(ALPHABET, min_size=LENGTH, max_size=LENGTH)


@given(st.integers(0, 32**LENGTH - 1))
def test_it_reads_back_every_number_it_writes(value: int) -> None:
    assert decode(encode(value)) == value


@given(CODES)
def test_it_reads_back_every_code_it_prints(code: str) -> None:
    assert read_typed(printed(code)) == code
    assert read_typed(printed(code).lower().replace("-", " ")) == code


@given(CODES, st.integers(0, LENGTH), st.data())
def test_it_catches_any_one_symbol_mistyped(code: str, place: int, data: st.DataObject) -> None:
    """Two codes that differ in one symbol differ by d × 32^k, 0 < d < 32: never a multiple of the prime 37."""
    whole = code + check_symbol(code)
    wrong = data.draw(st.sampled_from(CHECKS if place == LENGTH else ALPHABET))
    typed = whole[:place] + wrong + whole[place + 1 :]
    if typed == whole:
        assert read_typed(typed) == code
    else:
        with pytest.raises(Refused, match="code_check_wrong"):
            read_typed(typed)


@given(CODES, st.integers(0, LENGTH - 1))
def test_it_catches_any_two_neighbours_swapped(code: str, place: int) -> None:
    """Swapping a and b changes the value by (a − b) × 31 × 32^k; and a check symbol swapped in is no better."""
    whole = code + check_symbol(code)
    typed = whole[:place] + whole[place + 1] + whole[place] + whole[place + 2 :]
    if typed == whole:
        assert read_typed(typed) == code
    else:
        with pytest.raises(Refused, match=r"code_check_wrong|code_malformed"):
            read_typed(typed)


def test_it_catches_every_substitution_and_swap_in_one_code() -> None:
    """All of them, counted: 7 × 31 + 36 substitutions and 7 swaps of unequal neighbours."""
    whole = "K7Q2M9F" + check_symbol("K7Q2M9F")
    typed = {
        whole[:place] + wrong + whole[place + 1 :]
        for place in range(LENGTH + 1)
        for wrong in (CHECKS if place == LENGTH else ALPHABET)
    }
    typed |= {whole[:i] + whole[i + 1] + whole[i] + whole[i + 2 :] for i in range(LENGTH)}
    typed.discard(whole)
    assert len(typed) == 7 * 31 + 36 + 7
    for wrong in typed:
        with pytest.raises(Refused):
            read_typed(wrong)


@pytest.mark.parametrize("typed", ["1o0l1I0", "IOO1L1O"])
def test_it_reads_letters_that_look_like_digits_as_those_digits(typed: str) -> None:
    meant = "".join({"O": "0", "I": "1", "L": "1"}.get(symbol, symbol) for symbol in typed.upper())
    assert read_typed(typed + check_symbol(meant)) == meant


@pytest.mark.parametrize("hyphen", ["-", "\u2010", "\u2011", "\u2013", "\u2212", " ", "\u00ad", "\u200b"])
def test_it_takes_whatever_a_phone_puts_between_the_groups(hyphen: str) -> None:
    code = "K7Q2M9F"
    assert read_typed(f"K7Q{hyphen}2M9F{check_symbol(code)}") == code


@pytest.mark.parametrize(
    "typed", ["", "K7Q", "K7Q2M9F", "K7Q2M9FX2", "K7Q2MU9X", "U7Q2M9F0", "<script>", "K7Q2M9F\u0436"]
)
def test_it_says_when_something_is_no_code_at_all(typed: str) -> None:
    with pytest.raises(Refused, match="code_malformed"):
        read_typed(typed)


def test_it_prints_two_groups_with_the_check_symbol_last() -> None:
    assert printed("K7Q2M9F") == "K7Q-2M9F" + check_symbol("K7Q2M9F")


def test_it_draws_codes_that_differ() -> None:
    drawn = {new_code() for _ in range(200)}
    assert len(drawn) == 200
    assert all(len(code) == LENGTH and set(code) <= set(ALPHABET) for code in drawn)


@pytest.mark.parametrize(("value", "length"), [(-1, 7), (32**7, 7), (32, 1)])
def test_it_refuses_numbers_that_do_not_fit(value: int, length: int) -> None:
    with pytest.raises(ValueError, match="does not fit"):
        encode(value, length)
