"""Component marks against published figures. The source stands beside each."""

import csv
from pathlib import Path

import pytest

from shop.engineering.colour_code import read_bands
from shop.engineering.digit_codes import Convention, electrolytic_capacitance, read_digit_code
from shop.engineering.inputs import BadInput
from shop.engineering.letter_codes import Quantity, read_letter_code
from shop.engineering.marks import readings_of
from shop.engineering.smd_cans import CANS, SIZE_LETTERS, can_of
from shop.engineering.tolerances import tolerance_of, tolerance_readings
from shop.engineering.voltage_codes import TWO_CHARACTERS_V, voltage_of_can_letter, voltage_of_code

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


VOLTAGES = rows("electrolytic_voltage_codes.csv")
SIZES = rows("smd_can_sizes.csv")


@pytest.mark.parametrize(
    ("code", "ohms"),
    [("R47", 0.47), ("4R7", 4.7), ("470R", 470), ("4K7", 4700), ("47K", 47e3), ("47K3", 47.3e3), ("470K", 470e3),
     ("4M7", 4.7e6)],
)  # fmt: skip
def test_letter_codes_of_resistors(code: str, ohms: float) -> None:
    """MK-08: IEC 60062:2016 examples, en.wikipedia.org/wiki/IEC/EN_60062."""
    assert (read_letter_code(code).quantity, read_letter_code(code).value) == (Quantity.RESISTANCE, ohms)


@pytest.mark.parametrize(
    ("code", "farads"),
    [("4p7", 4.7e-12), ("33p2", 3.32e-11), ("4n7", 4.7e-9), ("4µ7", 4.7e-6), ("2m2", 2.2e-3), ("p10", 1e-13),
     ("10p", 1e-11), ("1µ0", 1e-6)],
)  # fmt: skip
def test_letter_codes_of_capacitors(code: str, farads: float) -> None:
    """MK-10: IEC 60062; rkm-codes 1.0."""
    assert (read_letter_code(code).quantity, read_letter_code(code).value) == (Quantity.CAPACITANCE, farads)


def test_six_v_three_is_a_voltage_and_nothing_else() -> None:
    """MK-11: a habit of the trade, not in IEC 60062."""
    assert [(each.quantity, each.value) for each in readings_of("6V3")] == [(Quantity.VOLTAGE, 6.3)]
    for quantity in (Quantity.RESISTANCE, Quantity.CAPACITANCE):
        with pytest.raises(BadInput, match="unreadable"):
            readings_of("6V3", quantity)


@pytest.mark.parametrize(
    ("code", "farads"), [("103", 10e-9), ("104", 100e-9), ("223", 22e-9), ("102", 1e-9), ("479", 4.7e-12)]
)
def test_three_digits_count_picofarads(code: str, farads: float) -> None:
    """MK-12: sharpdev.tools/tools/capacitor-code; that a last 9 divides by ten is from memory."""
    assert read_digit_code(code, Convention.PICOFARADS).value == farads


@pytest.mark.parametrize(
    ("letter", "below", "above"),
    [("F", 1, 1), ("G", 2, 2), ("J", 5, 5), ("K", 10, 10), ("M", 20, 20), ("Z", 20, 80)],
)
def test_tolerance_letters_above_ten_picofarads(letter: str, below: float, above: float) -> None:
    """MK-13: dummies.com, electronics-capacitor-tolerance-code."""
    read = tolerance_of(letter, 10.1e-12)
    assert (read.below_percent, read.above_percent, read.farads, read.from_memory) == (below, above, None, False)


@pytest.mark.parametrize(
    ("letter", "below", "above", "from_memory"),
    [
        ("E", 0.005, 0.005, True),
        ("L", 0.01, 0.01, True),
        ("P", 0.02, 0.02, True),
        ("W", 0.05, 0.05, True),
        ("Q", 10, 30, False),
        ("T", 10, 50, False),
        ("S", 20, 50, True),
        ("N", 30, 30, True),
        ("H", 3, 3, True),
        ("V", 10, 20, False),
    ],
)
def test_other_tolerance_letters(letter: str, below: float, above: float, from_memory: bool) -> None:
    """MK-15: IEC 60062's table, from memory; Q, T and V read in Samwha's part-number system."""
    first = tolerance_readings(letter)[0]
    assert (first.below_percent, first.above_percent, first.from_memory) == (below, above, from_memory)


