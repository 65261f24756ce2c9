"""Shifts, days off, slots and working days: by hand, and by laws on calendars drawn at random."""

from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.planning.worktime.working_days import (
    next_working_day,
    nth_working_day,
    previous_working_day,
    public_holidays,
    working_day_from,
    working_days_between,
)
from shop.planning.worktime.working_time import (
    WHOLE_DAY,
    Calendar,
    Hours,
    Span,
    minutes_between,
    moment_after,
    spans_between,
    to_slots,
)

BERLIN = ZoneInfo("Europe/Berlin")
MORNING, AFTERNOON = Hours(time(9), time(12, 30)), Hours(time(13, 15), time(17, 30))
WEEK = {weekday: (MORNING, AFTERNOON) for weekday in range(5)}
SHOP = Calendar(BERLIN, WEEK)
TUESDAY = date(2026, 3, 10)
SATURDAY = date(2026, 3, 14)


def at(hour: int, minute: int = 0, day: date = TUESDAY) -> datetime:
    return datetime.combine(day, time(hour, minute), BERLIN)


def wall(spans: list[Span]) -> list[tuple[str, str]]:
    return [(f"{s.since.astimezone(BERLIN):%d %H:%M}", f"{s.until.astimezone(BERLIN):%d %H:%M}") for s in spans]


def test_it_gives_a_days_shifts_in_utc() -> None:
    first, second = spans_between(SHOP, at(0), at(23))
    assert first == Span(datetime(2026, 3, 10, 8, tzinfo=UTC), datetime(2026, 3, 10, 11, 30, tzinfo=UTC))
    assert (first.minutes, second.minutes) == (210, 255)
    assert first.since.tzinfo is UTC


def test_it_cuts_spans_at_the_moments_asked_for() -> None:
    assert wall(spans_between(SHOP, at(10), at(14))) == [("10 10:00", "10 12:30"), ("10 13:15", "10 14:00")]
    assert spans_between(SHOP, at(12, 30), at(13, 15)) == []
    assert minutes_between(SHOP, at(14), at(10)) == 0


def test_it_counts_working_minutes_over_a_weekend() -> None:
    assert minutes_between(SHOP, at(17, 0, date(2026, 3, 13)), at(9, 45, date(2026, 3, 16))) == 30 + 45


@pytest.mark.parametrize(
    ("minutes", "expected"),
    [(0, "10 12:00"), (30, "10 12:30"), (31, "10 13:16"), (285, "10 17:30"), (286, "11 09:01"),
     (285 + 3 * 465, "13 17:30"), (286 + 3 * 465, "16 09:01")],
)  # fmt: skip
def test_it_knows_when_working_minutes_have_passed(minutes: int, expected: str) -> None:
    reached = moment_after(SHOP, at(12), minutes)
    assert reached is not None
    assert f"{reached.astimezone(BERLIN):%d %H:%M}" == expected


def test_it_finds_no_moment_where_nobody_works() -> None:
    assert moment_after(Calendar(BERLIN, {}), at(12), 1) is None
    assert moment_after(SHOP, at(12), 10_000_000) is None
    with pytest.raises(ValueError, match="none or more"):
        moment_after(SHOP, at(12), -1)


def test_a_holiday_closes_the_shop_and_the_shop_may_open_on_it() -> None:
    closed = Calendar(BERLIN, WEEK, closed=frozenset({TUESDAY}))
    assert minutes_between(closed, at(0), at(23)) == 0
    opened = Calendar(BERLIN, WEEK, closed=frozenset({TUESDAY}), opened={TUESDAY: (MORNING,)})
    assert wall(spans_between(opened, at(0), at(23))) == [("10 09:00", "10 12:30")]


def test_a_saturday_may_be_worked() -> None:
    extra = Calendar(BERLIN, WEEK, opened={SATURDAY: (MORNING,)})
    assert minutes_between(extra, at(0, 0, SATURDAY), at(23, 0, SATURDAY)) == 210
    assert next_working_day(extra, date(2026, 3, 13)) == SATURDAY


