"""Were promises kept as often as they said? Counted, and put right in the promises to come. Pure.

The correction is adaptive conformal inference (Gibbs and Candès, Adaptive Conformal Inference under Distribution Shift,
NeurIPS 2021): after every promise that falls due, the confidence used moves a little up when it was missed and down
when it was kept, in the proportion that leaves it alone when as many are kept as stated. In the long run that share is
reached whatever is wrong with the forecast. The step is one on the normal scale (probit), so that one correction serves
all stated confidences: that which takes 80 % to 84.1 % takes 90 % to 93.3 %.

Range: the mean error of n promises is at most what the correction has moved over n times the gain, so 100 promises say
little and 500 hold it near 3 points. It is right on average, not for each kind of unit apart. Promises count when their
day is over, finished or not: those still open then were missed, so nothing late is left out.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from statistics import NormalDist

from shop.engineering.shares import wilson
from shop.planning.promises.forecast import LEAST_PERCENT, MOST_PERCENT

# How far one missed promise at 80 % moves the correction: 0.8 of it.
GAIN = 0.04
_FURTHEST = 1.5
# No promise is made with less, whatever the record. It lies a little below even: the day that is promised ends later
# than its moment, so hardly one in fifty of these days is less likely kept than missed (seen in a simulated year).
LEAST_USED_PERCENT = 40
_NORMAL = NormalDist()


@dataclass(frozen=True, slots=True)
class Outcome:
    """A promise whose day is over: the day, the percent stated (1 to 99), and whether the unit was done by then."""

    on: date
    percent: int
    kept: bool


@dataclass(frozen=True, slots=True)
class KeptShare:
    """Of the promises at one stated percent: how many, how many were kept, in percent, with its 95 % interval."""

    percent: int
    promised: int
    kept: int
    kept_percent: float
    low_percent: float
    high_percent: float

    @property
    def agrees(self) -> bool:
        """Say whether the stated percent lies within the interval, so that the record does not speak against it."""
        return self.low_percent <= self.percent <= self.high_percent


def kept_shares(outcomes: Sequence[Outcome]) -> list[KeptShare]:
    """Return how many promises were kept, by stated percent from low to high. The interval is Wilson's.

    Promises of one busy week are kept or missed together, so the interval is rather too narrow.
    """
    shares = []
    for percent in sorted({outcome.percent for outcome in outcomes}):
        kept = [outcome.kept for outcome in outcomes if outcome.percent == percent]
        low, high = wilson(sum(kept), len(kept))
        shares.append(KeptShare(percent, len(kept), sum(kept), 100 * sum(kept) / len(kept), 100 * low, 100 * high))
    return shares


def correction(outcomes: Sequence[Outcome]) -> float:
    """Return what the record adds to a confidence on the normal scale: 0 for none, above 0 when too many were missed.

    Outcomes count in the order of their days. It goes up by 1.5 at most, and down no further than where 40 % would be
    used: a long good time beyond that leaves no debt that a bad time has to pay back first. Raises ValueError for a
    percent outside 1 to 99.
    """
    moved = 0.0
    for outcome in sorted(outcomes, key=lambda each: each.on):
        if not 1 <= outcome.percent <= MOST_PERCENT:
            raise ValueError("a promise has 1 to 99 percent")
        lowest = min(0.0, _NORMAL.inv_cdf(LEAST_USED_PERCENT / 100) - _NORMAL.inv_cdf(outcome.percent / 100))
        moved = min(_FURTHEST, max(lowest, moved + GAIN * (outcome.percent / 100 - outcome.kept)))
    return moved


def percent_to_use(percent: int, outcomes: Sequence[Outcome]) -> float:
    """Return the percent to forecast with so that a promise stated at `percent` (50 to 99) is kept as often as it says.

    It is 40 at least, since a date that is far more likely missed than kept is no promise. Where a whole day is long
    beside what is uncertain, as in a shop of small even jobs, rounding up to days then keeps more than stated. Raises
    ValueError for a percent outside 50 to 99.
    """
    if not LEAST_PERCENT <= percent <= MOST_PERCENT:
        raise ValueError(f"percent is from {LEAST_PERCENT} to {MOST_PERCENT}")
    used = 100 * _NORMAL.cdf(_NORMAL.inv_cdf(percent / 100) + correction(outcomes))
    return max(float(LEAST_USED_PERCENT), used)
