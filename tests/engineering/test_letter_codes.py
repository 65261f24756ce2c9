"""Letter codes of IEC 60062, both ways."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput
from shop.engineering.letter_codes import Quantity, read_letter_code, write_letter_code
from shop.engineering.preferred import Series
from shop.engineering.tolerances import tolerance_of
from tests.engineering.outcome import outcome

any_float = st.floats(allow_nan=True, allow_infinity=True)


@pytest.mark.parametrize(
    "code",
    ["", "R", "4", "6V3K", "4X7", "R4K7", "-4K7", "12345K", "٤K٧", "4K7JJ", "nan", "4K7A", "4P7", "0n", "0p0", "0V",
     "4.7K", "1e3R"],
)  # fmt: skip
def test_what_is_no_letter_code_is_refused(code: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_letter_code(code)
    assert (refused.value.code, refused.value.name) == ("unreadable", "code")


@pytest.mark.parametrize(
    ("code", "value"),
    [("L50", 0.5e-3), ("5L6", 5.6e-3), ("1G5", 1.5e9), ("2T2", 2.2e12), ("4k7", 4700), ("47Ω", 47), ("4k7Ω", 4700),
     ("47R", 47), (" 4K7 J ", 4700), ("47\N{OHM SIGN}", 47)],
)  # fmt: skip
def test_resistances_are_read_as_they_are_typed(code: str, value: float) -> None:
    assert (read_letter_code(code).quantity, read_letter_code(code).value) == (Quantity.RESISTANCE, value)


@pytest.mark.parametrize("code", ["4u7", "4µ7", "4\N{GREEK SMALL LETTER MU}7"])
def test_the_micro_sign_may_be_typed_three_ways(code: str) -> None:
    assert (read_letter_code(code).quantity, read_letter_code(code).value) == (Quantity.CAPACITANCE, 4.7e-6)


def test_a_capital_m_is_mega_and_a_small_one_milli() -> None:
    assert (read_letter_code("2M2").quantity, read_letter_code("2M2").value) == (Quantity.RESISTANCE, 2.2e6)
    assert (read_letter_code("2m2").quantity, read_letter_code("2m2").value) == (Quantity.CAPACITANCE, 2.2e-3)


def test_a_tolerance_letter_may_follow() -> None:
    assert read_letter_code("4K7J").tolerance == tolerance_of("J")
    assert read_letter_code("4n7F").tolerance == tolerance_of("F")
    assert read_letter_code("4K7").tolerance is None


def test_the_tolerance_of_a_small_capacitor_is_in_picofarads() -> None:
    small = read_letter_code("4p7C").tolerance
    assert small is not None
    assert small.limits(4.7e-12) == pytest.approx((4.45e-12, 4.95e-12))


def test_a_disputed_tolerance_letter_does_not_withhold_the_value() -> None:
    read = read_letter_code("4K7H")
    assert (read.value, read.tolerance) == (4700, None)
    assert [each.code for each in read.remarks] == ["tolerance_disputed"]


@pytest.mark.parametrize(("code", "value"), [("100nF", 100e-9), ("10pF", 10e-12), ("220µF", 220e-6), ("10 mF", 10e-3)])
def test_a_last_f_after_the_prefix_is_the_unit_and_is_said_to_be(code: str, value: float) -> None:
    read = read_letter_code(code)
    assert (read.value, read.tolerance) == (value, None)
    assert [each.code for each in read.remarks] == ["unit_or_tolerance"]


@pytest.mark.parametrize("code", ["0R", "R0", "0K0"])
def test_no_ohms_are_a_link(code: str) -> None:
    assert read_letter_code(code).value == 0
    assert [each.code for each in read_letter_code(code).remarks] == ["zero_ohm_link"]


@given(st.sampled_from(Series.E96.hundreds), st.integers(-3, 12), st.sampled_from([3, 4]))
def test_a_resistance_that_is_written_is_read_back(hundred: int, power: int, digits: int) -> None:
    value = float(f"{hundred}e{power - 2}")
    read = read_letter_code(write_letter_code(value, Quantity.RESISTANCE, digits))
    assert read.quantity is Quantity.RESISTANCE
    assert read.value == pytest.approx(value, rel=1e-12)


@given(st.sampled_from(Series.E24.hundreds), st.integers(-13, 0), st.sampled_from([2, 3, 4]))
def test_a_capacitance_that_is_written_is_read_back(hundred: int, power: int, digits: int) -> None:
    value = float(f"{hundred}e{power - 2}")
    read = read_letter_code(write_letter_code(value, Quantity.CAPACITANCE, digits))
    assert read.quantity is Quantity.CAPACITANCE
    assert read.value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("value", "digits", "code"),
    [(4700, 2, "4K7"), (0.47, 2, "R47"), (47_300, 3, "47K3"), (100, 2, "100R"), (1e6, 1, "1M"), (0.005, 1, "5L"),
     (999.9, 2, "1K0"), (680e3, 2, "680K"), (0.047, 2, "47L"), (9.99e12, 3, "9T99")],
)  # fmt: skip
def test_resistances_look_as_the_trade_writes_them(value: float, digits: int, code: str) -> None:
    assert write_letter_code(value, Quantity.RESISTANCE, digits) == code


@pytest.mark.parametrize(
    ("value", "digits", "code"),
    [(4.7e-9, 2, "4n7"), (1e-13, 2, "p10"), (10e-12, 2, "10p"), (1e-6, 2, "1µ0"), (3.32e-11, 3, "33p2"), (1, 1, "1F")],
)
def test_capacitances_look_as_the_trade_writes_them(value: float, digits: int, code: str) -> None:
    assert write_letter_code(value, Quantity.CAPACITANCE, digits) == code


@given(any_float, st.sampled_from([Quantity.RESISTANCE, Quantity.CAPACITANCE]), st.integers(-2, 7))
def test_writing_rounds_to_the_digits_or_refuses(value: float, quantity: Quantity, digits: int) -> None:
    code = outcome(lambda: write_letter_code(value, quantity, digits))
    if isinstance(code, BadInput):
        assert code.name in ("value", "digits")
    else:
        assert read_letter_code(code).value == pytest.approx(float(f"{value:.{digits - 1}e}"), rel=1e-12)


@pytest.mark.parametrize("value", [0.0, -1.0, 0.0009, 1e13, math.nan, math.inf])
def test_a_resistance_out_of_range_is_not_written(value: float) -> None:
    with pytest.raises(BadInput) as refused:
        write_letter_code(value, Quantity.RESISTANCE)
    assert refused.value.name == "value"


def test_a_voltage_is_not_written() -> None:
    with pytest.raises(BadInput) as refused:
        write_letter_code(6.3, Quantity.VOLTAGE)
    assert (refused.value.code, refused.value.name) == ("not_one_of", "quantity")


@given(st.text(max_size=7) | st.from_regex(r"[0-9]{0,4}[LRKMGTpnuµmFVkΩ][0-9]{0,4}[A-Z]?", fullmatch=True))
def test_no_text_breaks_the_reader(code: str) -> None:
    read = outcome(lambda: read_letter_code(code))
    if isinstance(read, BadInput):
        assert (read.code, read.name) == ("unreadable", "code")
    else:
        assert 0 <= read.value < 1e17
