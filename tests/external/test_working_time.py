"""Working days against numpy's business-day functions, and shifts against the tz database across clock changes."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.planning.worktime.working_days import nth_working_day, working_days_between
from shop.planning.worktime.working_time import Calendar, Hours, minutes_between, moment_after, spans_between

SHIFT = (Hours(time(9), time(17)),)


def weekly(weekdays: str, closed: frozenset[date] = frozenset()) -> Calendar:
    """A calendar from a mask of seven digits, Monday first, as numpy writes it."""
    return Calendar(UTC, {day: SHIFT for day, worked in enumerate(weekdays) if worked == "1"}, closed=closed)


# QU-19: worked examples in the docstring of numpy.busday_offset, numpy 2.4.6 (R + P).
@pytest.mark.parametrize(
    ("day", "count", "mask", "expected"),
    [
        (date(2011, 10, 1), 0, "1111100", date(2011, 10, 3)),
        (date(2012, 3, 1), -1, "1111100", date(2012, 2, 29)),
        (date(2011, 1, 1), 2, "0010000", date(2011, 1, 19)),
        (date(2012, 5, 1), 1, "0000001", date(2012, 5, 13)),
    ],
)
def test_it_counts_on_as_numpy_publishes_it(day: date, count: int, mask: str, expected: date) -> None:
    assert nth_working_day(weekly(mask), day, count) == expected


# QU-20: worked examples in the docstring of numpy.busday_count, numpy 2.4.6 (R + P).
@pytest.mark.parametrize(
    ("since", "until", "mask", "expected"),
    [
        (date(2011, 1, 1), date(2011, 2, 1), "1111100", 21),
        (date(2011, 1, 1), date(2012, 1, 1), "1111100", 260),
        (date(2011, 1, 1), date(2012, 1, 1), "0000010", 53),
    ],
)
def test_it_counts_days_as_numpy_publishes_it(since: date, until: date, mask: str, expected: int) -> None:
    assert working_days_between(weekly(mask), since, until) == expected


masks = st.text("01", min_size=7, max_size=7).filter(lambda mask: "1" in mask)
days = st.dates(date(2020, 1, 1), date(2032, 12, 31))


@settings(deadline=None)
@given(day=days, count=st.integers(-60, 60), mask=masks, data=st.data())
def test_it_counts_on_as_numpy_does(day: date, count: int, mask: str, data: st.DataObject) -> None:
    near = st.dates(day - timedelta(days=90), day + timedelta(days=90))
    closed = data.draw(st.frozensets(near, max_size=20))
    theirs = np.busday_offset(np.datetime64(day), count, roll="forward", weekmask=mask, holidays=sorted(closed))
    assert nth_working_day(weekly(mask, closed), day, count) == theirs.astype(date)


@settings(deadline=None)
@given(since=days, length=st.integers(0, 400), mask=masks, data=st.data())
def test_it_counts_days_as_numpy_does(since: date, length: int, mask: str, data: st.DataObject) -> None:
    until = since + timedelta(days=length)
    closed = data.draw(st.frozensets(st.dates(since - timedelta(days=5), until + timedelta(days=5)), max_size=20))
    theirs = np.busday_count(np.datetime64(since), np.datetime64(until), weekmask=mask, holidays=sorted(closed))
    assert working_days_between(weekly(mask, closed), since, until) == int(theirs)


# Days on which the tz database changes the clock: Central European, United States, Lord Howe (by half an hour), and
# Samoa, which left out 30 December 2011.
@pytest.mark.parametrize(
    ("zone", "day", "begins", "ends", "minutes"),
    [
        ("Europe/Berlin", date(2026, 3, 29), time(1), time(4), 120),
        ("Europe/Berlin", date(2026, 3, 29), time(2, 15), time(2, 45), 0),
        ("Europe/Berlin", date(2026, 3, 29), time(2, 30), time(5), 120),
        ("Europe/Berlin", date(2026, 3, 29), time(0), time(2, 30), 120),
        ("Europe/Berlin", date(2026, 3, 29), time(0), time(0), 23 * 60),
        ("Europe/Berlin", date(2026, 3, 29), time(9), time(17), 480),
        ("Europe/Berlin", date(2026, 10, 25), time(1), time(4), 240),
        ("Europe/Berlin", date(2026, 10, 25), time(2, 15), time(2, 45), 30),
        ("Europe/Berlin", date(2026, 10, 25), time(2, 30), time(4), 150),
        ("Europe/Berlin", date(2026, 10, 25), time(0), time(0), 25 * 60),
        ("America/New_York", date(2026, 3, 8), time(1), time(4), 120),
        ("America/New_York", date(2026, 11, 1), time(0), time(3), 240),
        ("Australia/Lord_Howe", date(2026, 10, 4), time(1), time(4), 150),
        ("Australia/Lord_Howe", date(2026, 4, 5), time(1), time(4), 210),
        ("Pacific/Apia", date(2011, 12, 30), time(9), time(17), 0),
        ("Asia/Kolkata", date(2026, 3, 29), time(1), time(4), 180),
    ],
)
def test_a_shift_lasts_as_long_as_the_clock_really_runs(
    zone: str, day: date, begins: time, ends: time, minutes: int
) -> None:
    calendar = Calendar(ZoneInfo(zone), {day.weekday(): (Hours(begins, ends),)})
    noon = datetime.combine(day, time(12), UTC)
    assert minutes_between(calendar, noon - timedelta(days=2), noon + timedelta(days=2)) == minutes


@pytest.mark.parametrize("zone", ["Europe/Berlin", "America/New_York", "Australia/Lord_Howe", "Asia/Kolkata"])
def test_every_minute_is_worked_just_when_the_wall_clock_lies_in_the_shift(zone: str) -> None:
    """Away from the hour that is shown twice, minute by minute through the tz database, in a year with both changes."""
    calendar = Calendar(ZoneInfo(zone), {day: (Hours(time(1, 30), time(9)),) for day in range(7)})
    moment = datetime(2026, 1, 1, tzinfo=UTC)
    spans = iter(spans_between(calendar, moment, datetime(2027, 1, 1, tzinfo=UTC)))
    span = next(spans)
    while moment < datetime(2026, 12, 30, tzinfo=UTC):
        if moment >= span.until:
            span = next(spans)
        local = moment.astimezone(ZoneInfo(zone))
        twice = local.utcoffset() != local.replace(fold=1 - local.fold).utcoffset()
        if not twice:
            assert (span.since <= moment) == (time(1, 30) <= local.time() < time(9)), local
        moment += timedelta(minutes=15)


def test_it_works_through_a_change_of_clock() -> None:
    """Ten working hours from Saturday 20:00 in shifts around the clock: 07:00 in spring, 05:00 in autumn."""
    berlin = ZoneInfo("Europe/Berlin")
    always = Calendar(berlin, {day: (Hours(time(0), time(0)),) for day in range(7)})
    for day, hour in ((date(2026, 3, 28), 7), (date(2026, 10, 24), 5)):
        reached = moment_after(always, datetime.combine(day, time(20), berlin), 600)
        assert reached is not None
        assert reached.astimezone(berlin).hour == hour
