"""Component marks: both ways, and what is refused."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.colour_code import bands_for, may_be_read_both_ways, read_bands
from shop.engineering.digit_codes import Convention, digit_readings, electrolytic_capacitance, read_digit_code
from shop.engineering.inputs import BadInput
from shop.engineering.letter_codes import Quantity, read_letter_code, write_letter_code
from shop.engineering.preferred import Series, at_least, at_most, nearest, rated_voltage_at_least, series_named
from shop.engineering.smd_cans import can_of, radial_pitch_mm
from shop.engineering.tolerances import tolerance_of
from shop.engineering.voltage_codes import code_of_voltage, voltage_of_can_letter, voltage_of_code

any_float = st.floats(allow_nan=True, allow_infinity=True)
sensible = st.floats(1e-14, 1e14)


@given(sensible, st.sampled_from(Series))
def test_a_value_lies_between_its_neighbours_and_nearest_is_one_of_them(value: float, series: Series) -> None:
    low, near, high = at_most(value, series).value, nearest(value, series).value, at_least(value, series).value
    assert low <= value * (1 + 1e-9)
    assert high >= value * (1 - 1e-9)
    assert near in (low, high)


@given(st.sampled_from(Series), st.integers(0, 191), st.integers(-10, 10))
def test_every_value_of_a_series_is_its_own_nearest(series: Series, place: int, power: int) -> None:
    value = float(f"{series.hundreds[place % series.size]}e{power}")
    assert {find(value, series).value for find in (nearest, at_least, at_most)} == {value}


@pytest.mark.parametrize("value", [0.0, -1.0, math.nan, math.inf, 1e-16, 1e16])
def test_no_series_has_what_is_no_value(value: float) -> None:
    with pytest.raises(BadInput) as refused:
        nearest(value, Series.E24)
    assert refused.value.name == "value"


def test_a_series_is_found_by_name() -> None:
    assert series_named(" e24") is Series.E24
    with pytest.raises(BadInput, match="not_one_of"):
        series_named("E23")


@pytest.mark.parametrize(("volts", "rated"), [(0.1, 4), (4, 4), (4.01, 6.3), (36, 50), (450, 450)])
def test_a_rating_is_the_next_one_up(volts: float, rated: float) -> None:
    assert rated_voltage_at_least(volts) == rated


@pytest.mark.parametrize("volts", [0.0, 451.0, math.nan])
def test_beyond_the_ratings_there_is_none(volts: float) -> None:
    with pytest.raises(BadInput):
        rated_voltage_at_least(volts)


@pytest.mark.parametrize("code", ["", "R", "4", "6V3K", "4X7", "R4K7", "-4K7", "12345K", "٤K٧", "4K7JJ", "nan"])
def test_what_is_no_letter_code_is_refused(code: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_letter_code(code)
    assert (refused.value.code, refused.value.name) == ("unreadable", "code")


def test_a_tolerance_letter_may_follow() -> None:
    assert read_letter_code("4K7J").tolerance == tolerance_of("J")
    small = read_letter_code("4p7C").tolerance
    assert small is not None
    assert small.limits(4.7e-12) == pytest.approx((4.45e-12, 4.95e-12))
    with pytest.raises(BadInput, match="tolerance"):
        read_letter_code("4K7A")


@given(st.sampled_from(Series.E24.hundreds), st.integers(-2, 9))
def test_what_is_written_is_read_back(hundred: int, power: int) -> None:
    value = float(f"{hundred}e{power - 2}")
    code = write_letter_code(value, Quantity.RESISTANCE)
    assert read_letter_code(code).value == pytest.approx(value)
    farads = float(f"{hundred}e{power - 13}")
    assert read_letter_code(write_letter_code(farads, Quantity.CAPACITANCE)).value == pytest.approx(farads)


@pytest.mark.parametrize(
    ("value", "digits", "code"),
    [(4700, 2, "4K7"), (0.47, 2, "R47"), (47_300, 3, "47K3"), (100, 2, "100R"), (1e6, 1, "1M"), (0.005, 1, "5L"),
     (999.9, 2, "1K0"), (680e3, 2, "680K")],
)  # fmt: skip
def test_codes_look_as_the_trade_writes_them(value: float, digits: int, code: str) -> None:
    assert write_letter_code(value, Quantity.RESISTANCE, digits) == code


@given(any_float, st.sampled_from([Quantity.RESISTANCE, Quantity.CAPACITANCE]), st.integers(-2, 7))
def test_writing_refuses_or_writes_what_can_be_read(value: float, quantity: Quantity, digits: int) -> None:
    try:
        code = write_letter_code(value, quantity, digits)
    except BadInput:
        return
    assert read_letter_code(code).value == pytest.approx(value, rel=0.5 * 10 ** (1 - digits))


@given(st.text(max_size=6))
def test_no_text_breaks_a_reader(code: str) -> None:
    named = set()
    for read in (read_letter_code, digit_readings, electrolytic_capacitance, voltage_of_code, voltage_of_can_letter):
        try:
            read(code)  # type: ignore[operator]
        except BadInput as refused:
            named.add(refused.name)
    assert named <= {"code", "tolerance"}


def test_a_code_is_read_as_the_convention_says() -> None:
    assert read_digit_code("4R7", Convention.OHMS).value == 4.7
    assert read_digit_code("1002", Convention.OHMS).value == 10_000
    assert read_digit_code("104", Convention.OHMS).value == 100_000
    assert read_digit_code("104", Convention.PICOFARADS).value == pytest.approx(1e-7)
    for code in ("97A", "00A", "01Q", "R"):
        with pytest.raises(BadInput, match="unreadable"):
            read_digit_code(code, Convention.EIA_96)


@pytest.mark.parametrize(
    ("colours", "ohms", "percent"),
    [("yellow violet red gold", 4700, 5), ("brown black black", 10, 20), ("orange orange black brown brown", 3300, 1),
     ("Gray red gold silver", 8.2, 10), ("black", 0, 0)],
)  # fmt: skip
def test_bands_are_read(colours: str, ohms: float, percent: float) -> None:
    if ohms == 0:
        with pytest.raises(BadInput, match="out_of_range"):
            read_bands(colours.split())
        return
    read = read_bands(colours.split())
    assert (read.resistance_ohm, read.tolerance_percent) == (ohms, percent)


def test_the_sixth_band_is_the_drift() -> None:
    assert read_bands(["brown", "black", "black", "red", "brown", "red"]).drift_ppm_k == 50


def test_bands_from_the_wrong_end_are_noticed() -> None:
    with pytest.raises(BadInput, match="wrong_way_round"):
        read_bands(["gold", "red", "violet", "yellow"])
    assert may_be_read_both_ways(["brown", "black", "black", "red", "red"])
    assert not may_be_read_both_ways(["yellow", "violet", "red", "gold"])
    for colours in ("gold gold gold gold", "mauve red red red", "white black red white"):
        with pytest.raises(BadInput):
            read_bands(colours.split())


@given(st.sampled_from(Series.E96.hundreds), st.integers(-1, 10), st.sampled_from([0.1, 0.25, 0.5, 1.0, 2.0, 5.0]))
def test_bands_that_are_written_are_read_back(hundred: int, power: int, percent: float) -> None:
    ohms = float(f"{hundred}e{power - 2}")
    read = read_bands(bands_for(ohms, percent))
    assert read.resistance_ohm == pytest.approx(ohms, rel=0.05 if power < 0 else 1e-9)
    assert read.tolerance_percent == percent


@given(any_float, any_float)
def test_bands_are_refused_or_read_back(ohms: float, percent: float) -> None:
    try:
        bands = bands_for(ohms, percent)
    except BadInput:
        return
    assert read_bands(bands).resistance_ohm == pytest.approx(ohms, rel=0.06)


def test_codes_of_voltages() -> None:
    assert (voltage_of_code("1c"), voltage_of_can_letter("j"), voltage_of_can_letter("J")) == (16, 6.3, 63)
    assert code_of_voltage(6.3) == "0J"
    with pytest.raises(BadInput, match="not_one_of"):
        code_of_voltage(12)


def test_cans_are_found_by_their_size() -> None:
    assert can_of(6.2, 5.7).base_width_mm == 6.6
    with pytest.raises(BadInput, match="not_one_of"):
        can_of(7, 7)
    with pytest.raises(BadInput, match="diameter_mm"):
        can_of(math.nan, 5)


@pytest.mark.parametrize(("diameter_mm", "pitch_mm"), [(5, 2.0), (6.3, 2.5), (8, 3.5), (10, 5.0), (13, 5.0), (18, 7.5)])
def test_radial_cans_have_the_usual_pitch(diameter_mm: float, pitch_mm: float) -> None:
    assert radial_pitch_mm(diameter_mm) == pitch_mm
