"""Preferred values and component marks against published figures."""

import csv
from pathlib import Path

import eseries
import pytest

from shop.engineering.colour_code import read_bands
from shop.engineering.digit_codes import Convention, digit_readings, electrolytic_capacitance, read_digit_code
from shop.engineering.inputs import BadInput
from shop.engineering.letter_codes import Quantity, read_letter_code
from shop.engineering.preferred import Series, nearest, rated_voltage_at_least, series_with
from shop.engineering.smd_cans import CANS, SIZE_LETTERS, can_of
from shop.engineering.tolerances import tolerance_of, tolerance_readings
from shop.engineering.voltage_codes import CAN_LETTERS_V, TWO_CHARACTERS_V

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_the_series_are_those_of_iec_60063() -> None:
    """MK-01 to MK-04, T1: IEC 60063:2015, by way of eseries 1.2.1: 381 values."""
    published: dict[str, list[float]] = {}
    for row in rows("e_series.csv"):
        published.setdefault(row["series"], []).append(float(row["published_value"]) * 10 ** (3 - int(row["digits"])))
    assert {name: list(map(float, Series(name).hundreds)) for name in published} == published
    assert sum(map(len, published.values())) == 381
    assert [len(Series(name).hundreds) for name in Series] == [3, 6, 12, 24, 48, 96, 192]
    assert Series.E192.hundreds[185] == 920


def test_coarse_series_lie_in_finer_ones_but_not_e24_in_e192() -> None:
    """MK-01 and T1: thirteen values of E24 are in no finer series."""
    sets = {each: set(each.hundreds) for each in Series}
    assert sets[Series.E3] < sets[Series.E6] < sets[Series.E12] < sets[Series.E24]
    assert sets[Series.E48] < sets[Series.E96] < sets[Series.E192]
    assert sorted(sets[Series.E24] - sets[Series.E192]) == [
        220, 270, 300, 330, 360, 390, 430, 510, 560, 620, 680, 820, 910,
    ]  # fmt: skip
    assert series_with(0.0002) == (Series.E24, Series.E96, Series.E192)


def test_the_series_have_the_tolerances_they_are_made_for() -> None:
    """MK-07: eseries 1.2.1; that E3 means over 20 % is from memory."""
    assert [each.tolerance_percent for each in Series] == [40, 20, 10, 5, 2, 1, 0.5]


@pytest.mark.parametrize("value", [1.0, 3.16, 4.6, 9.75, 9.99, 0.00123, 47e-6, 919.4, 8.2e7])
@pytest.mark.parametrize("series", list(Series))
def test_the_nearest_value_is_that_of_eseries_or_nearer_by_ratio(value: float, series: Series) -> None:
    """An oracle of the registry: eseries 1.2.1, which measures nearness by difference; ours by ratio."""
    theirs = eseries.find_nearest(eseries.ESeries[series.value], value)
    ours = nearest(value, series).value
    assert max(ours / value, value / ours) <= max(theirs / value, value / theirs) * (1 + 1e-9)


@pytest.mark.parametrize(
    ("code", "ohms"),
    [("R47", 0.47), ("4R7", 4.7), ("470R", 470), ("4K7", 4700), ("47K", 47e3), ("47K3", 47.3e3), ("470K", 470e3),
     ("4M7", 4.7e6)],
)  # fmt: skip
def test_letter_codes_of_resistors(code: str, ohms: float) -> None:
    """MK-08: IEC 60062:2016 examples."""
    assert (read_letter_code(code).quantity, read_letter_code(code).value) == (Quantity.RESISTANCE, ohms)


@pytest.mark.parametrize(
    ("code", "farads"),
    [("4p7", 4.7e-12), ("33p2", 3.32e-11), ("4n7", 4.7e-9), ("4µ7", 4.7e-6), ("2m2", 2.2e-3), ("p10", 1e-13),
     ("10p", 1e-11), ("1µ0", 1e-6)],
)  # fmt: skip
def test_letter_codes_of_capacitors(code: str, farads: float) -> None:
    """MK-10: IEC 60062, rkm-codes 1.0."""
    assert (read_letter_code(code).quantity, read_letter_code(code).value) == (Quantity.CAPACITANCE, farads)


def test_six_v_three_is_a_voltage_and_nothing_else() -> None:
    """MK-11: a habit of the trade, not in IEC 60062."""
    assert (read_letter_code("6V3").quantity, read_letter_code("6V3").value) == (Quantity.VOLTAGE, 6.3)


@pytest.mark.parametrize(
    ("code", "farads"), [("103", 10e-9), ("104", 100e-9), ("223", 22e-9), ("102", 1e-9), ("479", 4.7e-12)]
)
def test_three_digits_count_picofarads(code: str, farads: float) -> None:
    """MK-12: sharpdev.tools capacitor-code; that a last 9 divides by ten is from memory."""
    assert read_digit_code(code, Convention.PICOFARADS).value == pytest.approx(farads, rel=1e-12)


def test_tolerance_letters_above_ten_picofarads() -> None:
    """MK-13: dummies.com electronics-capacitor-tolerance-code."""
    either = {letter: tolerance_of(letter) for letter in "FGJKMZ"}
    assert {letter: (each.below_percent, each.above_percent) for letter, each in either.items()} == {
        "F": (1, 1), "G": (2, 2), "J": (5, 5), "K": (10, 10), "M": (20, 20), "Z": (20, 80),
    }  # fmt: skip
    assert not any(each.from_memory for each in either.values())


