"""Verdicts on measured values."""

from decimal import Decimal as D

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shop.engineering.limits import Verdict, acceptance_limits, conformity_probability, verdict

FIGURES = st.decimals(-1000, 1000, places=4)
SPREADS = st.decimals(0, 50, places=4)


@pytest.mark.parametrize(
    ("value", "spread", "expected"),
    [
        ("5.00", "0.02", "pass"),
        ("5.23", "0.02", "pass"),  # the interval touches the limit
        ("5.2301", "0.02", "undecided"),
        ("5.25", "0.02", "undecided"),
        ("5.27", "0.02", "undecided"),
        ("5.2701", "0.02", "fail"),
        ("4.77", "0.02", "pass"),
        ("4.7699", "0.02", "undecided"),
        ("4.7299", "0.02", "fail"),
        ("5.25", "0", "pass"),
        ("5.2501", "0", "fail"),
        ("5.00", "0.3", "undecided"),  # the interval is wider than the tolerance
    ],
)
def test_it_judges_a_five_volt_rail(value: str, spread: str, expected: str) -> None:
    assert verdict(D(value), D(spread), D("4.75"), D("5.25")) == expected


@pytest.mark.parametrize(
    ("value", "low", "high", "expected"),
    [("9", None, "10", "pass"), ("11", None, "10", "fail"), ("9.9", None, "10", "undecided"),
     ("11", "10", None, "pass"), ("9", "10", None, "fail"), ("10.1", "10", None, "undecided")],
)  # fmt: skip
def test_it_judges_by_one_limit_alone(value: str, low: str | None, high: str | None, expected: str) -> None:
    limits = [None if limit is None else D(limit) for limit in (low, high)]
    assert verdict(D(value), D("0.5"), limits[0], limits[1]) == expected


@given(FIGURES, SPREADS, FIGURES, FIGURES)
def test_a_pass_holds_wherever_in_its_interval_the_true_value_lies(value: D, spread: D, one: D, other: D) -> None:
    low, high = sorted((one, other))
    ends = [low <= end <= high for end in (value - spread, value + spread)]
    judged = verdict(value, spread, low, high)
    assert (judged is Verdict.PASS) == all(ends)
    if judged is Verdict.FAIL:
        assert not any(ends)


@given(FIGURES, SPREADS, SPREADS, FIGURES)
def test_a_better_instrument_never_turns_a_verdict_round(value: D, fine: D, coarse: D, high: D) -> None:
    assume(fine <= coarse)
    with_coarse, with_fine = (verdict(value, spread, None, high) for spread in (coarse, fine))
    assert with_coarse in (Verdict.UNDECIDED, with_fine)


@given(FIGURES, SPREADS, FIGURES, FIGURES)
def test_it_passes_exactly_between_the_acceptance_limits(value: D, spread: D, one: D, other: D) -> None:
    low, high = sorted((one, other))
    lowest, highest = acceptance_limits(spread, low, high)
    assert lowest is not None
    assert highest is not None
    assert (verdict(value, spread, low, high) is Verdict.PASS) == (lowest <= value <= highest)


@given(FIGURES, SPREADS, FIGURES)
def test_probabilities_below_and_above_a_limit_make_one(value: D, spread: D, limit: D) -> None:
    assume(spread > 0)
    below = conformity_probability(value, spread, None, limit)
    assert below + conformity_probability(value, spread, limit, None) == pytest.approx(1, abs=1e-12)
    assert 0 <= below <= 1


def test_without_uncertainty_it_is_certain_either_way() -> None:
    assert conformity_probability(D(5), D(0), D(4), D(6)) == 1.0
    assert conformity_probability(D(7), D(0), D(4), D(6)) == 0.0


@pytest.mark.parametrize(
    ("value", "spread", "low", "high", "complaint"),
    [
        (D(1), D(1), None, None, "needs a limit"),
        (D(1), D(-1), D(0), None, "negative"),
        (D(1), D(1), D(3), D(2), "above the upper"),
        (D("NaN"), D(1), D(0), None, "finite"),
        (D(1), D("Infinity"), D(0), None, "finite"),
        (D(1), D(1), D(0), D("Infinity"), "finite"),
    ],
)
def test_it_refuses_figures_that_make_no_question(
    value: D, spread: D, low: D | None, high: D | None, complaint: str
) -> None:
    for judge in (verdict, conformity_probability):
        with pytest.raises(ValueError, match=complaint):
            judge(value, spread, low, high)
