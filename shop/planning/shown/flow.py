"""Load and flow of the last four weeks and the two ahead, from the trail, the clocks at the benches and the plan.

A fixed number of queries, whatever the number of units.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from django.db.models import Q

from shop.core import clock
from shop.core.models import TrailEntry
from shop.core.profile import profile
from shop.people.models import User
from shop.people.queries import technicians
from shop.planning.calendars import Calendars, calendars, hands_on_min
from shop.planning.keeping import MOVES
from shop.planning.plans import current
from shop.planning.queues import flow
from shop.planning.queues.expected_wait import ExpectedWait, expected_wait
from shop.planning.queues.flow import Day, Jam, LittlesLaw, StageTime, Visit
from shop.planning.worktime.working_time import Span, minutes_between, spans_between
from shop.units.models import Outcome, Unit
from shop.work.models import WorkInterval

WINDOW, AHEAD = timedelta(days=28), timedelta(days=14)
_LEFT = "left"


@dataclass(frozen=True, slots=True)
class PersonUse:
    """How busy somebody was and will be by the plan: minutes worked, of those at work; minutes planned, of those ahead.

    The shares are None without working time.
    """

    person: User
    worked_min: float
    there_min: float
    share: float | None
    planned_min: float
    ahead_min: float

    @property
    def planned_share(self) -> float | None:
        """Return which share of the working time ahead is planned; None without any."""
        return self.planned_min / self.ahead_min if self.ahead_min else None


@dataclass(frozen=True, slots=True)
class FlowShown:
    """The figures of the page. law and wait are None while too little came to say anything."""

    since: datetime
    until: datetime
    days: list[Day]
    stages: list[StageTime]
    people: list[PersonUse]
    law: LittlesLaw | None
    wait: ExpectedWait | None
    jams: list[Jam]


def flow_shown() -> FlowShown:
    """Return the figures of load and flow. Ten queries."""
    now, shop = clock.now(), profile()
    since = now - WINDOW
    people = list(technicians())
    today = clock.day_of(now, shop.time_zone)
    known = calendars(shop, people, today - WINDOW, today + AHEAD)
    visits = visits_since(since)
    worked, minutes_of = _worked(since, now, known)
    planned = _planned(now)
    used = [_use(one, worked.get(one.pk, ()), planned[one.pk], known, (since, now)) for one in people]
    came = [stay.since for stay in flow.stays(visits) if since <= stay.since < now]
    done = [minutes_of[UUID(stay.unit)] for stay in flow.stays(visits) if stay.until and UUID(stay.unit) in minutes_of]
    there = sum(use.there_min for use in used) / len(used) if used else 0.0
    booked = {str(use.person.pk): use.planned_min for use in used}
    time_ahead = {str(use.person.pk): use.ahead_min for use in used}
    return FlowShown(
        since=since,
        until=now,
        days=flow.by_day(visits, today - WINDOW, today, ZoneInfo(shop.time_zone)),
        stages=flow.time_in_stages(visits, since, now),
        people=used,
        law=flow.littles_law(visits, since, now),
        wait=expected_wait(came, done, there, len(used)) if used and there else None,
        jams=[*flow.overbooked(booked, time_ahead), *flow.filling_up(visits, since, now)],
    )


def visits_since(since: datetime) -> list[Visit]:
    """Return the visits of every unit that was here since a moment, in the order of the trail. One query."""
    here = Unit.objects.filter(Q(outcome="") | Q(left_at__gte=since)).exclude(outcome=Outcome.REFUSED_AT_INTAKE)
    entries = TrailEntry.objects.filter(
        subject_kind=Unit.trail_kind, subject_id__in=here.values("pk"), what__in=[*MOVES, _LEFT]
    ).order_by("subject_id", "seq")
    visits: list[Visit] = []
    reached: dict[UUID, tuple[str, datetime]] = {}
    for unit_id, what, stage, at in entries.values_list("subject_id", "what", "after", "happened_at"):
        if unit_id in reached:
            before, begun = reached.pop(unit_id)
            visits.append(Visit(str(unit_id), before, begun, max(begun, at)))
        if what != _LEFT:
            reached[unit_id] = (stage, at)
    return [*visits, *(Visit(str(unit_id), stage, at) for unit_id, (stage, at) in reached.items())]


def _worked(since: datetime, now: datetime, known: Calendars) -> tuple[dict[UUID, list[Span]], dict[UUID, float]]:
    """Return when each person's clock ran in the window, cut to working time over night, and the minutes by unit."""
    rows = WorkInterval.objects.filter(Q(ended_at=None) | Q(ended_at__gt=since), began_at__lt=now)
    spans: dict[UUID, list[Span]] = defaultdict(list)
    minutes: dict[UUID, float] = defaultdict(float)
    for unit_id, user_id, began, ended in rows.values_list("unit_id", "user_id", "began_at", "ended_at"):
        calendar = known.of.get(user_id, known.shop)
        begin, end = max(began, since), min(ended or now, now)
        minutes[unit_id] += hands_on_min(calendar, began, ended or now)
        same_day = begin.astimezone(calendar.zone).date() == end.astimezone(calendar.zone).date()
        spans[user_id] += [Span(begin, end)] if same_day else spans_between(calendar, begin, end)
    return {user_id: _united(own) for user_id, own in spans.items()}, minutes


def _united(spans: Sequence[Span]) -> list[Span]:
    """Return spans that do not overlap: two clocks of one person count once."""
    united: list[Span] = []
    for span in sorted(spans, key=lambda each: each.since):
        if united and span.since <= united[-1].until:
            united[-1] = Span(united[-1].since, max(united[-1].until, span.until))
        else:
            united.append(span)
    return united


def _use(
    person: User, worked: Sequence[Span], planned: float, known: Calendars, window: tuple[datetime, datetime]
) -> PersonUse:
    since, now = window
    there = spans_between(known.of[person.pk], since, now)
    return PersonUse(
        person=person,
        worked_min=sum(span.minutes for span in worked),
        there_min=sum(span.minutes for span in there),
        share=flow.utilisation(worked, there),
        planned_min=planned,
        ahead_min=minutes_between(known.of[person.pk], now, now + AHEAD),
    )


def _planned(now: datetime) -> dict[UUID, float]:
    """Return the minutes of work that the plan begins within the time ahead, by technician. Two queries."""
    plan = current()
    found: dict[UUID, float] = defaultdict(float)
    if plan:
        ahead = plan.steps.filter(ends_at__gt=now, begins_at__lt=now + AHEAD, technician__isnull=False)
        for user_id, minutes in ahead.values_list("technician_id", "minutes"):
            found[user_id] += minutes
    return found
