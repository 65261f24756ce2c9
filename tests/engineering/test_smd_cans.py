"""SMD cans by size and by letter, and the pitch of radial cans."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput
from shop.engineering.smd_cans import CANS, SIZE_LETTERS, Can, can_of, can_of_size_letter, radial_pitch_mm
from tests.engineering.outcome import outcome

any_float = st.floats(allow_nan=True, allow_infinity=True)


@pytest.mark.parametrize("can", CANS)
def test_a_can_is_found_by_its_own_size_without_a_remark(can: Can) -> None:
    assert can_of(can.diameter_mm, can.length_mm) == can


def test_a_size_within_two_tenths_finds_the_can_and_says_that_it_is_not_the_tables() -> None:
    can = can_of(6.2, 5.6)
    assert (can.diameter_mm, can.length_mm, can.base_width_mm) == (6.3, 5.8, 6.6)
    assert [(each.code, each.facts) for each in can.remarks] == [
        ("nearest_size", {"diameter_mm": 6.2, "length_mm": 5.6})
    ]


@pytest.mark.parametrize(
    ("diameter_mm", "length_mm", "code", "name"),
    [
        (7, 7, "not_one_of", "diameter_mm"),
        (6.3, 6.5, "not_one_of", "length_mm"),
        (math.nan, 5.8, "not_finite", "diameter_mm"),
        (5, -5.8, "out_of_range", "length_mm"),
        (25, 5.8, "out_of_range", "diameter_mm"),
    ],
)
def test_an_unknown_size_is_refused_by_the_measure_that_is_wrong(
    diameter_mm: float, length_mm: float, code: str, name: str
) -> None:
    with pytest.raises(BadInput) as refused:
        can_of(diameter_mm, length_mm)
    assert (refused.value.code, refused.value.name) == (code, name)


def test_a_length_that_a_diameter_does_not_have_names_those_it_has() -> None:
    with pytest.raises(BadInput) as refused:
        can_of(10, 5.8)
    assert refused.value.facts["choices"] == (7.7, 10, 13.5)


@given(any_float, any_float)
def test_a_can_that_is_found_is_within_two_tenths_of_what_was_asked(diameter_mm: float, length_mm: float) -> None:
    can = outcome(lambda: can_of(diameter_mm, length_mm))
    if isinstance(can, BadInput):
        near = [abs(can.diameter_mm - diameter_mm) < 0.2 and abs(can.length_mm - length_mm) < 0.2 for can in CANS]
        assert not any(near)
    else:
        assert abs(can.diameter_mm - diameter_mm) <= 0.2001
        assert abs(can.length_mm - length_mm) <= 0.2001


@pytest.mark.parametrize("letter", list(SIZE_LETTERS))
def test_a_size_letter_finds_a_can_and_says_that_it_is_from_memory(letter: str) -> None:
    can = can_of_size_letter(letter.lower())
    assert (can.diameter_mm, can.length_mm) == pytest.approx(SIZE_LETTERS[letter], abs=0.2)
    assert can.remarks[0].code == "from_memory"


def test_where_the_makers_lengths_differ_a_size_letter_says_so() -> None:
    assert [each.code for each in can_of_size_letter("F").remarks] == ["from_memory", "nearest_size"]
    assert [each.code for each in can_of_size_letter("D").remarks] == ["from_memory"]


def test_an_unknown_size_letter_is_unreadable() -> None:
    with pytest.raises(BadInput) as refused:
        can_of_size_letter("Q")
    assert (refused.value.code, refused.value.name) == ("unreadable", "letter")


@pytest.mark.parametrize("can", CANS)
def test_the_terminals_span_the_base_or_a_little_more(can: Can) -> None:
    assert -1e-9 <= can.span_mm - can.base_width_mm <= 0.6 + 1e-9


@pytest.mark.parametrize(
    ("diameter_mm", "pitch_mm"), [(4, 1.5), (5, 2.0), (6.3, 2.5), (8, 3.5), (10, 5.0), (13, 5.0), (16, 7.5), (18, 7.5)]
)
def test_radial_cans_have_the_usual_pitch(diameter_mm: float, pitch_mm: float) -> None:
    assert radial_pitch_mm(diameter_mm) == pitch_mm


@pytest.mark.parametrize("diameter_mm", [3.4, 18.6, -5, math.nan, math.inf])
def test_a_can_of_an_unusual_diameter_has_no_usual_pitch(diameter_mm: float) -> None:
    with pytest.raises(BadInput) as refused:
        radial_pitch_mm(diameter_mm)
    assert refused.value.name == "diameter_mm"
