"""Working time: shifts of a week on the shop's clock, days closed and opened, a person's days off. Pure.

Shifts are wall-clock times in the shop's zone, so the same shift is another moment in summer. Where the clock jumps,
minutes are those that really pass: a time that the clock skips means the moment of the jump, a time that it shows twice
means the first. So a shift from 01:00 to 04:00 lasts two hours on the night that loses one and four on the night that
gains one, and a shift that lies wholly in the skipped hour does not take place.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import UTC, date, datetime, time, timedelta, tzinfo
from itertools import pairwise

_DAY_MIN = 24 * 60
# Whoever asks for more working time than lies within this many days is told that there is none.
HORIZON = timedelta(days=5 * 365)


@dataclass(frozen=True, slots=True, order=True)
class Hours:
    """A stretch of one day on the wall clock, in whole minutes; ends at 00:00 means until midnight.

    Raises ValueError when it ends before it begins: a night shift is written as two, one until 00:00 and one from 00:00
    on the next day. Also for a length of nothing, seconds, or a time with a zone of its own.
    """

    begins: time
    ends: time

    def __post_init__(self) -> None:
        for each in (self.begins, self.ends):
            if each.tzinfo or each.second or each.microsecond:
                raise ValueError("hours are whole minutes on the shop's clock, without a zone of their own")
        if self.until_min <= self.from_min:
            raise ValueError("a shift ends after it begins; write a night shift as two, with midnight between")

    @property
    def from_min(self) -> int:
        """Return the wall-clock minutes from midnight at which it begins."""
        return 60 * self.begins.hour + self.begins.minute

    @property
    def until_min(self) -> int:
        """Return the wall-clock minutes from midnight at which it ends, up to 1440."""
        return 60 * self.ends.hour + self.ends.minute or _DAY_MIN


WHOLE_DAY = Hours(time(0), time(0))


@dataclass(frozen=True, slots=True)
class Span:
    """A stretch of time in UTC, from its first moment up to its last."""

    since: datetime
    until: datetime

    @property
    def minutes(self) -> float:
        """Return its length in minutes."""
        return (self.until - self.since).total_seconds() / 60


@dataclass(frozen=True, slots=True)
class Calendar:
    """When work is done: of the shop, or with days off of one technician.

    week has the hours by weekday (Monday is 0); closed are days without work, such as public holidays; opened gives
    days their own hours in place of the week's and of a closure, such as one Saturday; off is taken away from all of
    that, by day, whole or in part. Hours of one day may touch or overlap and count once. Raises ValueError for a
    weekday that is none.
    """

    zone: tzinfo
    week: Mapping[int, Sequence[Hours]]
    closed: frozenset[date] = frozenset()
    opened: Mapping[date, Sequence[Hours]] = field(default_factory=dict)
    off: Mapping[date, Sequence[Hours]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        if not set(self.week) <= set(range(7)):
            raise ValueError("weekdays are from 0 (Monday) to 6")

    def with_days_off(self, off: Mapping[date, Sequence[Hours]]) -> "Calendar":
        """Return the same calendar with more time off, by day: WHOLE_DAY or a part."""
        days = {*self.off, *off}
        return replace(self, off={day: (*self.off.get(day, ()), *off.get(day, ())) for day in days})

    def spans_of(self, day: date) -> list[Span]:
        """Return the working time of one local calendar day in UTC, in order; empty when there is none."""
        if day in self.opened:
            hours = self.opened[day]
        else:
            hours = () if day in self.closed else self.week.get(day.weekday(), ())
        if not hours:
            return []
        minutes = _without(_union(hours), _union(self.off.get(day, ())))
        spans = [Span(_moment(self.zone, day, first), _moment(self.zone, day, last)) for first, last in minutes]
        return [span for span in spans if span.since < span.until]

    def works_on(self, day: date) -> bool:
        """Say whether any time is worked on a local calendar day."""
        return bool(self.spans_of(day))


def spans_between(calendar: Calendar, since: datetime, until: datetime) -> list[Span]:
    """Return the working time from one moment up to another as spans in UTC, in order; those that touch are one.

    Raises ValueError for a moment without a zone.
    """
    found: list[Span] = []
    for span in _spans_from(calendar, since):
        if span.since >= _utc(until):
            break
        cut = Span(span.since, min(span.until, _utc(until)))
        if found and found[-1].until == cut.since:
            found[-1] = Span(found[-1].since, cut.until)
        else:
            found.append(cut)
    return found


def minutes_between(calendar: Calendar, since: datetime, until: datetime) -> float:
    """Return the working minutes from one moment up to another; none when the second is not later."""
    return sum(span.minutes for span in spans_between(calendar, since, until))


def moment_after(calendar: Calendar, since: datetime, minutes: float) -> datetime | None:
    """Return the first moment (UTC) at which so many working minutes have passed; since itself for none.

    None when five years do not hold that much working time. Raises ValueError for less than no minutes.
    """
    if not minutes >= 0:
        raise ValueError("minutes that pass are none or more")
    left = minutes
    if left == 0:
        return _utc(since)
    for span in _spans_from(calendar, since):
        if span.minutes >= left:
            return span.since + timedelta(minutes=left)
        left -= span.minutes
    return None


def to_slots(spans: Iterable[Span], start: datetime, slot_minutes: int, horizon_slots: int) -> list[tuple[int, int]]:
    """Return the whole slots that lie in spans of time, counted from a start: (from_slot, until_slot), in order.

    Slots are slot_minutes long and end at the horizon. A slot that is worked only in part is left out, so that
    nothing is planned into time that is not there. Raises ValueError for a slot of less than a minute.
    """
    if slot_minutes < 1:
        raise ValueError("a slot has a minute at least")
    length = timedelta(minutes=slot_minutes)
    found: list[tuple[int, int]] = []
    for span in spans:
        first = max(0, -((start - span.since) // length))
        last = min(horizon_slots, (span.until - start) // length)
        if first < last:
            found.append((first, last))
    return found


def _spans_from(calendar: Calendar, since: datetime) -> Iterator[Span]:
    begin = _utc(since)
    # A day earlier, since zones lie up to a day apart; what is over is left out.
    day = begin.date() - timedelta(days=1)
    last = day + HORIZON
    while day <= last:
        for span in calendar.spans_of(day):
            if span.until > begin:
                yield Span(max(span.since, begin), span.until)
        day += timedelta(days=1)


def _utc(moment: datetime) -> datetime:
    if moment.tzinfo is None:
        raise ValueError("a moment needs its zone")
    return moment.astimezone(UTC)


def _moment(zone: tzinfo, day: date, minute: int) -> datetime:
    wall = datetime.combine(day, time(0), zone) + timedelta(minutes=minute)
    moment = wall.astimezone(UTC)
    if moment.astimezone(zone).replace(tzinfo=None) == wall.replace(tzinfo=None):
        return moment
    # The clock skips this time. Its two readings lie on either side of the jump, which is then found by halving.
    before, after = wall.replace(fold=1).astimezone(UTC), moment
    offset = after.astimezone(zone).utcoffset()
    while after - before > timedelta(seconds=1):
        middle = before + (after - before) // 2
        before, after = (before, middle) if middle.astimezone(zone).utcoffset() == offset else (middle, after)
    return after.replace(microsecond=0)


def _union(hours: Iterable[Hours]) -> list[tuple[int, int]]:
    joined: list[tuple[int, int]] = []
    for each in sorted(hours, key=lambda each: (each.from_min, each.until_min)):
        if joined and each.from_min <= joined[-1][1]:
            joined[-1] = (joined[-1][0], max(joined[-1][1], each.until_min))
        else:
            joined.append((each.from_min, each.until_min))
    return joined


def _without(kept: list[tuple[int, int]], taken: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """Take stretches away from others: what is left between each two that are taken."""
    edges = [(0, 0), *taken, (_DAY_MIN, _DAY_MIN)]
    free = [(before[1], after[0]) for before, after in pairwise(edges)]
    cut = [(max(first, begin), min(last, end)) for first, last in kept for begin, end in free]
    return [(first, last) for first, last in cut if first < last]
