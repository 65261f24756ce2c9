"""Measurement and shares against JCGM, NIST, Newcombe and general-purpose libraries."""

import csv
import math
from pathlib import Path

import pytest
from scipy import stats

from shop.engineering.meters import Part, Shape, meter_error, repeated, standard_uncertainty, student_factor, together
from shop.engineering.risk import global_risk
from shop.engineering.shares import clopper_pearson, mean_deviation_constant, smoothed_chart, wilson

DATA = Path(__file__).parent / "data"


def rows(name: str) -> list[dict[str, str]]:
    with (DATA / name).open(encoding="utf-8") as file:
        return list(csv.DictReader(file))


def test_a_makers_worked_example_of_a_meter() -> None:
    """MS-01: victorruoshui.com: 2.000 V on the 5.000 V range, ± (0.08 % + 2 digits): ± 0.0036 V."""
    found = meter_error(2.000, 0.08, 2, 0.001)
    assert found.half_width == pytest.approx(0.0036, abs=1e-12)
    assert (found.low, found.high) == pytest.approx((1.9964, 2.0036))


def test_a_rectangle_has_a_third_of_its_square() -> None:
    """MS-03: GUM 4.3.7, from memory and recomputed."""
    assert standard_uncertainty(0.0036, Shape.RECTANGULAR) == pytest.approx(0.00207846, abs=1e-8)


def test_the_end_gauge_of_the_gum() -> None:
    """MS-04 and MS-05: JCGM 100 H.1; GTC 1.5.1: u(d) 9.682, uc 31.664 nm, νeff 16.75, t99 2.92, U99 93 nm."""
    difference = together([Part(5.8, 24), Part(3.9, 5), Part(6.7, 8)])
    assert difference.standard == pytest.approx(9.682, abs=5e-3)
    assert difference.freedom == pytest.approx(25.447, abs=0.2)
    # Sensitivities of H.1.3: θ and δα, δθ and α, over the length of 50 mm, in nanometres.
    length_nm = 50.000623e6
    thermal = Part(length_nm * 0.1 * 1e-6 / math.sqrt(3), 50)
    gradient = Part(length_nm * 11.5e-6 * 0.05 / math.sqrt(3), 2)
    found = together([Part(25, 18), Part(difference.standard, difference.freedom), thermal, gradient], 0.99)
    assert found.standard == pytest.approx(31.664, abs=0.4)
    assert found.freedom == pytest.approx(16.75, abs=0.2)
    assert found.factor == pytest.approx(2.92, abs=0.01)
    assert found.expanded == pytest.approx(93, abs=1)


def test_welch_and_satterthwaite() -> None:
    """MS-09: suncal test_DEGF: 0.57 with 9 and 0.25 with infinite degrees of freedom: 12.8."""
    assert together([Part(0.57, 9), Part(0.25)]).freedom == pytest.approx(12.8, abs=0.1)


def test_four_normals_summed() -> None:
    """MS-08: JCGM 101 9.2: ± 3.92 at 95 % (the rectangular case of its table needs a Monte Carlo)."""
    assert together([Part(1.0)] * 4).expanded == pytest.approx(3.92, abs=0.01)


@pytest.mark.parametrize("freedom", [1, 2, 5, 16, 100, 1e5, math.inf])
@pytest.mark.parametrize("coverage", [0.5, 0.6827, 0.95, 0.99, 0.999])
def test_students_factor_is_scipys(freedom: float, coverage: float) -> None:
    """An oracle of the registry: scipy 1.17.1."""
    theirs = stats.norm.ppf((1 + coverage) / 2) if math.isinf(freedom) else stats.t.ppf((1 + coverage) / 2, freedom)
    assert student_factor(coverage, freedom) == pytest.approx(theirs, rel=1e-8)


def test_resistance_and_reactance_measured_together() -> None:
    """MS-06: JCGM 100 H.2, by its second approach: R 127.732, X 219.847, Z 254.260 Ω with u 0.071, 0.295, 0.236."""
    volts = (5.007, 4.994, 5.005, 4.990, 4.999)
    amperes = (19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3)
    angles = (1.0456, 1.0438, 1.0468, 1.0428, 1.0433)
    impedance = [v / a for v, a in zip(volts, amperes, strict=True)]
    found = [
        repeated([z * math.cos(angle) for z, angle in zip(impedance, angles, strict=True)]),
        repeated([z * math.sin(angle) for z, angle in zip(impedance, angles, strict=True)]),
        repeated(impedance),
    ]
    assert [each.mean for each in found] == pytest.approx([127.732, 219.847, 254.260], abs=1e-3)
    assert [each.standard for each in found] == pytest.approx([0.071, 0.2956, 0.2363], abs=1e-3)