@pytest.mark.parametrize(
    ("letter", "below", "above"),
    [("E", 0.25, 0.25), ("H", 2.5, 2.5), ("L", 15, 15), ("P", 0, 100), ("W", 0, 200)],
)
def test_letters_on_which_lists_disagree_have_the_other_reading_too(letter: str, below: float, above: float) -> None:
    """MK-15: the list at electro-tech-online.com/threads/capacitor-letter.485."""
    assert (below, above) in [(each.below_percent, each.above_percent) for each in tolerance_readings(letter)[1:]]
    with pytest.raises(BadInput, match="ambiguous"):
        tolerance_of(letter)


@pytest.mark.parametrize(
    ("digit", "colour"),
    list(enumerate(["black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white"])),
)
def test_colours_are_digits_and_multipliers(digit: int, colour: str) -> None:
    """MK-16 and MK-17: resistorcolorcodes.org/chart; kodekata.net/resistorcolorcode.html."""
    assert read_bands(["brown", colour, "black"]).resistance_ohm == 10 + digit
    assert read_bands(["brown", "black", colour]).resistance_ohm == 10 * 10**digit


@pytest.mark.parametrize(("colour", "ohms"), [("gold", 1), ("silver", 0.1), ("pink", 0.01)])
def test_metal_colours_and_pink_divide(colour: str, ohms: float) -> None:
    """MK-17: 0.1, 0.01 and 0.001, as above."""
    assert read_bands(["brown", "black", colour]).resistance_ohm == ohms


@pytest.mark.parametrize(
    ("colour", "percent"),
    [("brown", 1), ("red", 2), ("green", 0.5), ("blue", 0.25), ("violet", 0.1), ("gold", 5), ("silver", 10)],
)
def test_the_undisputed_tolerances_of_colours(colour: str, percent: float) -> None:
    """T10: four pages compared; solid."""
    assert read_bands(["brown", "black", "red", colour]).tolerance_percent == percent


def test_no_fourth_band_is_twenty_percent() -> None:
    """T10: as above."""
    assert read_bands(["brown", "black", "red"]).tolerance_percent == 20


@pytest.mark.parametrize("colour", ["orange", "yellow", "grey"])
def test_a_tolerance_on_which_pages_disagree_is_ambiguous(colour: str) -> None:
    """T10: pages disagree on orange, yellow and grey; violet's 0.1 % is solid."""
    with pytest.raises(BadInput) as asked:
        read_bands(["brown", "black", "red", colour])
    assert (asked.value.code, asked.value.facts["resistance_ohm"]) == ("ambiguous", 1000)


@pytest.mark.parametrize(
    ("colour", "ppm_k"),
    [("black", 250), ("brown", 100), ("red", 50), ("orange", 15), ("yellow", 25), ("green", 20), ("blue", 10),
     ("violet", 5), ("grey", 1)],
)  # fmt: skip
def test_the_sixth_band_is_the_temperature_coefficient(colour: str, ppm_k: int) -> None:
    """From memory, and as at resistorcolorcodes.org/chart."""
    assert read_bands(["brown", "black", "black", "brown", "brown", colour]).drift_ppm_k == ppm_k


def test_the_limits_of_a_colour_code() -> None:
    """MK-19: arithmetic; 22 kΩ ± 5 %."""
    assert read_bands(["red", "red", "orange", "gold"]).limits_ohm == (20_900, 23_100)


@pytest.mark.parametrize(("code", "ohms"), [("01C", 10_000), ("68X", 49.9), ("96A", 976), ("30B", 2000)])
def test_eia_96_marks(code: str, ohms: float) -> None:
    """MK-20: digits are places in E96; letters as at developer.wildernesslabs.co, Components/Resistors/Reading."""
    assert read_digit_code(code, Convention.EIA_96).value == ohms


