"""What few cases tell: the interval of a share, and a check standard that is measured again and again.

Sources: Newcombe 1998 (Stat. Med. 17:857) for the Wilson interval; Clopper and Pearson; NIST/SEMATECH e-Handbook 6.3
for control charts.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

from shop.engineering.inputs import in_range
from shop.engineering.meters import incomplete_beta


def wilson(hits: int, cases: int, coverage: float = 0.95) -> tuple[float, float]:
    """Return the Wilson interval, without continuity correction, of a share of 0 to 1 000 000 cases.

    Raises BadInput for no cases, or more hits than cases.
    """
    _counts(hits, cases, coverage)
    z = NormalDist().inv_cdf((1 + coverage) / 2)
    share, weight = hits / cases, 1 + z * z / cases
    middle = (share + z * z / (2 * cases)) / weight
    half = z * math.sqrt(share * (1 - share) / cases + z * z / (4 * cases * cases)) / weight
    return max(0.0, middle - half) if hits else 0.0, min(1.0, middle + half) if hits < cases else 1.0


def clopper_pearson(hits: int, cases: int, coverage: float = 0.95) -> tuple[float, float]:
    """Return the exact interval of a share, which is never too narrow. Otherwise as `wilson`."""
    _counts(hits, cases, coverage)
    tail = (1 - coverage) / 2
    low = _beta_quantile(tail, hits, cases - hits + 1) if hits else 0.0
    high = _beta_quantile(1 - tail, hits + 1, cases - hits) if hits < cases else 1.0
    return low, high


def _beta_quantile(share: float, a: float, b: float) -> float:
    low, high = 0.0, 1.0
    for _step in range(60):
        middle = (low + high) / 2
        low, high = (middle, high) if incomplete_beta(a, b, middle) < share else (low, middle)
    return (low + high) / 2


def _counts(hits: int, cases: int, coverage: float) -> None:
    in_range("cases", cases, "", 1, 1_000_000)
    in_range("hits", hits, "", 0, cases)
    in_range("coverage", coverage, "", 0.5, 0.999)


@dataclass(frozen=True, slots=True)
class Chart:
    """A smoothed series with its control limits, and the places (from 0) of what lies outside."""

    smoothed: tuple[float, ...]
    low: float
    high: float
    outside: tuple[int, ...]


def smoothed_chart(readings: Sequence[float], target: float, deviation: float, weight: float = 0.3) -> Chart:
    """Return an exponentially weighted chart of 1 to 10 000 readings of a check standard, with limits of 3 sigma.

    It shows a slow drift that single readings hide. weight 0.05 to 1 is that of the newest; the limits are those of a
    long series. The first value is the target. Raises BadInput. Source: NIST/SEMATECH e-Handbook 6.3.2.4.
    """
    in_range("readings", len(readings), "", 1, 10_000)
    in_range("weight", weight, "", 0.05, 1)
    in_range("deviation", deviation, "", 0, 1e12, low_open=True)
    in_range("target", target, "", -1e12, 1e12)
    smoothed = [target]
    for each in readings:
        smoothed.append(weight * in_range("readings", each, "", -1e12, 1e12) + (1 - weight) * smoothed[-1])
    half = 3 * deviation * math.sqrt(weight / (2 - weight))
    low, high = target - half, target + half
    outside = tuple(place for place, value in enumerate(smoothed[1:]) if not low <= value <= high)
    return Chart(tuple(smoothed), low, high, outside)


def mean_deviation_constant(count: int) -> float:
    """Return c4, by which the standard deviation of 2 to 100 readings is low on average. Raises BadInput."""
    in_range("count", count, "", 2, 100)
    return math.sqrt(2 / (count - 1)) * math.exp(math.lgamma(count / 2) - math.lgamma((count - 1) / 2))