def test_days_off_are_taken_from_shifts_whole_or_in_part() -> None:
    dentist = SHOP.with_days_off({TUESDAY: (Hours(time(10), time(14)),)})
    assert wall(spans_between(dentist, at(0), at(23))) == [("10 09:00", "10 10:00"), ("10 14:00", "10 17:30")]
    both = dentist.with_days_off({TUESDAY: (Hours(time(16), time(0)),), date(2026, 3, 11): (WHOLE_DAY,)})
    assert wall(spans_between(both, at(0), at(23, 0, date(2026, 3, 11)))) == [
        ("10 09:00", "10 10:00"),
        ("10 14:00", "10 16:00"),
    ]
    opened_but_away = Calendar(BERLIN, {}, opened={SATURDAY: (MORNING,)}, off={SATURDAY: (WHOLE_DAY,)})
    assert not opened_but_away.works_on(SATURDAY)


def test_shifts_that_touch_or_overlap_count_once() -> None:
    doubled = Calendar(BERLIN, {1: (MORNING, Hours(time(12), time(14)), Hours(time(14), time(15)))})
    assert wall(spans_between(doubled, at(0), at(23))) == [("10 09:00", "10 15:00")]


def test_a_night_shift_is_two_that_become_one_span() -> None:
    night = Calendar(BERLIN, {1: (Hours(time(22), time(0)),), 2: (Hours(time(0), time(6)),)})
    assert wall(spans_between(night, at(12), at(12, 0, date(2026, 3, 11)))) == [("10 22:00", "11 06:00")]


@pytest.mark.parametrize(
    ("begins", "ends"),
    [(time(17), time(9)), (time(9), time(9)), (time(22), time(6)), (time(9, 0, 30), time(10)),
     (time(9, tzinfo=UTC), time(10, tzinfo=UTC))],
)  # fmt: skip
def test_it_refuses_a_shift_that_ends_before_it_begins_or_has_seconds(begins: time, ends: time) -> None:
    with pytest.raises(ValueError, match=r"shift|whole minutes"):
        Hours(begins, ends)


def test_it_refuses_a_weekday_that_is_none_and_a_moment_without_a_zone() -> None:
    with pytest.raises(ValueError, match="Monday"):
        Calendar(BERLIN, {7: (MORNING,)})
    with pytest.raises(ValueError, match="zone"):
        minutes_between(SHOP, datetime(2026, 3, 10, 9), at(12))


def test_slots_are_whole_quarters_inside_the_spans() -> None:
    spans = spans_between(SHOP, at(9, 7), at(23))
    assert to_slots(spans, at(9), 15, 1000) == [(1, 14), (17, 34)]
    assert to_slots(spans, at(9), 15, 20) == [(1, 14), (17, 20)]
    assert to_slots(spans, at(13, 20), 15, 1000) == [(0, 16)]
    assert to_slots([Span(at(9, 1), at(9, 29))], at(9), 15, 1000) == []
    with pytest.raises(ValueError, match="minute"):
        to_slots(spans, at(9), 0, 10)


def test_it_finds_working_days() -> None:
    assert working_day_from(SHOP, TUESDAY) == TUESDAY
    assert working_day_from(SHOP, SATURDAY) == date(2026, 3, 16)
    assert previous_working_day(SHOP, date(2026, 3, 16)) == date(2026, 3, 13)
    assert nth_working_day(SHOP, TUESDAY, 4) == date(2026, 3, 16)
    assert nth_working_day(SHOP, SATURDAY, -1) == date(2026, 3, 13)
    nobody = Calendar(BERLIN, {})
    assert (next_working_day(nobody, TUESDAY), nth_working_day(nobody, TUESDAY, 2)) == (None, None)


