"""When a customer is told that a date moves, and what is said to be why."""

from datetime import UTC, date, time, timedelta
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.planning.promises.telling import Basis, Cause, Move, Seen, Told, causes, worth_telling
from shop.planning.worktime.working_time import Calendar, Hours

CALENDAR = Calendar(UTC, {day: (Hours(time(9), time(17)),) for day in range(5)})
MONDAY = date(2026, 3, 9)


def day(number: int) -> date:
    return MONDAY + timedelta(days=number)


def told(on: int, percent: int = 80) -> Told:
    return Told(day(on), percent)


def told_of(
    on: int, seen: int, chance: float, off_since: int | None = None, *, today: int = 2, percent: int = 80
) -> Move | None:
    since = None if off_since is None else day(off_since)
    return worth_telling(told(on, percent), Seen(day(seen), chance, since), day(today), CALENDAR)


def test_a_date_that_stands_is_not_told_again() -> None:
    assert told_of(10, 10, 85) is None
    assert told_of(10, 10, 55) is None


def test_a_day_later_is_told_when_it_has_stayed_so_and_not_at_once() -> None:
    assert told_of(10, 11, 69, off_since=2) is None
    assert told_of(10, 11, 69, off_since=1) is None
    assert told_of(10, 11, 69, off_since=0) is Move.LATER


def test_a_day_later_is_a_wobble_while_the_day_told_is_nearly_as_sure_as_stated() -> None:
    assert told_of(10, 11, 71, off_since=0) is None
    assert told_of(10, 11, 70, off_since=0) is Move.LATER


def test_a_weekend_does_not_make_it_later() -> None:
    """From Friday to the Sunday after is no working day; and days off do not let it stay."""
    assert told_of(11, 13, 60, off_since=0) is Move.LATER
    assert told_of(11, 11, 60, off_since=0) is None
    assert told_of(21, 22, 60, off_since=4, today=6) is None


def test_a_chance_that_falls_below_the_floor_is_told_at_once() -> None:
    assert told_of(10, 14, 49, off_since=2) is Move.LATER
    assert told_of(10, 14, 51, off_since=2) is None
    assert told_of(10, 14, 51, off_since=2, percent=99) is None


def test_a_day_that_is_over_is_told_at_once() -> None:
    assert told_of(1, 3, 0, off_since=2) is Move.LATER


def test_earlier_is_told_when_it_is_worth_it_and_has_stayed() -> None:
    assert told_of(10, 7, 99, off_since=0) is Move.EARLIER
    assert told_of(10, 8, 99, off_since=0) is None
    assert told_of(10, 7, 99, off_since=1) is None
    # Three days are a quarter of twelve working days and less of twenty.
    assert told_of(18, 15, 99, off_since=0) is Move.EARLIER
    assert told_of(30, 25, 99, off_since=0) is None


BASIS = Basis(ahead_min=600, own_min=120, parts_due=day(5), working_min=2000, failed_tests=0)


def changed(**fields: object) -> Basis:
    return Basis(**({name: getattr(BASIS, name) for name in Basis.__slots__} | fields))


@pytest.mark.parametrize(
    ("after", "move", "expected"),
    [
        (changed(parts_due=day(9)), Move.LATER, [Cause("parts_later", 4)]),
        (changed(parts_due=day(3)), Move.EARLIER, [Cause("parts_earlier", 2)]),
        (changed(failed_tests=1, own_min=170), Move.LATER, [Cause("test_failed", 1), Cause("more_own", 50)]),
        (changed(ahead_min=700, working_min=1500), Move.LATER, [Cause("less_time", 500), Cause("more_ahead", 100)]),
        (changed(ahead_min=300, own_min=300), Move.EARLIER, [Cause("less_ahead", 300)]),
        (changed(ahead_min=300, own_min=300), Move.LATER, [Cause("more_own", 180)]),
        (changed(working_min=2480, own_min=60), Move.EARLIER, [Cause("more_time", 480), Cause("less_own", 60)]),
        (changed(parts_due=None), Move.LATER, []),
        (changed(ahead_min=614), Move.LATER, []),
    ],
)
def test_it_says_what_pulls_in_the_direction_of_the_move(after: Basis, move: Move, expected: list[Cause]) -> None:
    assert causes(BASIS, after, move) == expected


def test_parts_that_are_newly_wanted_are_a_cause() -> None:
    assert causes(changed(parts_due=None), BASIS, Move.LATER) == [Cause("parts_later", 0)]


@settings(deadline=None)
@given(st.lists(st.tuples(st.integers(8, 12), st.integers(50, 99)), min_size=1, max_size=40))
def test_messages_about_a_date_that_wobbles_lie_days_apart(course: list[tuple[int, int]]) -> None:
    """Day by day as a shop does it; while the chance keeps above the floor, two messages are two working days apart."""
    promised, off_since, way, sent = Told(day(10), 80), None, 0, list[int]()
    for number, (computed, chance) in enumerate(course):
        today = CALENDAR_DAYS[number]
        on = today + timedelta(days=computed)
        direction = (on > promised.on) - (on < promised.on)
        off_since = None if not direction else today if direction != way or off_since is None else off_since
        way = direction
        if promised.on >= today and worth_telling(promised, Seen(on, chance, off_since), today, CALENDAR):
            sent.append(number)
            promised, off_since, way = Told(on, 80), None, 0
    assert all(later - earlier >= 2 for earlier, later in pairwise(sent))


CALENDAR_DAYS = [day(n) for n in range(80) if day(n).weekday() < 5]
