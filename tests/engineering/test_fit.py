"""Whether a capacitor fits a place: each rule, the laws that hold for all, and the order of candidates."""

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.fit import Fits, judge, rank
from shop.engineering.fit_facts import Candidate, Mounting, Place, Role, Technology
from shop.engineering.inputs import BadInput

PLACE = Place(
    capacitance_f=470e-6, rated_v=16, working_v=9, role=Role.SUPPLY, temperature_c=85, mounting=Mounting.RADIAL,
    diameter_mm=10, clearance_mm=16, pitch_mm=5, ripple_a=0.3,
)  # fmt: skip
PART = Candidate(
    name="same again", capacitance_f=470e-6, rated_v=16, tolerance_percent=20, temperature_c=105,
    mounting=Mounting.RADIAL, diameter_mm=10, height_mm=12.5, pitch_mm=5, esr_ohm=0.2, ripple_a=0.6, life_h=2000,
)  # fmt: skip


def codes(place: Place, part: Candidate) -> tuple[Fits, set[str]]:
    found = judge(place, part)
    return found.answer, {remark.code for remark in (*found.against, *found.unknown, *found.remarks)}


def test_the_same_again_fits() -> None:
    assert codes(PLACE, PART) == (Fits.FITS, set())


@pytest.mark.parametrize(
    ("place", "part", "answer", "why"),
    [
        ({}, {"capacitance_f": 370e-6}, Fits.DOES_NOT_FIT, {"capacitance_too_small"}),
        ({}, {"capacitance_f": 430e-6}, Fits.WITH_REMARKS, {"capacitance_smaller"}),
        ({}, {"capacitance_f": 680e-6}, Fits.WITH_REMARKS, {"capacitance_larger"}),
        ({}, {"capacitance_f": 2200e-6}, Fits.WITH_REMARKS, {"capacitance_much_larger"}),
        ({"role": Role.REGULATOR_OUTPUT}, {"capacitance_f": 2200e-6}, Fits.DOES_NOT_FIT, {"capacitance_too_large"}),
        ({"role": Role.TIMING, "tolerance_percent": 5}, {"capacitance_f": 500e-6}, Fits.DOES_NOT_FIT,
         {"capacitance_off"}),
        ({"role": Role.TIMING, "tolerance_percent": 5}, {}, Fits.WITH_REMARKS, {"tolerance_may_miss"}),
        ({"role": Role.TIMING}, {"tolerance_percent": None}, Fits.CANNOT_TELL, {"tolerance_not_known"}),
        ({"role": Role.COUPLING}, {"capacitance_f": 1000e-6}, Fits.WITH_REMARKS, {"capacitance_larger"}),
        ({"role": Role.COUPLING}, {"capacitance_f": 220e-6}, Fits.DOES_NOT_FIT, {"capacitance_off"}),
        ({}, {"rated_v": 10}, Fits.DOES_NOT_FIT, {"rating_too_low"}),
        ({"working_v": 5}, {"rated_v": 10}, Fits.WITH_REMARKS, {"rating_below_original"}),
        ({}, {"rated_v": 100}, Fits.WITH_REMARKS, {"rating_far_above"}),
        ({}, {"rated_v": 63}, Fits.FITS, set()),
        ({}, {"temperature_c": 70}, Fits.DOES_NOT_FIT, {"temperature_class_lower"}),
        ({}, {"temperature_c": None}, Fits.CANNOT_TELL, {"temperature_not_known"}),
        ({"polarised": False}, {}, Fits.DOES_NOT_FIT, {"polarised_in_bipolar_place"}),
        ({"polarised": False}, {"bipolar": True}, Fits.FITS, set()),
        ({}, {"bipolar": True}, Fits.WITH_REMARKS, {"bipolar_in_polarised_place"}),
        ({}, {"diameter_mm": 10.2}, Fits.DOES_NOT_FIT, {"too_wide"}),
        ({}, {"height_mm": 20}, Fits.DOES_NOT_FIT, {"too_tall"}),
        ({}, {"height_mm": None}, Fits.CANNOT_TELL, {"height_not_known"}),
        ({}, {"pitch_mm": 3.5}, Fits.WITH_REMARKS, {"bend_the_legs"}),
        ({}, {"pitch_mm": 2.0}, Fits.DOES_NOT_FIT, {"other_pitch"}),
        ({}, {"mounting": Mounting.AXIAL}, Fits.WITH_REMARKS, {"stand_it_on_end"}),
        ({}, {"mounting": Mounting.SMD}, Fits.DOES_NOT_FIT, {"other_mounting"}),
        ({"mounting": Mounting.SMD}, {}, Fits.WITH_REMARKS, {"radial_on_pads"}),
        ({"mounting": Mounting.AXIAL}, {}, Fits.WITH_REMARKS, {"bend_it_flat"}),
        ({"esr_high_ohm": 0.1}, {}, Fits.DOES_NOT_FIT, {"esr_too_high"}),
        ({"esr_low_ohm": 0.5}, {}, Fits.DOES_NOT_FIT, {"esr_too_low"}),
        ({"esr_low_ohm": 0.1}, {"esr_ohm": None}, Fits.CANNOT_TELL, {"esr_not_known"}),
        ({}, {"ripple_a": 0.2}, Fits.DOES_NOT_FIT, {"ripple_rating_low"}),
        ({}, {"ripple_a": None}, Fits.CANNOT_TELL, {"ripple_not_known"}),
        ({}, {"technology": Technology.TANTALUM}, Fits.DOES_NOT_FIT, {"tantalum_needs_half", "tantalum_and_inrush"}),
        ({}, {"technology": Technology.TANTALUM, "rated_v": 20}, Fits.WITH_REMARKS, {"tantalum_and_inrush"}),
        ({"working_v": None, "role": Role.DECOUPLING}, {"technology": Technology.TANTALUM}, Fits.CANNOT_TELL,
         {"working_voltage_not_known"}),
        ({}, {"technology": Technology.CERAMIC_2}, Fits.WITH_REMARKS, {"ceramic_loses_with_voltage"}),
        ({"role": Role.TIMING}, {"technology": Technology.CERAMIC_2, "tolerance_percent": 10}, Fits.DOES_NOT_FIT,
         {"ceramic_is_not_steady"}),
        ({"role": Role.COUPLING}, {"technology": Technology.CERAMIC_2}, Fits.WITH_REMARKS,
         {"ceramic_loses_with_voltage", "ceramic_hears_knocks"}),
        ({"technology": Technology.FILM}, {}, Fits.DOES_NOT_FIT, {"electrolytic_is_not_precise"}),
        ({"role": Role.COUPLING}, {"technology": Technology.FILM}, Fits.FITS, set()),
        ({}, {"technology": Technology.POLYMER}, Fits.WITH_REMARKS, {"polymer_leaks_more"}),
        ({"role": Role.REGULATOR_OUTPUT}, {"technology": Technology.POLYMER}, Fits.CANNOT_TELL,
         {"polymer_leaks_more", "regulator_may_need_esr"}),
        ({"role": Role.MAINS, "technology": Technology.FILM}, {"technology": Technology.FILM}, Fits.DOES_NOT_FIT,
         {"mains_side", "not_certified_for_mains"}),
        ({"role": Role.MAINS, "technology": Technology.FILM}, {"technology": Technology.FILM, "mains_class": "X2"},
         Fits.WITH_REMARKS, {"mains_side"}),
    ],
)  # fmt: skip
def test_each_rule_says_its_reason(
    place: dict[str, object], part: dict[str, object], answer: Fits, why: set[str]
) -> None:
    assert codes(replace(PLACE, **place), replace(PART, **part)) == (answer, why)  # type: ignore[arg-type]


