"""Whether a measured value keeps its limits, given how well it was measured.

Sources: ISO 14253-1 and ILAC-G8:09/2019 (a guard band as wide as the expanded uncertainty on both sides of a limit),
JCGM 106:2012 clause 7 (probability of conformity of a normally distributed value). Expanded uncertainties have the
coverage factor 2, that is about 95 %. Value, limits and uncertainty are in one unit, whichever it is.
"""

import math
from decimal import Decimal
from enum import StrEnum

COVERAGE_FACTOR = 2


class Verdict(StrEnum):
    """What may be said: undecided when the measurement is not good enough to tell."""

    PASS = "pass"  # noqa: S105
    FAIL = "fail"
    UNDECIDED = "undecided"


def verdict(value: Decimal, uncertainty: Decimal, low: Decimal | None, high: Decimal | None) -> Verdict:
    """Return the verdict on a value with its expanded uncertainty, not below 0, and limits of which one may be None.

    Pass when the whole interval value ± uncertainty lies within the limits, touching them included; fail when all of
    it lies beyond one of them; else undecided. Exact up to 28 digits. Raises ValueError for limits that are missing or
    crossed, and for a negative uncertainty or what is not a finite number.
    """
    _check(value, uncertainty, low, high)
    least, most = value - uncertainty, value + uncertainty
    if (low is not None and most < low) or (high is not None and least > high):
        return Verdict.FAIL
    if (low is None or least >= low) and (high is None or most <= high):
        return Verdict.PASS
    return Verdict.UNDECIDED


def acceptance_limits(
    uncertainty: Decimal, low: Decimal | None, high: Decimal | None
) -> tuple[Decimal | None, Decimal | None]:
    """Return the limits drawn in by the guard band, between which a measured value passes.

    They cross when the uncertainty is over half of the tolerance: then no value passes with this instrument. Raises
    ValueError like `verdict`.
    """
    _check(Decimal(0), uncertainty, low, high)
    return (None if low is None else low + uncertainty, None if high is None else high - uncertainty)


def conformity_probability(value: Decimal, uncertainty: Decimal, low: Decimal | None, high: Decimal | None) -> float:
    """Return the probability, 0 to 1, that the true value keeps the limits: normal, standard uncertainty U / 2.

    Source: JCGM 106:2012 clause 7. Good to about 1e-15. Raises ValueError like `verdict`.
    """
    _check(value, uncertainty, low, high)
    if uncertainty == 0:
        return 1.0 if verdict(value, uncertainty, low, high) is Verdict.PASS else 0.0
    standard = uncertainty / COVERAGE_FACTOR
    below = 0.0 if low is None else _normal(float((low - value) / standard))
    above = 0.0 if high is None else _normal(float((value - high) / standard))
    return max(0.0, 1.0 - below - above)


def _normal(deviations: float) -> float:
    """Return the standard normal distribution function; by erfc, which keeps its digits in the lower tail."""
    return math.erfc(-deviations / math.sqrt(2)) / 2


def _check(value: Decimal, uncertainty: Decimal, low: Decimal | None, high: Decimal | None) -> None:
    if low is None and high is None:
        raise ValueError("a verdict needs a limit")
    if not all(number.is_finite() for number in (value, low, high, uncertainty) if number is not None):
        raise ValueError("value, limits and uncertainty must be finite numbers")
    if low is not None and high is not None and low > high:
        raise ValueError(f"the lower limit {low} is above the upper limit {high}")
    if uncertainty < 0:
        raise ValueError(f"the uncertainty {uncertainty} is negative")
