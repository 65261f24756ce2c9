"""The stored plan as people read it: a day sheet for each technician, the dates that follow, and what is left out.

A fixed number of queries, whatever the number of units.
"""

import json
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, timedelta
from uuid import UUID

from shop.core import clock
from shop.core.profile import profile
from shop.core.reasons import Reason
from shop.people.models import User
from shop.people.queries import technicians
from shop.planning.calendars import Calendars, calendars
from shop.planning.models import Pin, Plan, PlanStep, PlanUnit, PlanUnplanned, Precedence
from shop.planning.plans import current, last_run
from shop.planning.storing import reasons_from
from shop.planning.worktime.working_time import Calendar
from shop.units.models import Unit
from shop.units.queries import present_units

DAYS_SHOWN = 5
_LOOK_AHEAD = timedelta(days=45)


@dataclass(frozen=True, slots=True)
class Line:
    """A piece of work on one day: from when until when, and whether it began before or goes on after that day."""

    step: PlanStep
    unit: Unit
    begins_at: datetime
    ends_at: datetime
    began_before: bool
    goes_on: bool


@dataclass(frozen=True, slots=True)
class Day:
    """One day of a sheet, or several in a row without work, until the last of them.

    away is set when somebody does not work though the shop does.
    """

    on: date
    until: date
    lines: list[Line]
    away: bool = False


@dataclass(frozen=True, slots=True)
class UnitDate:
    """The dates of one unit: the plan's own end, the day that is sure enough, the promise and its chance."""

    unit: Unit
    planned: PlanUnit
    pinned: str
    first: bool

    @property
    def late(self) -> bool:
        """Tell whether the plan ends after the day that was promised."""
        return self.planned.late_minutes > 0


@dataclass(frozen=True, slots=True)
class Sheet:
    """What somebody does on each of the next days, the dates that follow, and how much comes later in minutes."""

    technician: User
    days: list[Day]
    dates: list[UnitDate]
    minutes: int
    later: int


@dataclass(frozen=True, slots=True)
class LeftOut:
    """A unit that is not in the plan, and why."""

    unit: Unit
    reason: Reason


@dataclass(frozen=True, slots=True)
class PlanShown:
    """The plan as it is shown. plan is None while there is none; trouble says why the last run stored nothing new."""

    plan: Plan | None
    running: bool
    trouble: list[Reason]
    notes: list[Reason]
    steps: list[PlanStep]
    sheets: list[Sheet]
    dates: list[UnitDate]
    alone: list[Line]
    left_out: list[LeftOut]

    @property
    def single(self) -> bool:
        """Tell whether one person works here: then a list of today and the dates are all there is to see."""
        return len(self.sheets) <= 1


def shown(first_of: UUID | None = None) -> PlanShown:
    """Return the plan that counts, the sheet of first_of on top. Queries: 16 at most."""
    plan, last = current(), last_run()
    units = {unit.pk: unit for unit in present_units()}
    failed = last if last and last.state == Plan.State.FAILED else None
    people = sorted(technicians(), key=lambda one: (one.pk != first_of, one.name))
    steps = _steps(plan, units)
    known = _calendars(people)
    dates = _dates(plan, units)
    return PlanShown(
        plan=plan,
        running=bool(last and last.state == Plan.State.RUNNING),
        trouble=reasons_from(failed.notes) if failed else [],
        notes=reasons_from(plan.notes) if plan and plan is not failed else [],
        steps=steps,
        sheets=[_sheet(one, steps, units, known, dates) for one in people],
        dates=dates,
        alone=[_alone(step, units) for step in steps if step.technician_id is None],
        left_out=_left_out(plan, units),
    )


def _today() -> date:
    return clock.day_of(clock.now(), profile().time_zone)


def _calendars(people: Sequence[User]) -> Calendars:
    today = _today()
    return calendars(profile(), people, today, today + _LOOK_AHEAD)


def _steps(plan: Plan | None, units: dict[UUID, Unit]) -> list[PlanStep]:
    """Return what the plan still has ahead, of units that are still here."""
    if plan is None:
        return []
    ahead = plan.steps.filter(ends_at__gt=clock.now()).select_related("bench")
    return [step for step in ahead if step.unit_id in units]


def _dates(plan: Plan | None, units: dict[UUID, Unit]) -> list[UnitDate]:
    if plan is None:
        return []
    pins = Pin.objects.filter(retired_at=None, unit__outcome="").select_related("technician")
    names = {pin.unit_id: pin.technician.name for pin in pins}
    first = set(Precedence.objects.filter(retired_at=None, unit__outcome="").values_list("unit_id", flat=True))
    rows = plan.units.order_by("ends_at", "pk")
    return [
        UnitDate(units[row.unit_id], row, names.get(row.unit_id, ""), row.unit_id in first)
        for row in rows
        if row.unit_id in units
    ]


def _sheet(
    person: User, steps: Iterable[PlanStep], units: dict[UUID, Unit], known: Calendars, dates: Iterable[UnitDate]
) -> Sheet:
    mine = [step for step in steps if step.technician_id == person.pk]
    ids = {step.unit_id for step in mine}
    days = _days(mine, units, known.shop, known.of[person.pk])
    last = days[-1].until if days else _today()
    zone = known.shop.zone
    return Sheet(
        technician=person,
        days=days,
        dates=[row for row in dates if row.unit.pk in ids],
        minutes=sum(step.minutes for step in mine),
        later=sum(step.begins_at.astimezone(zone).date() > last for step in mine),
    )


def _days(steps: Sequence[PlanStep], units: dict[UUID, Unit], shop: Calendar, own: Calendar) -> list[Day]:
    """Return today, and the next days on which the shop or this person works, with what is done on each.

    Days without work that follow each other are one; today stands alone.
    """
    days: list[Day] = []
    day = _today()
    for _number in range(_LOOK_AHEAD.days):
        works = own.works_on(day)
        if works or shop.works_on(day) or not days:
            lines = [line for step in steps if (line := _line(step, units[step.unit_id], own, day))]
            days.append(Day(day, day, lines, away=not works))
        if len(days) == DAYS_SHOWN:
            break
        day += timedelta(days=1)
    return days[:1] + _joined(days[1:])


def _joined(days: Iterable[Day]) -> list[Day]:
    joined: list[Day] = []
    for day in days:
        last = joined[-1] if joined else None
        if last and not day.lines and not last.lines and day.away == last.away:
            joined[-1] = replace(last, until=day.on)
        else:
            joined.append(day)
    return joined


def _line(step: PlanStep, unit: Unit, own: Calendar, day: date) -> Line | None:
    """Return the part of a step that lies within somebody's working time on a day, or None."""
    spans = own.spans_of(day)
    parts = [(max(step.begins_at, span.since), min(step.ends_at, span.until)) for span in spans]
    parts = [(begin, end) for begin, end in parts if begin < end]
    if not parts:
        return None
    begin, end = parts[0][0], parts[-1][1]
    return Line(step, unit, begin, end, began_before=begin > step.begins_at, goes_on=end < step.ends_at)


def _alone(step: PlanStep, units: dict[UUID, Unit]) -> Line:
    return Line(step, units[step.unit_id], step.begins_at, step.ends_at, began_before=False, goes_on=False)


def _left_out(plan: Plan | None, units: dict[UUID, Unit]) -> list[LeftOut]:
    if plan is None:
        return []
    rows: Iterable[PlanUnplanned] = plan.unplanned.all()
    return [
        LeftOut(units[row.unit_id], Reason(row.code, json.loads(row.facts))) for row in rows if row.unit_id in units
    ]
