"""Colour bands, both ways and from both ends."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.engineering.colour_code import bands_for, read_bands
from shop.engineering.inputs import BadInput
from shop.engineering.preferred import Series
from tests.engineering.outcome import outcome

any_float = st.floats(allow_nan=True, allow_infinity=True)
COLOURS = ("black", "brown", "red", "orange", "yellow", "green", "blue", "violet", "grey", "white", "gold", "silver",
           "pink", "mauve")  # fmt: skip


@pytest.mark.parametrize(
    ("colours", "ohms", "percent"),
    [("yellow violet red gold", 4700, 5), ("brown black black", 10, 20), ("orange orange black brown brown", 3300, 1),
     ("Gray red gold silver", 8.2, 10), ("brown black pink gold", 0.01, 5), ("purple green yellow GOLD", 750e3, 5)],
)  # fmt: skip
def test_bands_are_read(colours: str, ohms: float, percent: float) -> None:
    read = read_bands(colours.split())
    assert (read.resistance_ohm, read.tolerance_percent) == (ohms, percent)


def test_the_sixth_band_is_the_drift_and_from_memory() -> None:
    read = read_bands(["orange", "orange", "white", "red", "brown", "red"])
    assert (read.resistance_ohm, read.tolerance_percent, read.drift_ppm_k) == (33_900, 1, 50)
    assert "from_memory" in [each.code for each in read.remarks]


@pytest.mark.parametrize(("colour", "percents"), [("orange", [0.05]), ("yellow", [0.02]), ("grey", [0.01, 0.05, 0.1])])
def test_a_disputed_tolerance_is_ambiguous_and_the_resistance_is_told(colour: str, percents: list[float]) -> None:
    with pytest.raises(BadInput) as asked:
        read_bands(["brown", "black", "black", "gold", colour])
    assert (asked.value.code, asked.value.name) == ("ambiguous", "colours")
    assert asked.value.facts["resistance_ohm"] == 10
    readings = asked.value.facts["readings"]
    assert isinstance(readings, tuple)
    assert [each.above_percent for each in readings] == percents


def test_gold_and_silver_come_first_only_from_the_wrong_end() -> None:
    for colours in ("gold red violet yellow", "silver red violet yellow", "gold gold violet yellow"):
        with pytest.raises(BadInput) as refused:
            read_bands(colours.split())
        assert (refused.value.code, refused.value.name) == ("wrong_way_round", "colours")


def test_bands_that_read_from_either_end_give_the_other_reading_too() -> None:
    read = read_bands(["brown", "black", "black", "red", "red"])
    (remark,) = read.remarks
    assert (read.resistance_ohm, remark.code) == (10_000, "reads_both_ways")
    assert remark.facts == {
        "resistance_ohm": 220, "tolerance_percent": 1, "preferred": True, "other_preferred": True,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("colours", "ohms", "preferred", "other_ohms", "other_preferred"),
    [("brown black red green", 1000, True, 52, False), ("green red black brown", 52, False, 1000, True)],
)
def test_the_series_tell_which_end_of_the_bands_is_likely(
    colours: str, ohms: float, preferred: bool, other_ohms: float, other_preferred: bool
) -> None:
    read = read_bands(colours.split())
    facts = read.remarks[0].facts
    assert (read.resistance_ohm, facts["preferred"]) == (ohms, preferred)
    assert (facts["resistance_ohm"], facts["other_preferred"]) == (other_ohms, other_preferred)


def test_bands_that_are_the_same_from_both_ends_have_one_reading() -> None:
    assert read_bands(["brown", "red", "red", "brown"]).remarks == ()


@given(st.lists(st.sampled_from(COLOURS[:10]), min_size=3, max_size=6))
def test_the_spacing_must_decide_just_when_the_bands_turned_round_are_read_as_well(colours: list[str]) -> None:
    read, turned = outcome(lambda: read_bands(colours)), outcome(lambda: read_bands(colours[::-1]))
    if isinstance(read, BadInput):
        return
    reads_both = not isinstance(turned, BadInput) and colours != colours[::-1]
    assert ("reads_both_ways" in [each.code for each in read.remarks]) is reads_both


@pytest.mark.parametrize("colours", ["black black black", "black black black gold", "black black black black brown"])
def test_black_bands_are_a_link(colours: str) -> None:
    read = read_bands(colours.split())
    assert read.resistance_ohm == 0
    assert "zero_ohm_link" in [each.code for each in read.remarks]


@pytest.mark.parametrize(
    "colours",
    ["gold gold gold gold", "mauve red red red", "white black red white", "black brown red gold", "red red red black",
     "brown black black red brown gold"],
)  # fmt: skip
def test_bands_that_say_nothing_are_unreadable(colours: str) -> None:
    with pytest.raises(BadInput) as refused:
        read_bands(colours.split())
    assert (refused.value.code, refused.value.name) == ("unreadable", "colours")


@pytest.mark.parametrize("many", [0, 1, 2, 7])
def test_there_are_three_to_six_bands(many: int) -> None:
    with pytest.raises(BadInput) as refused:
        read_bands(["red"] * many)
    assert (refused.value.code, refused.value.facts["low"], refused.value.facts["high"]) == ("out_of_range", 3, 6)


@given(st.lists(st.sampled_from(COLOURS), max_size=8))
def test_any_bands_have_a_finite_value_or_are_refused(colours: list[str]) -> None:
    read = outcome(lambda: read_bands(colours))
    if isinstance(read, BadInput):
        assert read.name == "colours"
    else:
        assert 0 <= read.resistance_ohm <= 999e9
        assert read.limits_ohm[0] <= read.resistance_ohm <= read.limits_ohm[1]


@pytest.mark.parametrize(
    ("ohms", "percent", "colours"),
    [(4700, 5, "yellow violet red gold"), (4700, 1, "yellow violet black brown brown"), (4700, 20, "yellow violet red"),
     (0.01, 10, "brown black pink silver"), (0.1, 1, "brown black black pink brown"),
     (990e9, 5, "white white black white gold"), (4720, 5, "yellow violet red brown gold")],
)  # fmt: skip
def test_bands_are_as_few_as_say_the_value(ohms: float, percent: float, colours: str) -> None:
    assert bands_for(ohms, percent) == tuple(colours.split())


@given(st.sampled_from(Series.E96.hundreds), st.integers(-1, 11), st.sampled_from([0.1, 0.25, 0.5, 1, 2, 5, 10]))
def test_bands_that_are_written_are_read_back(hundred: int, power: int, percent: float) -> None:
    ohms = float(f"{hundred}e{power - 2}")
    read = read_bands(bands_for(ohms, percent))
    assert read.resistance_ohm == ohms
    assert read.tolerance_percent == percent


@given(st.sampled_from(Series.E24.hundreds), st.integers(-2, 10))
def test_without_a_tolerance_band_two_digits_are_read_back(hundred: int, power: int) -> None:
    ohms = float(f"{hundred}e{power - 2}")
    read = read_bands(bands_for(ohms, 20))
    assert read.resistance_ohm == ohms
    assert read.tolerance_percent == 20


@pytest.mark.parametrize(
    ("ohms", "percent", "nearest_ohm"), [(4720, 20, 4700), (4721, 1, 4720), (0.0999, 5, 0.1), (98.76e9, 20, 99e9)]
)
def test_a_value_of_too_many_digits_is_refused_with_the_nearest(
    ohms: float, percent: float, nearest_ohm: float
) -> None:
    with pytest.raises(BadInput) as refused:
        bands_for(ohms, percent)
    assert (refused.value.code, refused.value.name) == ("not_one_of", "resistance_ohm")
    assert refused.value.facts["choices"] == (nearest_ohm,)


@pytest.mark.parametrize(("ohms", "percent"), [(0.0999, 1), (100e9, 20), (0, 5), (-1, 5), (math.nan, 5), (1e12, 5)])
def test_a_value_beyond_the_colours_is_out_of_range(ohms: float, percent: float) -> None:
    with pytest.raises(BadInput) as refused:
        bands_for(ohms, percent)
    assert refused.value.name == "resistance_ohm"
    assert refused.value.code in ("out_of_range", "not_finite")


@given(any_float, any_float | st.sampled_from([0.1, 1.0, 5.0, 20.0]))
def test_what_is_written_says_the_very_value(ohms: float, percent: float) -> None:
    bands = outcome(lambda: bands_for(ohms, percent))
    if isinstance(bands, BadInput):
        assert bands.name in ("resistance_ohm", "tolerance_percent")
    else:
        assert read_bands(bands).resistance_ohm == pytest.approx(ohms, rel=1e-9)
