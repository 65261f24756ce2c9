"""Digit codes: one code by several conventions."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.digit_codes import Convention, digit_readings, electrolytic_capacitance, read_digit_code
from shop.engineering.inputs import BadInput
from shop.engineering.tolerances import tolerance_of
from tests.engineering.outcome import outcome

any_convention = st.sampled_from(Convention)
any_code = st.text(max_size=6) | st.from_regex(r"[0-9]{0,5}[.R]?[0-9]{0,3}[A-Z]?", fullmatch=True)


@pytest.mark.parametrize(
    ("code", "convention", "value"),
    [
        ("4R7", Convention.OHMS, 4.7),
        ("R47", Convention.OHMS, 0.47),
        ("47R", Convention.OHMS, 47),
        ("1002", Convention.OHMS, 10_000),
        ("104", Convention.OHMS, 100_000),
        ("479", Convention.OHMS, 4.7),
        ("104", Convention.PICOFARADS, 100e-9),
        ("4R7", Convention.PICOFARADS, 4.7e-12),
        ("478", Convention.PICOFARADS, 0.47e-12),
        ("1002", Convention.PICOFARADS, 10e-9),
        ("478", Convention.PART_NUMBER_PF, 4700e-6),
        ("R47", Convention.PART_NUMBER_UF, 0.47e-6),
        ("01Y", Convention.EIA_96, 1),
        ("01R", Convention.EIA_96, 1),
        ("01F", Convention.EIA_96, 10e6),
    ],
)
def test_a_code_is_read_as_the_convention_says(code: str, convention: Convention, value: float) -> None:
    assert read_digit_code(code, convention).value == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("code", "convention"),
    [
        *((code, Convention.EIA_96) for code in ("97A", "00A", "01Q", "1A", "R", "001A")),
        *((code, Convention.OHMS) for code in ("", "R", "47", "12345", "4.7", "-100", "٤٧١", "100V", "1R2R3")),
        *((code, Convention.PICOFARADS) for code in ("000", "47R", "R", "4K7", "0R0")),
    ],
)
def test_what_the_convention_does_not_have_is_unreadable(code: str, convention: Convention) -> None:
    with pytest.raises(BadInput) as refused:
        read_digit_code(code, convention)
    assert (refused.value.code, refused.value.name) == ("unreadable", "code")


@pytest.mark.parametrize("code", ["0", "00", "000", "0000"])
def test_only_noughts_on_a_resistor_are_a_link(code: str) -> None:
    (read,) = digit_readings(code)
    assert (read.value, read.convention) == (0, Convention.OHMS)
    assert [each.code for each in read.remarks] == ["zero_ohm_link"]


def test_a_tolerance_letter_may_follow_the_digits() -> None:
    assert read_digit_code("104K", Convention.PICOFARADS).tolerance == tolerance_of("K")
    assert read_digit_code("103J", Convention.OHMS).tolerance == tolerance_of("J")
    assert read_digit_code("227M", Convention.PART_NUMBER_PF).tolerance == tolerance_of("M")
    assert read_digit_code("104", Convention.PICOFARADS).tolerance is None


def test_an_f_is_a_picofarad_on_a_small_capacitor_and_a_percent_elsewhere() -> None:
    small, large = (read_digit_code(code, Convention.PICOFARADS).tolerance for code in ("100F", "101F"))
    assert small is not None
    assert large is not None
    assert (small.farads, large.farads, large.above_percent) == (1e-12, None, 1)


def test_eia_96_is_of_one_percent() -> None:
    assert read_digit_code("01C", Convention.EIA_96).tolerance == tolerance_of("F")


def test_a_disputed_tolerance_letter_does_not_withhold_the_value() -> None:
    read = read_digit_code("104P", Convention.PICOFARADS)
    assert read.value == 1e-7
    assert read.tolerance is None
    assert [each.code for each in read.remarks] == ["tolerance_disputed"]


@pytest.mark.parametrize(("code", "factor"), [("479", 0.1), ("478", 0.01)])
def test_a_last_digit_that_divides_is_said_to_be_from_memory(code: str, factor: float) -> None:
    (remark,) = read_digit_code(code, Convention.PICOFARADS).remarks
    assert (remark.code, remark.facts["factor"]) == ("multiplier_from_memory", pytest.approx(factor))


@pytest.mark.parametrize(
    ("code", "convention"),
    [("478", Convention.OHMS), ("999", Convention.PART_NUMBER_UF), ("101", Convention.PART_NUMBER_PF)],
)
def test_a_value_that_no_part_has_is_said_to_be_unusual(code: str, convention: Convention) -> None:
    (remark,) = read_digit_code(code, convention).remarks
    assert remark.code == "unusual_value"


def readings(code: str) -> dict[Convention, float]:
    return {each.convention: each.value for each in digit_readings(code)}


def test_a_hundred_is_read_by_every_convention_that_has_it() -> None:
    assert readings("100") == pytest.approx(
        {
            Convention.OHMS: 10,
            Convention.PICOFARADS: 10e-12,
            Convention.PART_NUMBER_UF: 10e-6,
        }
    )


def test_panasonics_code_is_other_values_elsewhere() -> None:
    assert readings("471") == pytest.approx(
        {Convention.OHMS: 470, Convention.PICOFARADS: 470e-12, Convention.PART_NUMBER_UF: 470e-6}
    )


def test_a_reading_that_no_part_has_is_left_out() -> None:
    assert readings("477") == pytest.approx({Convention.PICOFARADS: 470e-6, Convention.PART_NUMBER_PF: 470e-6})
    with pytest.raises(BadInput, match="unreadable"):
        digit_readings("477", (Convention.OHMS,))


def test_a_convention_of_resistors_reads_no_capacitor() -> None:
    for convention in (Convention.OHMS, Convention.EIA_96):
        with pytest.raises(BadInput) as refused:
            electrolytic_capacitance("01C", convention)
        assert (refused.value.code, refused.value.name) == ("not_one_of", "convention")


@given(any_code, any_convention)
def test_no_text_breaks_a_reader(code: str, convention: Convention) -> None:
    read = outcome(lambda: read_digit_code(code, convention))
    if isinstance(read, BadInput):
        assert (read.code, read.name) == ("unreadable", "code")
    else:
        assert math.isfinite(read.value)
        assert read.value > 0 or read.convention is Convention.OHMS


@given(any_code)
def test_an_electrolytic_has_one_capacitance_or_the_question_is_put(code: str) -> None:
    read = outcome(lambda: electrolytic_capacitance(code))
    if isinstance(read, BadInput):
        assert read.code in ("unreadable", "ambiguous")
    else:
        assert 1e-7 <= read.value <= 0.1
