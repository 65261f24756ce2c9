"""Dates worth promising: the working day by whose end a unit is done with a given chance, from a simulation. Pure."""

from bisect import bisect_left
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from math import ceil

import numpy as np
from numpy.typing import NDArray

from shop.core.reasons import Reason, Refused
from shop.planning.promises.forecast import HORIZON, LEAST_PERCENT, MOST_PERCENT
from shop.planning.promises.simulation import Finishes
from shop.planning.worktime.working_time import Calendar


@dataclass(frozen=True, slots=True)
class PromiseDate:
    """A working day; the percent asked for, that used in its place by the record, and that which the day really has."""

    on: date
    percent: int
    used_percent: float
    chance_percent: float


@dataclass(frozen=True, slots=True)
class Dates:
    """For each unit the working days on which its runs finish, as sorted places in days; see `by_day`."""

    days: tuple[date, ...]
    places: Mapping[str, NDArray[np.intp]]

    def promise(self, unit: str, percent: int, used_percent: float | None = None) -> PromiseDate:
        """Return the first working day by whose end a unit is done in `percent` percent (50 to 99) of the runs.

        used_percent is what the record of kept promises makes of percent (`calibration`), above 0 and below 100.
        Raises ValueError for another percent, KeyError for an unknown unit, and Refused with `promise_beyond_horizon`
        when the working time that was given does not hold the unit so surely.
        """
        used = percent if used_percent is None else used_percent
        if not LEAST_PERCENT <= percent <= MOST_PERCENT:
            raise ValueError(f"percent is from {LEAST_PERCENT} to {MOST_PERCENT}")
        if not 0 < used < 100:
            raise ValueError("the percent used is above 0 and below 100")
        places = self.places[unit]
        # A hair's breadth off, since 0.07 × 100 is more than 7 in binary.
        place = int(places[ceil(used / 100 * len(places) - 1e-9) - 1])
        if place == len(self.days):
            raise Refused(Reason("promise_beyond_horizon", {"years": HORIZON.days // 365}))
        return PromiseDate(self.days[place], percent, used, 100 * self.chance(unit, self.days[place]))

    def chance(self, unit: str, day: date) -> float:
        """Return the chance, 0 to 1, that a unit is done by the end of any day. Raises KeyError for an unknown unit."""
        last = bisect_left(self.days, day + timedelta(days=1)) - 1
        places = self.places[unit]
        return float(np.searchsorted(places, last, side="right")) / len(places)


def by_day(finishes: Finishes, calendar: Calendar, until: datetime) -> Dates:
    """Round finishes up to the shop's working days: what is finished after closing counts for the next.

    until is where the technicians' working time ends; nothing is promised later. The days are local ones of the
    calendar's zone.
    """
    day, last = finishes.start.astimezone(calendar.zone).date(), until.astimezone(calendar.zone).date()
    days, closings = [], []
    while day <= last:
        spans = calendar.spans_of(day)
        if spans and spans[-1].until >= finishes.start.astimezone(UTC):
            days.append(day)
            closings.append((spans[-1].until - finishes.start).total_seconds() / 60)
        day += timedelta(days=1)
    edges = np.array(closings, dtype=np.float64) + 1e-6
    return Dates(
        tuple(days),
        {unit: np.sort(np.searchsorted(edges, minutes)) for unit, minutes in finishes.minutes.items()},
    )
