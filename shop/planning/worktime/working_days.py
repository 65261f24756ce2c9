"""Working days: the next, the one before, the nth, how many; and public holidays by country. Pure.

Holidays are those of the `holidays` library: official public holidays of a country and, where it has them, of a
state or province. They are right as far as the library's authors know them; a shop closes and opens days as it likes.
"""

from collections.abc import Iterable
from datetime import date, timedelta

import holidays

from shop.planning.worktime.working_time import HORIZON, Calendar

_ONE = timedelta(days=1)


def public_holidays(country: str, subdivision: str | None, years: Iterable[int]) -> dict[date, str]:
    """Return the public holidays of years with their names in the country's language.

    country is an ISO 3166-1 code of two letters, subdivision the library's code of a state or province, or None. Raises
    ValueError for a country or subdivision that the library does not know.
    """
    try:
        found = holidays.country_holidays(country, subdiv=subdivision, years=sorted(set(years)), expand=False)
    except NotImplementedError as unknown:
        raise ValueError(f"no public holidays are known for {country} {subdivision or ''}".rstrip()) from unknown
    return dict(sorted(found.items()))


def working_day_from(calendar: Calendar, day: date) -> date | None:
    """Return the day itself when it is worked, or the next that is; None when none is within five years."""
    return _nearest(calendar, day, _ONE)


def next_working_day(calendar: Calendar, day: date) -> date | None:
    """Return the first working day after a day; None when none is within five years."""
    return _nearest(calendar, day + _ONE, _ONE)


def previous_working_day(calendar: Calendar, day: date) -> date | None:
    """Return the last working day before a day; None when none is within five years."""
    return _nearest(calendar, day - _ONE, -_ONE)


def nth_working_day(calendar: Calendar, day: date, count: int) -> date | None:
    """Return the working day so many working days after a day, before it when count is negative.

    A day that is not worked counts as the next that is, so 0 gives the day itself or the next working day. None when
    the search passes five years without work.
    """
    found = working_day_from(calendar, day)
    for _step in range(abs(count)):
        if found is None:
            return None
        found = next_working_day(calendar, found) if count > 0 else previous_working_day(calendar, found)
    return found


def working_days_between(calendar: Calendar, since: date, until: date) -> int:
    """Return the number of working days from a day on up to another, which is not counted; negative backwards."""
    if until < since:
        return -working_days_between(calendar, until, since)
    return sum(calendar.works_on(since + timedelta(days=each)) for each in range((until - since).days))


def _nearest(calendar: Calendar, day: date, step: timedelta) -> date | None:
    for _day in range(HORIZON.days):
        if calendar.works_on(day):
            return day
        day += step
    return None
