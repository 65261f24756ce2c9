"""When everybody works, from what the owner entered: as calendars of `working_time`. Three queries."""

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace
from datetime import date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from shop.core.models import ShopProfile
from shop.people.models import User
from shop.planning.models import DayOff, ExtraDay, Shift
from shop.planning.worktime.working_days import public_holidays
from shop.planning.worktime.working_time import WHOLE_DAY, Calendar, Hours, minutes_between

WEEKDAYS = range(5)
_DAY_MIN = 24 * 60
_USUAL_START_MIN = 9 * 60


@dataclass(frozen=True, slots=True)
class Calendars:
    """The calendar of the shop and of each technician, by id, with what the holidays in them are called."""

    shop: Calendar
    of: dict[UUID, Calendar]
    holidays: dict[date, str] = field(default_factory=dict)


def usual_hours(minutes_per_day: int) -> Hours:
    """Return the hours of a shop that entered no shifts: so many minutes from 9:00, or until midnight."""
    begins = min(_USUAL_START_MIN, _DAY_MIN - minutes_per_day)
    return Hours(_clock(begins), _clock(begins + minutes_per_day))


def _clock(minute: int) -> time:
    hour, rest = divmod(minute % _DAY_MIN, 60)
    return time(hour, rest)


def usual_calendar(shop: ShopProfile) -> Calendar:
    """Return the usual week of a shop that entered nothing, without any query."""
    hours = (usual_hours(shop.minutes_per_day),)
    return Calendar(zone=ZoneInfo(shop.time_zone), week={weekday: hours for weekday in WEEKDAYS})


def hands_on_min(calendar: Calendar, began: datetime, ended: datetime) -> float:
    """Return the minutes worked from one moment to another: those of working time, where a night lies between.

    Nobody sits through the night at a unit whose clock was left running.
    """
    if ended <= began:
        return 0.0
    if began.astimezone(calendar.zone).date() == ended.astimezone(calendar.zone).date():
        return (ended - began).total_seconds() / 60
    return minutes_between(calendar, began, ended)


def holidays_of(shop: ShopProfile, first: date, last: date) -> dict[date, str]:
    """Return the public holidays that the shop keeps, by day; none when it keeps none or the place is not known."""
    country, _dash, region = shop.holidays_of.partition("-")
    if not country:
        return {}
    try:
        found = public_holidays(country, region or None, range(first.year, last.year + 1))
    except ValueError:
        return {}
    return {day: name for day, name in found.items() if first <= day <= last}


def calendars(shop: ShopProfile, people: Iterable[User], first: date, last: date) -> Calendars:
    """Return the calendars of the shop and its technicians for the days from first to last.

    A technician without shifts works Monday to Friday as long as the profile says. An extra day opens a day for
    everybody or for one, a day off closes it, whole or in part, and has the last word.
    """
    kept = holidays_of(shop, first, last)
    week, off, opened = _weeks(), _days_off(first, last), _extra_days(first, last)
    base = replace(usual_calendar(shop), closed=frozenset(kept), opened=opened[None], off=off[None])
    of = {}
    for person in people:
        mine = replace(base, week=week.get(person.pk) or base.week, opened={**opened[None], **opened[person.pk]})
        of[person.pk] = mine.with_days_off(off[person.pk])
    return Calendars(base, of, kept)


Days = dict[date, tuple[Hours, ...]]


def _weeks() -> dict[UUID, dict[int, list[Hours]]]:
    weeks: dict[UUID, dict[int, list[Hours]]] = defaultdict(lambda: defaultdict(list))
    for shift in Shift.objects.filter(retired_at=None):
        weeks[shift.technician_id][shift.weekday].append(Hours(shift.begins, shift.ends))
    return weeks


def _days_off(first: date, last: date) -> dict[UUID | None, Days]:
    found: dict[UUID | None, Days] = defaultdict(dict)
    for row in DayOff.objects.filter(Q(from_day__lte=last, until_day__gte=first), retired_at=None):
        part = Hours(row.begins, row.ends) if row.begins is not None and row.ends is not None else WHOLE_DAY
        days = found[row.technician_id]
        for day in _each_day(max(first, row.from_day), min(last, row.until_day)):
            days[day] = (*days.get(day, ()), part)
    return found


def _extra_days(first: date, last: date) -> dict[UUID | None, Days]:
    found: dict[UUID | None, Days] = defaultdict(dict)
    for row in ExtraDay.objects.filter(day__gte=first, day__lte=last, retired_at=None):
        days = found[row.technician_id]
        days[row.day] = (*days.get(row.day, ()), Hours(row.begins, row.ends))
    return found


def _each_day(first: date, last: date) -> Iterator[date]:
    for number in range((last - first).days + 1):
        yield first + timedelta(days=number)
