"""Flow: what is in the shop, what comes and goes, how long it stays and where, and where it will jam. Pure.

A visit is a stay of a unit in one stage. Units of time are hours by the clock, nights included, since that is what a
customer waits; utilisation alone is of working time.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, timedelta, tzinfo
from math import sqrt

import numpy as np

from shop.planning.worktime.working_time import Span

# From here on waits grow out of hand: at 85 % a line is about six services long, at 95 % about twenty (M/M/1).
UTILISATION_LIMIT = 0.85
# Three standard deviations: a line that grows so much by chance alone does so about once in 700 looks.
_SIGNIFICANT = 3.0
_LEAST_MOVES = 10


@dataclass(frozen=True, slots=True)
class Visit:
    """A unit's stay in a stage, from a moment up to another, or still going on (until is None).

    Raises ValueError for one that ends before it begins, or for moments without a zone.
    """

    unit: str
    stage: str
    since: datetime
    until: datetime | None = None

    def __post_init__(self) -> None:
        if self.since.tzinfo is None or (self.until and self.until.tzinfo is None):
            raise ValueError("a visit's moments need their zone")
        if self.until and self.until < self.since:
            raise ValueError("a visit ends after it begins")


@dataclass(frozen=True, slots=True)
class Day:
    """One local day: units that came, units that went, and units in work when it ended."""

    on: date
    came: int
    went: int
    in_work: int


@dataclass(frozen=True, slots=True)
class StageTime:
    """Time spent in one stage: of stays that ended, how many, median and 90th percentile; of those going on, how many
    and how long the longest has lasted. Hours; None where no stay ended or none goes on.
    """

    stage: str
    ended: int
    median_h: float | None
    ninety_h: float | None
    going_on: int
    longest_going_on_h: float | None


@dataclass(frozen=True, slots=True)
class LittlesLaw:
    """L = λW held against a window of time, all counted apart.

    in_work is the average number there (L), per_day the arrivals a day (λ), stay_days their mean stay (W). discrepancy
    is L − λW. Of it, carried_in is what units that were there before the window add, cut_off what arrivals spend after
    its end: the two explain it wholly, and both vanish beside L as the window grows.
    """

    in_work: float
    per_day: float
    stay_days: float
    discrepancy: float
    carried_in: float
    cut_off: float


@dataclass(frozen=True, slots=True)
class Jam:
    """A warning: where (a stage or a technician), its code, its figure and the limit that it passes.

    Codes: utilisation_high (shares of working time), queue_growing (units come beyond those gone, in the window).
    """

    where: str
    code: str
    figure: float
    limit: float


def stays(visits: Iterable[Visit]) -> list[Visit]:
    """Put the visits of each unit together into its stay in the shop, from its first until its last, stage empty."""
    by_unit: dict[str, list[Visit]] = defaultdict(list)
    for visit in visits:
        by_unit[visit.unit].append(visit)
    found = []
    for unit, own in by_unit.items():
        ends = [visit.until for visit in own if visit.until]
        found.append(Visit(unit, "", min(visit.since for visit in own), max(ends) if len(ends) == len(own) else None))
    return sorted(found, key=lambda stay: (stay.since, stay.unit))


def by_day(visits: Iterable[Visit], first: date, last: date, zone: tzinfo) -> list[Day]:
    """Return for each local day, both ends included, what came, what went, and what was in work at its end.

    Raises ValueError when the last day lies before the first.
    """
    if last < first:
        raise ValueError("the last day lies before the first")
    came: dict[date, int] = defaultdict(int)
    went: dict[date, int] = defaultdict(int)
    for stay in stays(visits):
        came[stay.since.astimezone(zone).date()] += 1
        if stay.until:
            went[stay.until.astimezone(zone).date()] += 1
    in_work = sum(count for day, count in came.items() if day < first)
    in_work -= sum(count for day, count in went.items() if day < first)
    days = []
    for day in (first + timedelta(days=each) for each in range((last - first).days + 1)):
        in_work += came[day] - went[day]
        days.append(Day(day, came[day], went[day], in_work))
    return days


def time_in_stages(visits: Sequence[Visit], since: datetime, until: datetime) -> list[StageTime]:
    """Return the time in each stage, of visits that ended from since up to until, and of those going on at until.

    The stages stand in the order in which they first appear. Short stays end first, so right after a jam begins the
    ended ones look better than it is: the longest that goes on tells.
    """
    found = []
    for stage in dict.fromkeys(visit.stage for visit in visits):
        own = [visit for visit in visits if visit.stage == stage and visit.since < until]
        ended = [_hours(visit.since, visit.until) for visit in own if visit.until and since <= visit.until < until]
        ages = [_hours(visit.since, until) for visit in own if visit.until is None or visit.until >= until]
        middle, ninety = np.percentile(ended, [50, 90]).tolist() if ended else (None, None)
        found.append(StageTime(stage, len(ended), middle, ninety, len(ages), max(ages, default=None)))
    return found


def utilisation(worked: Iterable[Span], available: Iterable[Span]) -> float | None:
    """Return which share of one technician's working time was worked; None without working time.

    Work outside of working time counts too, so the share may pass 1. Spans of one list do not overlap.
    """
    there = sum(span.minutes for span in available)
    return sum(span.minutes for span in worked) / there if there else None


def littles_law(visits: Iterable[Visit], since: datetime, until: datetime) -> LittlesLaw | None:
    """Hold L = λW against the stays in a window; None when nothing came in it.

    Stays that go on count as long as they have lasted at the end of the window. Raises ValueError for a window that
    ends before it begins.
    """
    if until <= since:
        raise ValueError("a window ends after it begins")
    window = _hours(since, until) / 24
    known = [(stay.since, stay.until or max(until, stay.since)) for stay in stays(visits)]
    inside = [max(0.0, _hours(max(begin, since), min(end, until))) / 24 for begin, end in known]
    lengths = [_hours(begin, end) / 24 for begin, end in known if since <= begin < until]
    if not lengths:
        return None
    carried = sum(part for part, (begin, _end) in zip(inside, known, strict=True) if begin < since) / window
    cut = sum(max(0.0, _hours(until, end)) / 24 for begin, end in known if since <= begin < until) / window
    in_work, per_day, stay = sum(inside) / window, len(lengths) / window, sum(lengths) / len(lengths)
    return LittlesLaw(in_work, per_day, stay, in_work - per_day * stay, carried, cut)


def overbooked(
    booked_min: Mapping[str, float], available_min: Mapping[str, float], limit: float = UTILISATION_LIMIT
) -> list[Jam]:
    """Return a warning for each technician who is booked beyond a share of the working time ahead.

    Both are minutes by technician. Who is booked without any working time is warned of too. Raises ValueError for a
    limit that is not above 0.
    """
    if not limit > 0:
        raise ValueError("a limit is above 0")
    found = []
    for technician, minutes in booked_min.items():
        there = available_min.get(technician, 0.0)
        share = minutes / there if there else float("inf") if minutes else 0.0
        if share > limit:
            found.append(Jam(technician, "utilisation_high", share, limit))
    return found


def filling_up(visits: Sequence[Visit], since: datetime, until: datetime) -> list[Jam]:
    """Return a warning for each stage into which more came than went in a window, beyond what chance does.

    Chance is arrivals and departures at random, of variance came + went; the limit is three standard deviations, and
    with fewer than ten of both nothing is said.
    """
    found = []
    for stage in dict.fromkeys(visit.stage for visit in visits):
        own = [visit for visit in visits if visit.stage == stage]
        came = sum(since <= visit.since < until for visit in own)
        went = sum(visit.until is not None and since <= visit.until < until for visit in own)
        chance = _SIGNIFICANT * sqrt(came + went)
        if came + went >= _LEAST_MOVES and came - went > chance:
            found.append(Jam(stage, "queue_growing", float(came - went), chance))
    return found


def _hours(since: datetime, until: datetime) -> float:
    return (until - since).total_seconds() / 3600