def test_it_knows_public_holidays_by_country_and_subdivision() -> None:
    """Epiphany is a holiday in Bavaria and not in Berlin; Unity Day is one everywhere in Germany."""
    bavaria, berlin = public_holidays("DE", "BY", [2026]), public_holidays("DE", "BE", [2026])
    assert date(2026, 1, 6) in bavaria
    assert date(2026, 1, 6) not in berlin
    assert date(2026, 10, 3) in bavaria.keys() & berlin.keys()
    assert {day.year for day in public_holidays("DE", None, [2026, 2027])} == {2026, 2027}
    for country, subdivision in (("XX", None), ("DE", "QQ")):
        with pytest.raises(ValueError, match="no public holidays are known"):
            public_holidays(country, subdivision, [2026])


hours = (
    st.tuples(st.integers(0, 95), st.integers(1, 96))
    .filter(lambda pair: pair[0] < pair[1])
    .map(lambda pair: Hours(time(*divmod(15 * pair[0], 60)), time(*divmod(15 * (pair[1] % 96), 60))))
)
shifts = st.lists(hours, max_size=3)
# Six weeks in which all of these clocks change: Lord Howe's forward by half an hour, the others' back by a whole one.
days = st.dates(date(2026, 9, 26), date(2026, 11, 10))
calendars = st.builds(
    Calendar,
    zone=st.sampled_from([BERLIN, ZoneInfo("America/New_York"), ZoneInfo("Australia/Lord_Howe"), UTC]),
    week=st.dictionaries(st.integers(0, 6), shifts, min_size=1),
    closed=st.frozensets(days, max_size=5),
    opened=st.dictionaries(days, shifts, max_size=3),
    off=st.dictionaries(days, shifts, max_size=3),
)
moments = st.datetimes(datetime(2026, 9, 28), datetime(2026, 11, 8), timezones=st.just(UTC)).map(
    lambda moment: moment.replace(second=0, microsecond=0)
)


@settings(deadline=None)
@given(calendars, moments, st.integers(1, 1500))
def test_working_minutes_lead_to_a_moment_and_back(calendar: Calendar, since: datetime, minutes: int) -> None:
    reached = moment_after(calendar, since, minutes)
    if reached is not None:
        assert minutes_between(calendar, since, reached) == minutes
        assert minutes_between(calendar, since, reached - timedelta(seconds=1)) < minutes


@settings(deadline=None)
@given(calendars, moments, moments, moments)
def test_working_minutes_add_up(calendar: Calendar, one: datetime, two: datetime, three: datetime) -> None:
    first, middle, last = sorted([one, two, three])
    parts = minutes_between(calendar, first, middle) + minutes_between(calendar, middle, last)
    assert minutes_between(calendar, first, last) == pytest.approx(parts)


@settings(deadline=None)
@given(calendars, moments, st.integers(1, 96))
def test_spans_are_in_order_apart_and_inside(calendar: Calendar, since: datetime, hours_on: int) -> None:
    until = since + timedelta(hours=hours_on)
    edges = [
        since,
        *(edge for span in spans_between(calendar, since, until) for edge in (span.since, span.until)),
        until,
    ]
    assert edges == sorted(edges)
    inner = edges[1:-1]
    assert len(set(inner)) == len(inner)


@settings(deadline=None)
@given(calendars, moments, st.integers(1, 40))
def test_slots_hold_working_time_only(calendar: Calendar, start: datetime, slot: int) -> None:
    spans = spans_between(calendar, start - timedelta(hours=3), start + timedelta(days=3))
    found = to_slots(spans, start, slot, 200)
    for first, last in found:
        assert 0 <= first < last <= 200
        since, until = start + timedelta(minutes=slot * first), start + timedelta(minutes=slot * last)
        assert minutes_between(calendar, since, until) == slot * (last - first)
        reached = minutes_between(calendar, since - timedelta(minutes=slot), until + timedelta(minutes=slot))
        assert reached < slot * (last - first + 2) or first == 0 or last == 200


@settings(deadline=None)
@given(calendars, days, st.integers(-12, 12))
def test_the_nth_working_day_is_so_many_working_days_away(calendar: Calendar, day: date, count: int) -> None:
    found = nth_working_day(calendar, day, count)
    first = working_day_from(calendar, day)
    if found is not None and first is not None:
        assert working_days_between(calendar, first, found) == count
        assert working_days_between(calendar, found, first) == -count