some = st.floats(0.5, 100)
places = st.builds(
    Place, capacitance_f=st.floats(1e-9, 1e-2), rated_v=some, working_v=st.none() | some,
    tolerance_percent=st.none() | some, technology=st.sampled_from(Technology), role=st.sampled_from(Role),
    polarised=st.booleans(), temperature_c=st.none() | st.floats(60, 130),
    mounting=st.none() | st.sampled_from(Mounting), diameter_mm=st.none() | some,
    clearance_mm=st.none() | some, pitch_mm=st.none() | some,
    esr_high_ohm=st.none() | some, ripple_a=st.none() | some,
)  # fmt: skip
parts = st.builds(
    Candidate, name=st.sampled_from("abc"), capacitance_f=st.floats(1e-9, 1e-2), rated_v=some,
    tolerance_percent=st.none() | some, technology=st.sampled_from(Technology), bipolar=st.booleans(),
    temperature_c=st.none() | st.floats(60, 130), mounting=st.none() | st.sampled_from(Mounting),
    diameter_mm=st.none() | some, height_mm=st.none() | some, pitch_mm=st.none() | some, esr_ohm=st.none() | some,
    ripple_a=st.none() | some, life_h=st.none() | some,
)  # fmt: skip
ORDER = list(Fits)


@given(places, parts, st.floats(1, 100))
def test_more_room_never_makes_a_part_fit_worse(place: Place, part: Candidate, more: float) -> None:
    if place.clearance_mm is None or place.diameter_mm is None:
        return
    roomier = replace(place, clearance_mm=place.clearance_mm + more, diameter_mm=place.diameter_mm + more)
    assert ORDER.index(judge(roomier, part).answer) <= ORDER.index(judge(place, part).answer)


