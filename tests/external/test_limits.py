"""Measurement decisions against published figures (catalogue section 6)."""

from decimal import Decimal as D

import pytest

from shop.engineering.limits import Verdict, acceptance_limits, conformity_probability, verdict


def test_it_gives_the_conformance_probability_of_the_diode_in_jcgm_106() -> None:
    """MS-10: JCGM 106:2012 clause 7, a breakdown voltage of −5.47 V with u = 0.05 V, to be −5.40 V at most: 0.92.

    From memory and recomputed.
    """
    probability = conformity_probability(D("-5.47"), D("0.10"), None, D("-5.40"))
    assert probability == pytest.approx(0.919243, abs=1e-6)
    assert round(probability, 2) == 0.92


def test_a_guard_band_of_the_expanded_uncertainty_leaves_two_and_a_quarter_percent() -> None:
    """MS-12: ILAC-G8:09/2019, limit 5.25 with u = 0.02 (U = 0.04): accept up to 5.21, where the risk is 2.275 %."""
    spread, high = D("0.04"), D("5.25")
    assert acceptance_limits(spread, None, high) == (None, D("5.21"))
    assert verdict(D("5.21"), spread, None, high) is Verdict.PASS
    assert verdict(D("5.2101"), spread, None, high) is Verdict.UNDECIDED
    assert 1 - conformity_probability(D("5.21"), spread, None, high) == pytest.approx(0.02275, abs=1e-6)


def test_a_value_on_the_limit_is_wrong_half_of_the_time() -> None:
    """MS-13: the risk of simple acceptance, the same source."""
    assert conformity_probability(D("5.25"), D("0.04"), None, D("5.25")) == 0.5


def test_a_guard_band_of_1_645_standard_uncertainties_leaves_five_percent() -> None:
    """MS-14: the default of ISO 14253-1:2017, from memory and recomputed: 5.2171."""
    guarded = D("5.25") - D("1.645") * D("0.02")
    assert guarded == D("5.2171")
    assert 1 - conformity_probability(guarded, D("0.04"), None, D("5.25")) == pytest.approx(0.05, abs=1e-4)
