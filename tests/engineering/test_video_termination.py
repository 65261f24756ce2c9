"""Source, series resistor and load of a video line."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.inputs import BadInput, Remark
from shop.engineering.video_termination import (
    Cause,
    diagnose_level,
    line_levels,
    open_level_v,
    series_resistor_for,
)
from tests.engineering.figures import refused_or_finite

VOLTS = st.floats(0.01, 20)
OHMS = st.floats(0, 5000)
# Half of them within the range of most inputs, so that not everything is refused.
ANY = st.floats() | st.floats(0.01, 10)


def codes(remarks: tuple[Remark, ...]) -> list[str]:
    return [remark.code for remark in remarks]


def test_a_matched_source_gives_half_into_one_load_and_a_third_into_two() -> None:
    levels = line_levels(2.0)
    assert (levels.open_v, levels.terminated_v, levels.return_loss_db) == (2, 1, None)
    assert levels.double_terminated_v == pytest.approx(2 / 3)
    assert levels.current_a == pytest.approx(1 / 75)
    assert levels.remarks == ()


@given(VOLTS, OHMS, OHMS)
def test_every_further_load_lowers_the_level(source_v: float, series_ohm: float, output_ohm: float) -> None:
    levels = line_levels(source_v, series_ohm, output_ohm)
    assert levels.open_v >= levels.terminated_v >= levels.double_terminated_v > 0


@given(VOLTS, OHMS)
def test_the_open_level_is_found_from_the_terminated_one(source_v: float, source_ohm: float) -> None:
    terminated_v = line_levels(source_v, source_ohm).terminated_v
    assert open_level_v(terminated_v, source_ohm) == pytest.approx(source_v)


@pytest.mark.parametrize(
    ("source_ohm", "return_loss_db"), [(0, 0), (37.5, 9.542), (150, 9.542), (70, 29.248), (50, 13.979)]
)
def test_the_return_loss_tells_how_badly_a_source_is_matched(source_ohm: float, return_loss_db: float) -> None:
    """20 log10 of |Z + 75| / |Z − 75|, computed."""
    assert line_levels(1, source_ohm).return_loss_db == pytest.approx(return_loss_db, abs=1e-3)


@pytest.mark.parametrize(("source_ohm", "expected"), [(67.5, []), (82.5, []), (67, ["source_not_75_ohm"]),
                                                      (83, ["source_not_75_ohm"])])  # fmt: skip
def test_a_source_over_ten_percent_off_is_remarked(source_ohm: float, expected: list[str]) -> None:
    assert codes(line_levels(1, source_ohm).remarks) == expected
    assert codes(line_levels(1, source_ohm - 30, 30).remarks) == expected


def test_a_logic_sync_straight_into_a_video_input_is_remarked() -> None:
    """5 V through 75 ohm is 2.5 V, twice what composite may have."""
    levels = line_levels(5, 75)
    assert levels.terminated_v == 2.5
    assert codes(levels.remarks) == ["above_input_level"]
    assert levels.remarks[0].facts["high_v"] == pytest.approx(1.2589, abs=1e-4)


@pytest.mark.parametrize(("source_v", "series_ohm"), [(5, 1175), (3.3, 750), (0.3, 0), (0.6, 75)])
def test_a_logic_sync_comes_down_to_300_millivolts(source_v: float, series_ohm: float) -> None:
    """The divider with 75 ohm, computed: 75 (V / 0.3 − 1)."""
    found = series_resistor_for(source_v)
    assert found.series_ohm == pytest.approx(series_ohm, abs=1e-9)
    assert found.current_a == pytest.approx(0.004)
    assert found.power_w == pytest.approx(0.004**2 * series_ohm, abs=1e-12)


def test_what_a_source_has_inside_is_taken_off_the_resistor() -> None:
    assert series_resistor_for(5, 0.3, output_ohm=100).series_ohm == pytest.approx(1075)
    assert series_resistor_for(5, 0.3, output_ohm=1175).series_ohm == 0


@pytest.mark.parametrize(("source_v", "output_ohm"), [(3.3, 5), (5, 2), (12, 2)])
def test_the_highest_level_there_is_takes_no_resistor_and_never_less(source_v: float, output_ohm: float) -> None:
    found = series_resistor_for(source_v, line_levels(source_v, 0, output_ohm).terminated_v, output_ohm)
    assert found.series_ohm == 0
    assert found.power_w == 0


@given(VOLTS, st.floats(0.01, 1), OHMS)
def test_the_resistor_gives_the_level_asked_for(source_v: float, share: float, output_ohm: float) -> None:
    wanted_v = share * line_levels(source_v, 0, output_ohm).terminated_v
    series_ohm = series_resistor_for(source_v, wanted_v, output_ohm).series_ohm
    assert line_levels(source_v, series_ohm, output_ohm).terminated_v == pytest.approx(wanted_v)


def test_the_match_is_only_judged_at_75_ohm() -> None:
    assert codes(series_resistor_for(5).remarks) == ["source_not_75_ohm"]
    assert series_resistor_for(5, 0.3, load_ohm=1000).remarks == ()


@pytest.mark.parametrize(("source_v", "wanted_v", "output_ohm", "high"), [(3.3, 3.4, 0, 3.3), (5, 2.6, 75, 2.5)])
def test_it_refuses_a_level_that_the_source_does_not_reach(
    source_v: float, wanted_v: float, output_ohm: float, high: float
) -> None:
    with pytest.raises(BadInput) as refusal:
        series_resistor_for(source_v, wanted_v, output_ohm)
    assert (refusal.value.code, refusal.value.name) == ("out_of_range", "wanted_v")
    assert refusal.value.facts["high"] == high


@pytest.mark.parametrize(
    ("measured_v", "suspects"),
    [
        (1.0, {"one_load"}),
        (2.0, {"no_load", "no_series_resistor"}),
        (0.667, {"two_loads", "two_series_resistors"}),
        (0.81, {"one_load", "two_loads", "two_series_resistors"}),
        (1.4, set()),
        (0.5, set()),
        (4.0, set()),
    ],
)
def test_a_level_points_to_what_is_wrong_with_the_line(measured_v: float, suspects: set[str]) -> None:
    diagnosis = diagnose_level(measured_v, 1.0)
    assert {suspect.cause.value for suspect in diagnosis.suspects} == suspects
    expected = {0: ["no_known_cause"], 1: []}.get(len(suspects), ["several_causes"])
    assert codes(diagnosis.remarks) == expected


def test_the_nearest_cause_comes_first() -> None:
    assert diagnose_level(0.84, 1.0).suspects[0].cause is Cause.ONE_LOAD
    suspects = diagnose_level(0.80, 1.0).suspects
    assert suspects[-1].cause is Cause.ONE_LOAD
    assert suspects[0].off_db == pytest.approx(20 * math.log10(0.8 * 1.5))


@given(st.floats(0.01, 5), st.floats(1, 10_000))
def test_each_fault_is_among_the_suspects_of_its_own_level(nominal_v: float, source_ohm: float) -> None:
    open_v = open_level_v(nominal_v, source_ohm)
    levels = {
        Cause.ONE_LOAD: line_levels(open_v, source_ohm).terminated_v if open_v <= 30 else nominal_v,
        Cause.NO_LOAD: open_v,
        Cause.TWO_LOADS: open_v * 37.5 / (source_ohm + 37.5),
        Cause.TWO_SERIES_RESISTORS: open_v * 75 / (2 * source_ohm + 75),
    }
    for cause, level_v in levels.items():
        if level_v <= 30:
            found = {suspect.cause: suspect for suspect in diagnose_level(level_v, nominal_v, source_ohm).suspects}
            assert found[cause].off_db == pytest.approx(0, abs=1e-9)


@pytest.mark.parametrize("measured_v", [0, -1, 31, math.nan])
def test_it_refuses_to_diagnose_no_level(measured_v: float) -> None:
    with pytest.raises(BadInput) as refusal:
        diagnose_level(measured_v, 1.0)
    assert refusal.value.name == "measured_v"


@given(ANY, ANY, ANY, ANY)
def test_any_input_is_refused_or_gives_finite_figures(one: float, two: float, three: float, four: float) -> None:
    for answer in (
        lambda: line_levels(one, two, three).double_terminated_v,
        lambda: open_level_v(one, two),
        lambda: series_resistor_for(one, two, three, four).series_ohm,
        lambda: series_resistor_for(one, two, three, four).power_w,
        lambda: diagnose_level(one, two, three).deviation_db,
    ):
        assert refused_or_finite(answer)
