"""A date worth promising, from three-point estimates. Pure.

Source: the beta approximation of PERT, mean (a + 4m + b) / 6 and standard deviation (b − a) / 6 (Malcolm, Roseboom,
Clark and Fazar, Application of a Technique for Research and Development Program Evaluation, Operations Research 7,
1959); means and variances of a row of jobs are added and the sum is taken as normal, as is common practice.

Range: good for a handful of jobs and more, whose estimates err independently. One job alone is less normal than that,
and a shop that misjudges all its work the same way will be later than it says: only a record of kept promises tells.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from math import sqrt
from statistics import NormalDist

from shop.core.reasons import Reason, Refused
from shop.planning.promises.estimates import Estimate

# Nobody can promise further ahead than this.
HORIZON = timedelta(days=5 * 365)
LEAST_PERCENT, MOST_PERCENT = 50, 99


@dataclass(frozen=True, slots=True)
class Workload:
    """A row of jobs done one after another, as a normal distribution of minutes."""

    mean_min: float
    sd_min: float

    def chance_within(self, minutes: float) -> float:
        """Return the chance, 0 to 1, that the row is done within so many minutes."""
        if self.sd_min == 0:
            return float(minutes >= self.mean_min)
        return NormalDist(self.mean_min, self.sd_min).cdf(minutes)


def in_a_row(jobs: Sequence[Estimate]) -> Workload:
    """Add up jobs done one after another: means add, variances add."""
    return Workload(sum(job.mean_min for job in jobs), sqrt(sum(job.sd_min**2 for job in jobs)))


@dataclass(frozen=True, slots=True)
class Situation:
    """What a date is computed from.

    ahead are the jobs that come first, own is this one; minutes_a_day is what the shop works on units in a day, on
    weekdays (Monday is 0). Work goes on from the day after today, since what is left of today is not known; own work
    does not begin before earliest_start, when its parts are due.
    """

    today: date
    ahead: tuple[Estimate, ...]
    own: Estimate
    minutes_a_day: int
    weekdays: frozenset[int]
    earliest_start: date | None = None

    def __post_init__(self) -> None:
        if self.minutes_a_day < 1:
            raise ValueError("a working day needs at least one minute")
        if not self.weekdays or not self.weekdays <= frozenset(range(7)):
            raise ValueError("weekdays are from 0 (Monday) to 6, and one at least")

    @property
    def first_day(self) -> date:
        """Return the first day whose minutes count."""
        return self.today + timedelta(days=1)


@dataclass(frozen=True, slots=True)
class Forecast:
    """The day, the percent asked for, the chance that the day really has (as percent), and the minutes behind it."""

    on: date
    percent: int
    chance_percent: float
    mean_min: float
    sd_min: float
    minutes_until: int


def forecast(situation: Situation, percent: int) -> Forecast:
    """Return the first working day by which the job is done with at least `percent` percent (50 to 99).

    Raises ValueError for another percent, since a date that is more likely missed than kept is no promise, and
    Refused with `promise_beyond_horizon` when the day is over five years away.
    """
    if not LEAST_PERCENT <= percent <= MOST_PERCENT:
        raise ValueError(f"percent is from {LEAST_PERCENT} to {MOST_PERCENT}")
    row, own = _workloads(situation)
    day = situation.today
    while day < situation.today + HORIZON:
        day += timedelta(days=1)
        if day.weekday() in situation.weekdays:
            reached = _chance(situation, row, own, day)
            if reached * 100 >= percent:
                until = _minutes(situation, situation.first_day, day)
                return Forecast(day, percent, 100 * reached, row.mean_min, row.sd_min, until)
    raise Refused(Reason("promise_beyond_horizon", {"years": HORIZON.days // 365}))


def chance(situation: Situation, day: date) -> float:
    """Return the chance, 0 to 1, that the job is done by the end of any given day."""
    return _chance(situation, *_workloads(situation), day)


def _workloads(situation: Situation) -> tuple[Workload, Workload]:
    return in_a_row([*situation.ahead, situation.own]), in_a_row([situation.own])


def _chance(situation: Situation, row: Workload, own: Workload, day: date) -> float:
    """Ask for two things: the whole row within the minutes until then, the own work within those since its start.

    They share the own work, so they go well together at least as often as if they were independent, and their
    product errs on the careful side.
    """
    start = situation.earliest_start or situation.first_day
    if day < max(start, situation.first_day):
        return 0.0
    whole = row.chance_within(_minutes(situation, situation.first_day, day))
    if start <= situation.first_day:
        return whole
    return whole * own.chance_within(_minutes(situation, start, day))


def _minutes(situation: Situation, first: date, last: date) -> int:
    """Return the minutes that the shop works on units from one day to another, both included."""
    weeks, rest = divmod((last - first).days + 1, 7)
    spare = sum((first.weekday() + step) % 7 in situation.weekdays for step in range(rest))
    return (weeks * len(situation.weekdays) + spare) * situation.minutes_a_day
