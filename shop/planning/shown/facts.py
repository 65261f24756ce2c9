"""What the owner entered for the plan, as the page and the API show it. A fixed number of queries."""

from collections import defaultdict
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby
from uuid import UUID

from shop.boards.models import Service
from shop.core import clock
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.people.models import User
from shop.people.queries import technicians
from shop.planning.calendars import holidays_of, usual_hours
from shop.planning.models import DayOff, ExtraDay, RunsAlone, Shift, TechnicianSkill
from shop.planning.worktime.working_time import Hours
from shop.testing.models import TestPoint

_HOLIDAYS_AHEAD = timedelta(days=120)


@dataclass(frozen=True, slots=True)
class PersonFacts:
    """Somebody's shifts and skills; empty lists mean the usual hours and every skill."""

    technician: User
    shifts: list[Shift]
    skills: list[TechnicianSkill]

    @property
    def week(self) -> list[tuple[int, list[Shift]]]:
        """Return the shifts by weekday (Monday is 0)."""
        return [(day, list(own)) for day, own in groupby(self.shifts, key=lambda shift: shift.weekday)]


@dataclass(frozen=True, slots=True)
class FactsShown:
    """Everything entered, with what stands for what is not: usual hours, public holidays of the next months."""

    shop: ShopProfile
    usual: Hours
    people: list[PersonFacts]
    days_off: list[DayOff]
    extra_days: list[ExtraDay]
    alone: list[RunsAlone]
    holidays: dict[date, str]
    skills_asked: list[str]
    services: list[Service]
    points: list[TestPoint]


def facts_shown() -> FactsShown:
    """Return what the plan is made from. Nine queries."""
    shop = profile()
    today = clock.day_of(clock.now(), shop.time_zone)
    shifts: dict[UUID, list[Shift]] = defaultdict(list)
    skills: dict[UUID, list[TechnicianSkill]] = defaultdict(list)
    for shift in Shift.objects.filter(retired_at=None):
        shifts[shift.technician_id].append(shift)
    for skill in TechnicianSkill.objects.filter(retired_at=None):
        skills[skill.technician_id].append(skill)
    services = list(Service.objects.filter(retired_at=None))
    off = DayOff.objects.filter(until_day__gte=today, retired_at=None).select_related("technician")
    extra = ExtraDay.objects.filter(day__gte=today, retired_at=None).select_related("technician")
    return FactsShown(
        shop=shop,
        usual=usual_hours(shop.minutes_per_day),
        people=[PersonFacts(one, shifts[one.pk], skills[one.pk]) for one in technicians()],
        days_off=list(off),
        extra_days=list(extra),
        alone=list(RunsAlone.objects.filter(retired_at=None).select_related("service", "point")),
        holidays=holidays_of(shop, today, today + _HOLIDAYS_AHEAD),
        skills_asked=sorted({service.skill for service in services if service.skill}),
        services=services,
        points=list(TestPoint.objects.filter(retired_at=None)),
    )