@pytest.mark.parametrize("row", VOLTAGES, ids=lambda row: row["two_char_code"])
def test_voltage_codes_of_two_characters(row: dict[str, str]) -> None:
    """MK-21: Samwha, part-number system."""
    assert voltage_of_code(row["two_char_code"]) == float(row["rated_V"])


def test_there_are_no_voltage_codes_but_those_of_the_sheet() -> None:
    """MK-21: twenty-one."""
    assert {row["two_char_code"] for row in VOLTAGES} == set(TWO_CHARACTERS_V)
    assert len(VOLTAGES) == 21


@pytest.mark.parametrize(
    "row", [row for row in VOLTAGES if row["can_letter_nichicon_CD"]], ids=lambda row: row["can_letter_nichicon_CD"]
)
def test_letters_on_smd_cans(row: dict[str, str]) -> None:
    """MK-22: nichicon, CD series."""
    assert voltage_of_can_letter(row["can_letter_nichicon_CD"]) == float(row["rated_V"])


@pytest.mark.parametrize(
    ("code", "microfarads"), [("474", 0.47), ("475", 4.7), ("476", 47), ("477", 470), ("478", 4700), ("479", 47_000)]
)
def test_part_numbers_that_count_picofarads(code: str, microfarads: float) -> None:
    """MK-23: Samwha, where the last digit is a power of ten up to 9."""
    read = electrolytic_capacitance(code, Convention.PART_NUMBER_PF)
    assert read.value == pytest.approx(microfarads * 1e-6, rel=1e-12)


@pytest.mark.parametrize(
    ("code", "microfarads"),
    [("1R5", 1.5), ("4R7", 4.7), ("100", 10), ("101", 100), ("471", 470), ("102", 1000), ("472", 4700),
     ("103", 10_000)],
)  # fmt: skip
def test_part_numbers_that_count_microfarads(code: str, microfarads: float) -> None:
    """MK-24: Panasonic, "Explanation of part numbers"."""
    read = electrolytic_capacitance(code, Convention.PART_NUMBER_UF)
    assert read.value == pytest.approx(microfarads * 1e-6, rel=1e-12)


def test_the_same_capacitance_has_two_codes_and_an_open_code_asks() -> None:
    """T2: 477 (Samwha) and 471 (Panasonic) are both 470 µF; 104 may be 0.1 µF or 100 000 µF."""
    assert electrolytic_capacitance("477").value == electrolytic_capacitance("471").value == pytest.approx(470e-6)
    with pytest.raises(BadInput) as asked:
        electrolytic_capacitance("104")
    assert asked.value.code == "ambiguous"
    readings = asked.value.facts["readings"]
    assert isinstance(readings, tuple)
    assert [each.value for each in readings] == pytest.approx([1e-7, 0.1])


@pytest.mark.parametrize("row", SIZES, ids=lambda row: f"{row['D_mm']}x{row['L_mm']}")
def test_smd_cans_have_the_makers_sizes(row: dict[str, str]) -> None:
    """MK-25: nichicon, CD series; the table's own figures, themselves ± 0.2 mm as printed."""
    can = can_of(float(row["D_mm"]), float(row["L_mm"]))
    printed = tuple(float(row[name]) for name in ("A_mm", "B_mm", "C_mm", "E_mm"))
    assert (can.terminal_mm, can.base_width_mm, can.base_depth_mm, can.gap_mm) == printed
    assert can.terminal_width_mm == tuple(map(float, row["H_mm"].split("-")))


def test_there_are_no_cans_but_those_of_the_sheet() -> None:
    """MK-25: twelve."""
    assert {(float(row["D_mm"]), float(row["L_mm"])) for row in SIZES} == {
        (can.diameter_mm, can.length_mm) for can in CANS
    }
    assert len(SIZES) == len(CANS) == 12


@pytest.mark.parametrize(
    ("letter", "diameter_mm", "length_mm"),
    [("B", 4, 5.8), ("C", 5, 5.8), ("D", 6.3, 5.8), ("E", 8, 6.2), ("F", 8, 10.2), ("G", 10, 10.2)],
)
def test_size_letters(letter: str, diameter_mm: float, length_mm: float) -> None:
    """MK-26: Panasonic, from memory."""
    assert SIZE_LETTERS[letter] == (diameter_mm, length_mm)
