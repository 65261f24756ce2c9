"""Rated-voltage codes, both ways."""

import math

import pytest

from shop.engineering.inputs import BadInput
from shop.engineering.voltage_codes import (
    CAN_LETTERS_V,
    TWO_CHARACTERS_V,
    can_letter_of_voltage,
    code_of_voltage,
    voltage_of_can_letter,
    voltage_of_code,
)


@pytest.mark.parametrize("code", list(TWO_CHARACTERS_V))
def test_a_code_of_two_characters_is_read_and_written(code: str) -> None:
    assert code_of_voltage(voltage_of_code(code)) == code
    assert voltage_of_code(f" {code.lower()}") == voltage_of_code(code)


@pytest.mark.parametrize("letter", list(CAN_LETTERS_V))
def test_a_can_letter_is_read_and_written(letter: str) -> None:
    assert can_letter_of_voltage(voltage_of_can_letter(letter)) == letter


def test_a_small_j_is_a_tenth_of_a_capital_one() -> None:
    assert (voltage_of_can_letter("j"), voltage_of_can_letter("J")) == (6.3, 63)


@pytest.mark.parametrize("letter", ["", "a", "v", "G", "1A"])
def test_what_is_no_can_letter_is_unreadable(letter: str) -> None:
    with pytest.raises(BadInput) as refused:
        voltage_of_can_letter(letter)
    assert (refused.value.code, refused.value.name) == ("unreadable", "code")


@pytest.mark.parametrize("code", ["", "J", "3A", "1C1", "16"])
def test_what_is_no_code_is_unreadable(code: str) -> None:
    with pytest.raises(BadInput) as refused:
        voltage_of_code(code)
    assert (refused.value.code, refused.value.name) == ("unreadable", "code")


@pytest.mark.parametrize("volts", [12, 0.0, -16, math.nan, math.inf])
def test_a_voltage_that_is_no_rating_has_no_code(volts: float) -> None:
    for write in (code_of_voltage, can_letter_of_voltage):
        with pytest.raises(BadInput) as refused:
            write(volts)
        assert (refused.value.code, refused.value.name) == ("not_one_of", "voltage_v")