@given(places, parts, st.floats(1, 10))
def test_a_higher_rating_is_never_a_reason_against(place: Place, part: Candidate, times: float) -> None:
    before = {remark.code for remark in judge(place, part).against}
    assert {remark.code for remark in judge(place, replace(part, rated_v=part.rated_v * times)).against} <= before


@given(places, parts, st.sampled_from(["temperature_c", "diameter_mm", "height_mm", "esr_ohm", "ripple_a", "mounting"]))
def test_forgetting_a_figure_never_makes_a_part_fit(place: Place, part: Candidate, forgotten: str) -> None:
    unknown: dict[str, Any] = {forgotten: None}
    known, less = judge(place, part).answer, judge(place, replace(part, **unknown)).answer
    if known in (Fits.DOES_NOT_FIT, Fits.CANNOT_TELL):
        assert less in (Fits.DOES_NOT_FIT, Fits.CANNOT_TELL)


@given(places, st.lists(parts, max_size=6), st.randoms())
def test_the_order_is_that_of_the_answers_and_not_of_the_list(
    place: Place, given_: list[Candidate], chance: object
) -> None:
    ranked = rank(place, given_)
    assert sorted(map(repr, (part for part, _fit in ranked))) == sorted(map(repr, given_))
    assert [ORDER.index(fit.answer) for _part, fit in ranked] == sorted(
        ORDER.index(fit.answer) for _part, fit in ranked
    )
    shuffled = list(given_)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    assert rank(place, shuffled) == ranked


def test_nearer_values_and_tighter_ratings_come_first() -> None:
    far, near = replace(PART, name="far", capacitance_f=900e-6), replace(PART, name="near", capacitance_f=500e-6)
    high = replace(PART, name="high", rated_v=50)
    assert [part.name for part, _fit in rank(PLACE, [far, high, near, PART])] == ["same again", "high", "near", "far"]


@pytest.mark.parametrize(
    ("place", "part", "name"),
    [
        ({"capacitance_f": 0}, {}, "capacitance_f"),
        ({}, {"rated_v": float("nan")}, "rated_v"),
        ({"esr_low_ohm": 2, "esr_high_ohm": 1}, {}, "esr_low_ohm"),
        ({}, {"diameter_mm": -1}, "diameter_mm"),
        ({"working_v": float("inf")}, {}, "working_v"),
    ],
)
def test_what_cannot_be_is_refused(place: dict[str, float], part: dict[str, float], name: str) -> None:
    with pytest.raises(BadInput) as refused:
        judge(replace(PLACE, **place), replace(PART, **part))  # type: ignore[arg-type]
    assert refused.value.name == name
