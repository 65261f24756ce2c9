"""How often a test lets a bad item pass or turns a good one away, over everything that is tested (global risk).

Source: the definitions of NCSLI RP-19's draft tables, as suncal's test_risk.py quotes them: items and errors of the
test both normal and centred, limits ± 1.
"""

import math
from collections.abc import Callable
from dataclasses import dataclass
from statistics import NormalDist

from shop.engineering.inputs import in_range

_STEPS = 4000


@dataclass(frozen=True, slots=True)
class Risk:
    """Shares of all that is tested: bad items that pass, and good ones that are turned away."""

    false_accept: float
    false_reject: float


def global_risk(in_tolerance: float, uncertainty_ratio: float) -> Risk:
    """Return both risks of accepting at the limits themselves, without a guard band.

    in_tolerance is the share of items that keep the limits, 0.2 to 0.9999; uncertainty_ratio the standard uncertainty
    of the test over the standard deviation of the items, 0.001 to 2. By Simpson's rule, to about 1e-8. Raises BadInput.
    """
    in_range("in_tolerance", in_tolerance, "", 0.2, 0.9999)
    in_range("uncertainty_ratio", uncertainty_ratio, "", 0.001, 2)
    items = NormalDist(0, 1 / NormalDist().inv_cdf((1 + in_tolerance) / 2))
    test = items.stdev * uncertainty_ratio

    def passes(true: float) -> float:
        """Return the share of tests that read within the limits, of an item whose value is true."""
        return (math.erf((1 - true) / test / math.sqrt(2)) - math.erf((-1 - true) / test / math.sqrt(2))) / 2

    # Only near the limit does a test err: nine of its deviations away the share is below 1e-18.
    accepted = 2 * _simpson(lambda true: items.pdf(true) * passes(true), 1, 1 + 9 * test)
    rejected = 2 * _simpson(lambda true: items.pdf(true) * (1 - passes(true)), max(0.0, 1 - 9 * test), 1)
    return Risk(accepted, rejected)


def _simpson(curve: Callable[[float], float], low: float, high: float) -> float:
    width = (high - low) / _STEPS
    inner = sum((4 if place % 2 else 2) * curve(low + place * width) for place in range(1, _STEPS))
    return (curve(low) + inner + curve(high)) * width / 3