@pytest.mark.parametrize("base", [1_000_000, 10_000_000])
def test_large_numbers_with_a_small_spread_keep_their_deviation(base: int) -> None:
    """MS-21: NIST StRD NumAcc3 and NumAcc4: the deviation is 0.1 exactly, where a one-pass formula fails."""
    readings = [base + 0.2, *[base + 0.1, base + 0.3] * 500]
    assert repeated(readings).deviation == pytest.approx(0.1, abs=1e-8)
    assert repeated(readings).mean == pytest.approx(base + 0.2, abs=1e-6)


@pytest.mark.parametrize(
    ("in_tolerance", "false_accept_percent"),
    [(0.60, 4.83860), (0.70, 3.92234), (0.80, 2.85583), (0.90, 1.59995), (0.95, 0.87101), (0.99, 0.19992)],
)
def test_how_many_bad_items_pass(in_tolerance: float, false_accept_percent: float) -> None:
    """MS-16: suncal test_risk.py (draft NCSLI RP-19 tables): a test four times better than the items."""
    assert global_risk(in_tolerance, 0.25).false_accept * 100 == pytest.approx(false_accept_percent, abs=1e-5)


@pytest.mark.parametrize(("in_tolerance", "ratio"), [(0.3, 0.001), (0.95, 0.01), (0.68, 0.5), (0.999, 2.0)])
def test_both_risks_are_scipys(in_tolerance: float, ratio: float) -> None:
    """An oracle of the registry: the two normals integrated by scipy 1.17.1."""
    spread = 1 / stats.norm.ppf((1 + in_tolerance) / 2)
    both = stats.multivariate_normal(cov=[[1, 1], [1, 1 + ratio**2]], allow_singular=True)
    edge = 1 / spread
    good_and_passed = both.cdf([edge, edge], lower_limit=[-edge, -edge], rng=1)
    passed = 2 * stats.norm.cdf(edge / math.sqrt(1 + ratio**2)) - 1
    found = global_risk(in_tolerance, ratio)
    assert found.false_accept == pytest.approx(passed - good_and_passed, abs=2e-6)
    assert found.false_reject == pytest.approx(in_tolerance - good_and_passed, abs=2e-6)


def test_wilson_intervals() -> None:
    """QL-01: Newcombe 1998, table I, method 3; seven public test suites; and rows computed."""
    for row in rows("newcombe_wilson.csv"):
        low, high = wilson(int(row["x"]), int(row["n"]))
        assert low == pytest.approx(float(row["lower95"]), abs=5e-5)
        assert high == pytest.approx(float(row["upper95"]), abs=5e-5)


def test_the_exact_interval() -> None:
    """QL-03: statsmodels 'beta': 4 of 20 gives 0.057334 to 0.436614; and scipy's beta quantiles elsewhere."""
    assert clopper_pearson(4, 20) == pytest.approx((0.057334, 0.436614), abs=1e-6)
    for hits, cases in ((0, 7), (7, 7), (1, 500), (250, 500)):
        low, high = clopper_pearson(hits, cases)
        assert low == pytest.approx(stats.beta.ppf(0.025, hits, cases - hits + 1) if hits else 0, abs=1e-9)
        assert high == pytest.approx(stats.beta.ppf(0.975, hits + 1, cases - hits) if hits < cases else 1, abs=1e-9)


def test_the_constant_of_small_samples() -> None:
    """QL-04: Walpole, table A.22, the column c4."""
    for row in rows("control_chart_constants.csv"):
        assert mean_deviation_constant(int(row["n"])) == pytest.approx(float(row["c4"]), abs=1e-3)


def test_the_smoothed_chart_of_nist() -> None:
    """QL-05: NIST/SEMATECH e-Handbook 6.3.2.4; limits, s and weight quoted, the data from memory."""
    readings = [
        52.0, 47.0, 53.0, 49.3, 50.1, 47.0, 51.0, 50.1, 51.2, 50.5, 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4,
        53.6, 52.1,
    ]  # fmt: skip
    expected = [
        50, 50.60, 49.52, 50.56, 50.18, 50.16, 49.21, 49.75, 49.85, 50.26, 50.33, 50.11, 49.36, 49.52, 50.05, 49.38,
        49.92, 50.73, 51.23, 51.94, 51.99,
    ]  # fmt: skip
    chart = smoothed_chart(readings, 50, 2.0539, 0.3)
    assert chart.smoothed == pytest.approx(expected, abs=0.006)
    assert (chart.high, chart.low) == pytest.approx((52.5884, 47.4115), abs=2e-4)
    assert chart.outside == ()
