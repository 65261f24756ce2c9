"""When a customer is told that a date moves, and why: not for every wobble. Pure.

The date is recomputed whenever facts change, and mostly moves by nothing that anyone would want a message about. What
the customer was told stays, until one of these holds:

- the day told is over, or its chance has fallen below 50 % or half of what was stated, whichever is more: told at once;
- the new date is later by a working day or more and has been later, on every day it was computed, for `STAYED_DAYS`
  working days, and the chance of the day told is 10 points or more below what was stated;
- the new date is earlier by `WORTH_DAYS` working days or more, by a quarter of what is left to wait too, and has been
  so for as long: a customer who made plans gains nothing from a day.

After a message the new date is the one told, so the rules begin anew: two messages lie at least `STAYED_DAYS` apart
unless the chance falls.
"""

from dataclasses import dataclass
from datetime import date
from enum import StrEnum

from shop.planning.worktime.working_days import working_days_between
from shop.planning.worktime.working_time import Calendar

STAYED_DAYS = 2
WORTH_DAYS = 3
_FLOOR_PERCENT, _SLACK_PERCENT = 50.0, 10.0
_WORTH_SHARE = 0.25


class Move(StrEnum):
    """Which way a date moves that the customer is told of."""

    LATER = "later"
    EARLIER = "earlier"


@dataclass(frozen=True, slots=True)
class Told:
    """What a customer was told: the day, and the percent stated."""

    on: date
    percent: int


@dataclass(frozen=True, slots=True)
class Seen:
    """What is known now: the day computed at the same percent, the chance (percent) that the day told still has, and
    since which day every computation has given a later day than told, or an earlier one; None when the last one agrees.
    """

    on: date
    told_chance_percent: float
    off_since: date | None


def worth_telling(told: Told, seen: Seen, today: date, calendar: Calendar) -> Move | None:
    """Return which way the date moves when the customer should be told, None when not; see the module for the rules.

    off_since is kept by whoever computes day by day: it is set when the new day first differs from the one told in the
    same direction, and cleared when it agrees.
    """
    floor = max(_FLOOR_PERCENT, told.percent / 2)
    stayed = seen.off_since is not None and working_days_between(calendar, seen.off_since, today) >= STAYED_DAYS
    later = working_days_between(calendar, told.on, seen.on)
    if later > 0:
        broken = told.on < today or seen.told_chance_percent < floor
        slipping = stayed and seen.told_chance_percent <= told.percent - _SLACK_PERCENT
        return Move.LATER if broken or slipping else None
    left = working_days_between(calendar, today, told.on)
    worth = -later >= WORTH_DAYS and -later >= _WORTH_SHARE * left
    return Move.EARLIER if stayed and worth else None


@dataclass(frozen=True, slots=True)
class Basis:
    """What a date rests on, kept with it so that a later one can be explained.

    Expected minutes of the work that comes first and of the unit's own; the day its parts are due, or None; the working
    minutes of those who work on it, from today up to a day that is the same for both; how often its test failed.
    """

    ahead_min: float
    own_min: float
    parts_due: date | None
    working_min: float
    failed_tests: int


@dataclass(frozen=True, slots=True)
class Cause:
    """Why a date moves: a code, and by how much: minutes of work or time, days, or tests.

    Codes: parts_later, parts_earlier (days; 0 when newly wanted), test_failed (tests), more_ahead, less_ahead,
    more_own, less_own, less_time, more_time (minutes).
    """

    code: str
    amount: float


# Less than this is no cause worth naming.
_LEAST_MIN = 15


def causes(before: Basis, after: Basis, move: Move) -> list[Cause]:
    """Return what explains the move from one basis to another, its parts and tests first, then the largest.

    Only what pulls in the direction of the move is named; empty when it is the sum of small things.
    """
    late = move is Move.LATER
    found = []
    if before.parts_due and after.parts_due and before.parts_due != after.parts_due:
        days = (after.parts_due - before.parts_due).days
        found.append((days > 0, Cause("parts_later" if days > 0 else "parts_earlier", abs(days))))
    elif after.parts_due and not before.parts_due:
        found.append((True, Cause("parts_later", 0)))
    if after.failed_tests > before.failed_tests:
        found.append((True, Cause("test_failed", after.failed_tests - before.failed_tests)))
    minutes = [
        (after.own_min - before.own_min, "more_own", "less_own"),
        (after.ahead_min - before.ahead_min, "more_ahead", "less_ahead"),
        (before.working_min - after.working_min, "less_time", "more_time"),
    ]
    for change, more, less in sorted(minutes, key=lambda each: -abs(each[0])):
        if abs(change) >= _LEAST_MIN:
            found.append((change > 0, Cause(more if change > 0 else less, abs(change))))
    return [cause for delays, cause in found if delays is late]
