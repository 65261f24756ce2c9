"""Designators, and what is guessed from them and from the words of layout programs."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.boards.designators import DESIGNATOR, kinds_of, letters, natural_key, tidy
from shop.boards.guesses import (
    guess_kind,
    guess_mount,
    read_value,
    read_volts,
    size_of,
    split_rating,
)
from shop.boards.spots import Kind, Mount

names = st.builds(
    lambda head, number, tail: f"{head}{number}{tail}",
    st.text("ABCDQRUXZ", min_size=1, max_size=4),
    st.integers(0, 9999),
    st.sampled_from(("", "A", "F", "-1", "-12")),
)


@pytest.mark.parametrize("name", ["C1", "R1204", "U3A", "VR2", "J1-2", "CONN12", "ABCD1234567B"])
def test_it_knows_a_designator(name: str) -> None:
    assert DESIGNATOR.match(name)


@pytest.mark.parametrize(
    "name", ["", "C", "12", "c1", "C 1", "C1\n", "REF**", "ABCDE1", "C1AB", "C1-", "C1-A", "ABCD12345678B", "Ç1", "C١"]
)
def test_it_knows_what_is_no_designator(name: str) -> None:
    assert not DESIGNATOR.match(name)


@given(st.text())
def test_it_tidies_once_and_for_all(text: str) -> None:
    tidied = tidy(text)
    assert tidy(tidied) == tidied
    assert not any(letter.isspace() for letter in tidied)


def test_it_takes_blanks_out_and_makes_capitals() -> None:
    assert tidy(" c\t12 a") == "C12A"
    assert letters(" vr 3") == "VR"
    assert letters("3") == ""


@given(names)
def test_it_knows_every_designator_it_could_have_built(name: str) -> None:
    assert DESIGNATOR.match(name)
    assert name.startswith(letters(name))
    assert name[len(letters(name))].isdigit()


def test_it_sorts_as_people_do() -> None:
    mixed = ["R2", "C10", "J1-10", "C2A", "C2", "J1-2", "C1", "R10"]
    assert sorted(mixed, key=natural_key) == ["C1", "C2", "C2A", "C10", "J1-2", "J1-10", "R2", "R10"]


@given(st.text("ABC", min_size=1, max_size=4), st.integers(0, 10**30), st.integers(0, 10**30))
def test_it_sorts_numbers_by_size_however_long(head: str, one: int, two: int) -> None:
    assert (natural_key(f"{head}{one}") < natural_key(f"{head}{two}")) == (one < two)


def test_it_sorts_what_is_no_designator_too() -> None:
    assert sorted(["C1", "", "9", "C" + "9" * 5000], key=natural_key) == ["", "9", "C1", "C" + "9" * 5000]


def test_it_allows_every_kind_for_letters_it_does_not_know() -> None:
    assert kinds_of("QZ1") == frozenset(Kind)


def test_it_knows_letters_that_are_not_the_standards() -> None:
    assert kinds_of("IC4") == kinds_of("U4")
    assert kinds_of("SW1") == {Kind.SWITCH}
    assert Kind.CRYSTAL in kinds_of("X1")


@given(names, st.text(max_size=20), st.sampled_from(("", "CP_Elec_5x5.8", "TO-220-3", "D_SMA", "C_Rect_L7", "HC-49")))
def test_it_guesses_no_kind_that_the_letters_forbid(name: str, value: str, package: str) -> None:
    kind = guess_kind(name, value, package)
    assert kind is Kind.OTHER or kind in kinds_of(name)


@pytest.mark.parametrize(
    ("name", "value", "package", "kind"),
    [
        ("C1", "100uF", "CP_Radial_D8.0mm_P3.50mm", Kind.ELECTROLYTIC),
        ("C1", "10uF", "CAPAE660X550N", Kind.ELECTROLYTIC),
        ("C1", "10uF", "CP_EIA-3216-18", Kind.TANTALUM),
        ("C1", "100n", "C_0805_2012Metric", Kind.CERAMIC),
        ("C1", "100n", "C_Disc_D5.0mm_W2.5mm_P5.00mm", Kind.CERAMIC),
        ("C1", "100n", "C_Rect_L7.2mm_W3.5mm_P5.00mm", Kind.FILM),
        ("C1", "1u", "C_Radial_D5.0mm", Kind.CAPACITOR),
        ("C1", "", "", Kind.CAPACITOR),
        ("R1", "1k", "CP_Radial_D8.0mm", Kind.RESISTOR),
        ("Q1", "2SC1815", "TO-92", Kind.TRANSISTOR),
        ("Q1", "2N7232", "TO-220-3", Kind.TRANSISTOR),
        ("Q1", "78L05", "TO-92", Kind.REGULATOR),
        ("U1", "LM317T", "", Kind.REGULATOR),
        ("U1", "74HC00", "DIP-14", Kind.IC),
        ("X1", "3.579 MHz", "", Kind.CRYSTAL),
        ("X1", "", "HC-49/U", Kind.CRYSTAL),
        ("X1", "DC in", "", Kind.CONNECTOR),
        ("CN1", "", "", Kind.CONNECTOR),
        ("VR1", "", "", Kind.OTHER),
        ("VR1", "7912", "", Kind.REGULATOR),
        ("T1", "", "", Kind.OTHER),
        ("DS1", "", "LED_D3.0mm", Kind.DIODE),
        ("QZ1", "", "CP_Radial_D8.0mm", Kind.ELECTROLYTIC),
        ("QZ1", "", "", Kind.OTHER),
    ],
)
def test_it_guesses_the_kind(name: str, value: str, package: str, kind: Kind) -> None:
    assert guess_kind(name, value, package) is kind


@pytest.mark.parametrize(
    "package",
    [
        "CP_Elec_6.3x5.8",
        "R_0805_2012Metric",
        "SOIC-8",
        "SO8",
        "TSSOP-20",
        "SOT-23",
        "LQFP-48",
        "D_SMA",
        "0603",
        "R1206",
        "PinHeader_1x04_Vertical_SMD",
        "D_DO-214AC",
    ],
)
def test_it_knows_what_lies_on_the_board(package: str) -> None:
    assert guess_mount(package) is Mount.SURFACE


@pytest.mark.parametrize(
    "package",
    [
        "",
        "CP_Radial_D8.0mm_P3.50mm",
        "TO-220-3_Vertical",
        "TO-92",
        "DIP-8",
        "PDIP-16",
        "PLCC-44_THT-Socket",
        "DIN0207",
        "D_DO-35_SOD27",
    ],
)
def test_it_knows_what_goes_through_the_board(package: str) -> None:
    assert guess_mount(package) is Mount.THROUGH


@pytest.mark.parametrize(
    ("package", "size"),
    [
        ("CP_Radial_D8.0mm_P3.50mm", (8.0, 8.0)),
        ("CP_Elec_6.3x5.8", (6.3, 6.3)),
        ("C_Disc_D5.0mm_W2.5mm_P5.00mm", (5.0, 2.5)),
        ("C_Rect_L7.2mm_W3.5mm_P5.00mm", (7.2, 3.5)),
        ("R_Axial_DIN0207_L6.3mm_D2.5mm_P10.16mm_Horizontal", (6.3, 2.5)),
        ("R_0805_2012Metric", (2.0, 1.2)),
        ("SOIC-8_3.9x4.9mm_P1.27mm", (3.9, 4.9)),
        ("DIP-8_W7.62mm", (None, None)),
        ("", (None, None)),
    ],
)
def test_it_takes_the_size_from_the_name(package: str, size: tuple[float | None, float | None]) -> None:
    assert size_of(package) == size


@pytest.mark.parametrize(
    ("cell", "value", "rating"),
    [
        ("100uF/25V", "100 µF", "25 V"),
        ("470u 16V", "470u", "16 V"),
        ("100µF", "100 µF", ""),
        ("100\N{GREEK SMALL LETTER MU}F, 6,3V", "100 µF", "6.3 V"),
        ("4,7UF 63v", "4.7 µF", "63 V"),
        ("100MFD 50VDC", "100 µF", "50VDC"),
        ("10kohm", "10 kΩ", ""),
        ("10 K\N{OHM SIGN}", "10 kΩ", ""),
        ("10k 1/4W", "10k", "1/4W"),
        ("100n X7R 50V", "100n X7R", "50 V"),
        ("4,7V", "4.7 V", ""),
        ("BZX 5V1", "BZX 5V1", ""),
        ("74HC00", "74HC00", ""),
        ("", "", ""),
    ],
)
def test_it_takes_value_and_rating_apart(cell: str, value: str, rating: str) -> None:
    assert split_rating(cell) == (value, rating)


@given(st.text("0123456789 ,./ukµFVWRn", max_size=30))
def test_it_takes_off_nothing_but_volts_and_watts(cell: str) -> None:
    value, rating = split_rating(cell)
    assert not rating or rating.endswith("W") or read_volts(rating) is not None
    assert value or not cell.strip()


@given(st.integers(1, 999), st.sampled_from(("pF", "nF", "µF")), st.integers(1, 999))
def test_it_reads_its_own_normal_form_back(number: int, unit: str, volts: int) -> None:
    normal = (f"{number} {unit}", f"{volts} V")
    assert split_rating("/".join(normal)) == normal
    assert split_rating(" ".join(normal)) == normal
    power = {"pF": -12, "nF": -9, "µF": -6}[unit]
    assert read_value(normal[0]) == (float(f"{number}e{power}"), "F")
    assert read_volts(normal[1]) == volts


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("4k7", (4700.0, "Ω")),
        ("2R2", (2.2, "Ω")),
        ("R47", (0.47, "Ω")),
        ("0R", (0.0, "Ω")),
        ("0.1u", (1e-7, "")),
        ("100n", (1e-7, "")),
        ("100 µF", (1e-4, "F")),
        ("4n7", (4.7e-9, "F")),
        ("0,22 uF", (2.2e-7, "F")),
        ("100MFD", (1e-4, "F")),
        ("10 kΩ", (1e4, "Ω")),
        ("10 Kohm", (1e4, "Ω")),
        ("1M", (1e6, "")),
        ("10 mH", (0.01, "H")),
        ("5V1", (5.1, "V")),
        (".5", (0.5, "")),
        ("470", (470.0, "")),
        ("470u 16V", None),
        ("8 MHz", None),
        ("-5", None),
        ("NE555", None),
        ("", None),
        ("1" * 5000, None),
    ],
)
def test_it_reads_a_value(text: str, value: tuple[float, str] | None) -> None:
    assert read_value(text) == value


@pytest.mark.parametrize(
    ("text", "volts"),
    [
        ("25", 25),
        ("25 V", 25),
        ("6,3V", 6.3),
        ("6V3", 6.3),
        ("250 VAC", 250),
        ("275V~", 275),
        ("1 kV", 1000),
        ("-5 V", -5),
        ("0V", 0),
        ("1/4W", None),
        ("10M", None),
        ("1J", None),
        ("nan", None),
        ("", None),
    ],
)
def test_it_reads_volts(text: str, volts: float | None) -> None:
    assert read_volts(text) == volts
