"""Marks: every reading of them, and the question when there is more than one."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput
from shop.engineering.letter_codes import Quantity
from shop.engineering.marks import CONVENTIONS, read_mark, readings_of
from shop.engineering.tolerances import tolerance_of
from tests.engineering.outcome import outcome

any_mark = st.text(max_size=7) | st.from_regex(r"[0-9]{0,4}[A-Zjnpµm.]?[0-9]{0,4}[A-Z]?", fullmatch=True)


def said(mark: str, quantity: Quantity | None = None) -> set[tuple[str, float]]:
    return {(each.convention, float(f"{each.value:.6g}")) for each in readings_of(mark, quantity)}


def test_a_mark_of_three_digits_and_a_letter_has_readings_in_both_quantities() -> None:
    assert said("104K") == {
        ("letter_code", 104e3), ("ohms", 100e3), ("picofarads", 0.1e-6), ("part_number_pf", 0.1e-6),
        ("part_number_uf", 0.1),
    }  # fmt: skip


def test_a_known_quantity_leaves_fewer_readings() -> None:
    assert said("103", Quantity.RESISTANCE) == {("ohms", 10e3)}
    assert said("103", Quantity.CAPACITANCE) == {("picofarads", 10e-9), ("part_number_uf", 10e-3)}


def test_a_hundred_may_be_a_code_or_the_number_itself() -> None:
    assert said("100") == {
        ("ohms", 10), ("picofarads", 10e-12), ("part_number_uf", 10e-6), ("plain_pf", 100e-12), ("plain_uf", 100e-6),
    }  # fmt: skip


@pytest.mark.parametrize(
    ("mark", "readings"),
    [
        ("47", {("plain_pf", 47e-12), ("plain_uf", 47e-6)}),
        (".1", {("plain_uf", 0.1e-6)}),
        ("4.7", {("plain_pf", 4.7e-12), ("plain_uf", 4.7e-6)}),
        ("47K", {("letter_code", 47e3), ("plain_pf", 47e-12), ("plain_uf", 47e-6)}),
    ],
)
def test_a_plain_number_is_of_picofarads_or_microfarads(mark: str, readings: set[tuple[str, float]]) -> None:
    assert said(mark) == readings


def test_a_number_that_is_in_no_series_is_not_taken_for_itself() -> None:
    assert {convention for convention, _ in said("471")} == {"ohms", "picofarads", "part_number_uf"}


@pytest.mark.parametrize(("mark", "volts"), [("6V3", 6.3), ("16V", 16), ("100V", 100)])
def test_a_v_makes_a_voltage_and_nothing_else(mark: str, volts: float) -> None:
    assert said(mark) == {("letter_code", volts)}


def test_a_small_j_and_a_capital_one_are_different_voltages() -> None:
    assert (said("j"), said("J")) == ({("can_letter", 6.3)}, {("can_letter", 63)})


def test_a_voltage_code_may_be_a_small_capacitor_with_a_tolerance() -> None:
    assert {each.quantity for each in readings_of("1C")} == {Quantity.VOLTAGE, Quantity.CAPACITANCE}
    assert read_mark("1C", Quantity.VOLTAGE).value == 16


def test_a_film_capacitor_bears_its_voltage_and_value_in_one() -> None:
    (read,) = readings_of("2A104J")
    assert (read.quantity, read.rated_voltage_v, read.tolerance) == (Quantity.CAPACITANCE, 100, tolerance_of("J"))
    assert read.value == pytest.approx(0.1e-6)


def test_readings_of_one_value_are_no_question() -> None:
    assert len(readings_of("4R7", Quantity.RESISTANCE)) == 2
    assert read_mark("4R7", Quantity.RESISTANCE).value == 4.7
    assert read_mark("477").value == pytest.approx(470e-6)


@pytest.mark.parametrize("mark", ["100", "471", "104", "103", "104K", "47R", "4700"])
def test_an_open_mark_asks_for_the_convention_and_gives_the_readings(mark: str) -> None:
    with pytest.raises(BadInput) as asked:
        read_mark(mark)
    assert (asked.value.code, asked.value.name) == ("ambiguous", "mark")
    assert asked.value.facts["readings"] == readings_of(mark)


def test_the_convention_settles_an_open_mark() -> None:
    assert read_mark("100", convention="plain_pf").value == pytest.approx(100e-12)
    assert read_mark("100", convention="picofarads").value == pytest.approx(10e-12)
    assert read_mark("47R", convention="eia_96").value == pytest.approx(3.01)


def test_a_convention_that_does_not_read_the_mark_is_refused_with_those_that_do() -> None:
    with pytest.raises(BadInput) as refused:
        read_mark("4K7", convention="eia_96")
    assert (refused.value.code, refused.value.facts["choices"]) == ("not_one_of", ("letter_code",))
    with pytest.raises(BadInput) as refused:
        read_mark("4K7", convention="guess")
    assert (refused.value.code, refused.value.facts["choices"]) == ("not_one_of", CONVENTIONS)


@pytest.mark.parametrize("mark", ["", "hello", "2A", "3A104J", "--", "0.0", "1.2.3", "123456", "47Y"])
def test_a_mark_without_a_reading_of_the_quantity_is_unreadable(mark: str) -> None:
    with pytest.raises(BadInput) as refused:
        readings_of(mark, Quantity.CAPACITANCE)
    assert (refused.value.code, refused.value.name) == ("unreadable", "mark")


@given(any_mark)
def test_no_mark_breaks_the_reader_and_every_reading_can_be_chosen(mark: str) -> None:
    found = outcome(lambda: readings_of(mark))
    if isinstance(found, BadInput):
        assert (found.code, found.name) == ("unreadable", "mark")
        return
    for each in found:
        assert math.isfinite(each.value)
        assert read_mark(mark, each.quantity, each.convention) == each