def test_other_tolerance_letters_are_from_memory_and_the_disputed_ones_ask() -> None:
    """MK-15: IEC 60062's table, from memory."""
    assert {letter: tolerance_of(letter).above_percent for letter in "WPN"} == {"W": 0.05, "P": 0.02, "N": 30}
    assert [(each.below_percent, each.above_percent) for letter in "QST" for each in tolerance_readings(letter)] == [
        (10, 30), (20, 50), (10, 50),
    ]  # fmt: skip
    assert {tolerance_readings(letter)[0].above_percent for letter in "ELH"} == {0.005, 0.01, 3}
    for letter in "ELH":
        with pytest.raises(BadInput, match="ambiguous"):
            tolerance_of(letter)


def test_colours_count_digits_multipliers_and_tolerances() -> None:
    """MK-16, MK-17 and T10: resistorcolorcodes.org/chart."""
    digits = ["black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white"]
    multiplied = {
        name: read_bands(["brown", "black", name]).resistance_ohm / 10 for name in [*digits, "gold", "silver"]
    }
    assert multiplied == pytest.approx({name: 10.0**place for place, name in enumerate(digits)} | {
        "gold": 0.1, "silver": 0.01,
    })  # fmt: skip
    assert read_bands(["brown", "black", "pink"]).resistance_ohm == pytest.approx(0.01)
    for name, percent in {
        "brown": 1, "red": 2, "green": 0.5, "blue": 0.25, "violet": 0.1, "gold": 5, "silver": 10,
    }.items():  # fmt: skip
        assert read_bands(["brown", "black", "red", name]).tolerance_percent == percent
    assert read_bands(["brown", "black", "red"]).tolerance_percent == 20
    for disputed in ("orange", "yellow", "grey", "white"):
        with pytest.raises(BadInput):
            read_bands(["white", "black", "red", disputed])


def test_the_limits_of_a_colour_code() -> None:
    """MK-19: arithmetic; 22 kΩ ± 5 %."""
    assert read_bands(["red", "red", "orange", "gold"]).limits_ohm == pytest.approx((20_900, 23_100))


@pytest.mark.parametrize(("code", "ohms"), [("01C", 10_000), ("68X", 49.9), ("96A", 976), ("30B", 2000)])
def test_eia_96_marks(code: str, ohms: float) -> None:
    """MK-20: digits are places in E96; the letters are from memory."""
    assert read_digit_code(code, Convention.EIA_96).value == pytest.approx(ohms)


def test_voltage_codes_are_those_of_the_makers_sheets() -> None:
    """MK-21 (Samwha, all that are in the data) and MK-22 (nichicon CD, the letter on the can)."""
    listed = rows("electrolytic_voltage_codes.csv")
    assert {row["two_char_code"]: float(row["rated_V"]) for row in listed} == TWO_CHARACTERS_V
    letters = {row["can_letter_nichicon_CD"]: float(row["rated_V"]) for row in listed if row["can_letter_nichicon_CD"]}
    assert letters == CAN_LETTERS_V


@pytest.mark.parametrize(
    ("code", "microfarads"), [("474", 0.47), ("475", 4.7), ("476", 47), ("477", 470), ("478", 4700), ("479", 47_000)]
)
def test_part_numbers_that_count_picofarads(code: str, microfarads: float) -> None:
    """MK-23: Samwha, where the last digit is a power of ten up to 9."""
    assert electrolytic_capacitance(code, Convention.PART_NUMBER_PF).value == pytest.approx(microfarads * 1e-6)


@pytest.mark.parametrize(
    ("code", "microfarads"),
    [
        ("1R5", 1.5),
        ("4R7", 4.7),
        ("100", 10),
        ("101", 100),
        ("471", 470),
        ("102", 1000),
        ("472", 4700),
        ("103", 10_000),
    ],
)
def test_part_numbers_that_count_microfarads(code: str, microfarads: float) -> None:
    """MK-24: Panasonic, "Explanation of part numbers"."""
    assert electrolytic_capacitance(code, Convention.PART_NUMBER_UF).value == pytest.approx(microfarads * 1e-6)


def test_the_same_capacitance_has_two_codes_and_an_open_code_asks() -> None:
    """T2: 477 (Samwha) and 471 (Panasonic) are both 470 µF; 104 may be 0.1 µF or 100 000 µF."""
    assert electrolytic_capacitance("477").value == electrolytic_capacitance("471").value == pytest.approx(470e-6)
    with pytest.raises(BadInput, match="ambiguous") as asked:
        electrolytic_capacitance("104")
    assert [reading.value for reading in asked.value.facts["readings"]] == pytest.approx([1e-7, 0.1])  # type: ignore[attr-defined]
    assert {reading.convention for reading in digit_readings("104")} >= {Convention.OHMS, Convention.PICOFARADS}


def test_smd_cans_have_the_makers_sizes() -> None:
    """MK-25: nichicon CD, twelve sizes, ± 0.2 mm as printed."""
    listed = rows("smd_can_sizes.csv")
    assert len(listed) == len(CANS) == 12
    for row in listed:
        can = can_of(float(row["D_mm"]), float(row["L_mm"]))
        assert (can.terminal_mm, can.base_width_mm, can.base_depth_mm, can.gap_mm) == tuple(
            float(row[name]) for name in ("A_mm", "B_mm", "C_mm", "E_mm")
        )


def test_size_letters_are_from_memory() -> None:
    """MK-26: Panasonic, from memory."""
    assert SIZE_LETTERS == {
        "B": (4, 5.8), "C": (5, 5.8), "D": (6.3, 5.8), "E": (8, 6.2), "F": (8, 10.2), "G": (10, 10.2),
    }  # fmt: skip


def test_rated_voltages_step_up() -> None:
    """MK-27: IEC 60384-4, from memory; 6 V is met by 6.3 V."""
    assert rated_voltage_at_least(6) == 6.3
    steps = [4, 6.3, 10, 16, 25, 35, 50, 63, 80, 100]
    assert [rated_voltage_at_least(volts) for volts in steps] == steps
