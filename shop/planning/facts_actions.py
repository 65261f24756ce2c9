"""What the owner says about working time and skills. Faces call these through `shop.planning.actions`.

Every change rings for a new plan. What no longer holds is retired: the rows stay.
"""

from collections.abc import Collection
from datetime import date, time, timedelta
from typing import TypeVar
from uuid import UUID

from django.db import transaction

from shop.boards.models import Service
from shop.core import clock, duework, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.core.models import ShopProfile
from shop.core.profile import HISTORY, change_profile, profile
from shop.core.reasons import Missing, Reason, Refused
from shop.core.text import line, whole, words
from shop.people.models import User
from shop.planning.models import DayOff, ExtraDay, Fact, RunsAlone, Shift, TechnicianSkill
from shop.planning.worktime.working_days import public_holidays
from shop.planning.worktime.working_time import Hours
from shop.testing.models import TestPoint

F = TypeVar("F", bound=Fact)
_FURTHEST = timedelta(days=730)
_MOST_SKILLS = 40


def add_shifts(
    *, actor: Actor, technician_id: UUID, weekdays: Collection[int], begins: time, ends: time
) -> list[Shift]:
    """Add the same hours on weekdays (Monday is 0) to somebody's week. 00:00 as the end means until midnight.

    The first shift takes the place of the usual hours. Raises Refused: `shift_backwards`, `shift_overlaps`,
    `blank` (no weekday), `not_at_bench_role`; Missing.
    """
    permit(actor, "planning.change")
    hours = _hours(begins, ends)
    if not weekdays:
        raise Refused(Reason("blank", {"label": "Weekdays"}, "weekdays"))
    for weekday in weekdays:
        whole(weekday, low=0, high=6, label="Weekday", field="weekdays")
    with transaction.atomic():
        user = _technician(technician_id)
        for other in Shift.objects.filter(technician=user, weekday__in=weekdays, retired_at=None):
            if _meet(hours, Hours(other.begins, other.ends)):
                known = {"begins": f"{other.begins:%H:%M}", "ends": f"{other.ends:%H:%M}", "who": user.name}
                raise Refused(Reason("shift_overlaps", known, "begins"))
        rows = [Shift(technician=user, weekday=day, begins=begins, ends=ends) for day in sorted(set(weekdays))]
        Shift.objects.bulk_create(rows)
        facts = {"weekdays": sorted(set(weekdays)), "begins": begins, "ends": ends}
        trail.write(user, actor, "shifts_added", facts=facts)
        duework.plan_anew()
    return rows


def _hours(begins: time, ends: time) -> Hours:
    try:
        return Hours(begins, ends)
    except ValueError:
        facts = {"begins": f"{begins:%H:%M}", "ends": f"{ends:%H:%M}"}
        raise Refused(Reason("shift_backwards", facts, "ends")) from None


def _meet(one: Hours, other: Hours) -> bool:
    return one.from_min < other.until_min and other.from_min < one.until_min


def _technician(user_id: UUID) -> User:
    user = lock(User, pk=user_id)
    if user.retired_at is not None or user.role == User.Role.COUNTER:
        raise Refused(Reason("not_at_bench_role", {"name": user.name}, "technician"))
    return user


def _who(user_id: UUID | None) -> User | None:
    return _technician(user_id) if user_id else None


def add_day_off(
    *,
    actor: Actor,
    technician_id: UUID | None,
    from_day: date,
    until_day: date | None = None,
    begins: time | None = None,
    ends: time | None = None,
    text: str = "",
) -> DayOff:
    """Record days without work, of somebody or (None) of the whole shop; with hours only those of each day.

    Raises Refused: `days_backwards`, `day_over`, `day_too_far`, `shift_backwards`, `hours_half_given`, `too_long`,
    `not_at_bench_role`; Missing.
    """
    permit(actor, "planning.change")
    last = until_day or from_day
    _ahead(from_day, last)
    if (begins is None) != (ends is None):
        raise Refused(Reason("hours_half_given", {}, "ends" if ends is None else "begins"))
    if begins is not None and ends is not None:
        _hours(begins, ends)
    said = words(text, label="Words", field="words", limit=120, required=False)
    with transaction.atomic():
        user = _who(technician_id)
        row = DayOff.objects.create(
            technician=user, from_day=from_day, until_day=last, begins=begins, ends=ends, words=said
        )
        facts = {"from_day": from_day, "until_day": last, "begins": begins, "ends": ends}
        trail.write(user or HISTORY, actor, "day_off_added", facts=facts, note=said)
        duework.plan_anew()
    return row


def _ahead(first: date, last: date) -> None:
    """Refuse days that are over, too far away, or in the wrong order."""
    today = clock.day_of(clock.now(), profile().time_zone)
    if last < first:
        raise Refused(Reason("days_backwards", {"first": first.isoformat(), "last": last.isoformat()}, "until_day"))
    if last < today:
        raise Refused(Reason("day_over", {"day": last.isoformat(), "today": today.isoformat()}, "from_day"))
    if last > today + _FURTHEST:
        raise Refused(Reason("day_too_far", {"last": (today + _FURTHEST).isoformat()}, "until_day"))


def add_extra_day(*, actor: Actor, technician_id: UUID | None, day: date, begins: time, ends: time) -> ExtraDay:
    """Record that a day is worked in these hours instead of the usual ones, by somebody or (None) by everybody.

    Raises Refused: `day_over`, `day_too_far`, `shift_backwards`, `not_at_bench_role`; Missing.
    """
    permit(actor, "planning.change")
    _ahead(day, day)
    _hours(begins, ends)
    with transaction.atomic():
        user = _who(technician_id)
        row = ExtraDay.objects.create(technician=user, day=day, begins=begins, ends=ends)
        trail.write(user or HISTORY, actor, "extra_day_added", facts={"day": day, "begins": begins, "ends": ends})
        duework.plan_anew()
    return row


def set_skill(*, actor: Actor, technician_id: UUID, skill: str, percent: int) -> TechnicianSkill:
    """Record what somebody can do and how fast, in percent of the estimate's speed (10 to 400).

    Whoever has an entry can do what is entered and what needs no special skill, and nothing else. Raises Refused:
    `blank`, `too_long`, `hidden_character`, `out_of_range`, `too_many_skills`, `not_at_bench_role`; Missing.
    """
    permit(actor, "planning.change")
    named = line(skill, label="Skill", field="skill", limit=60)
    whole(percent, low=10, high=400, label="Speed", field="percent")
    with transaction.atomic():
        user = _technician(technician_id)
        known = list(TechnicianSkill.objects.filter(technician=user, retired_at=None))
        same = [row for row in known if row.skill.casefold() == named.casefold()]
        if not same and len(known) >= _MOST_SKILLS:
            raise Refused(Reason("too_many_skills", {"most": _MOST_SKILLS}, "skill"))
        for row in same:
            _end(row)
        made = TechnicianSkill.objects.create(technician=user, skill=named, percent=percent)
        trail.write(user, actor, "skill_set", facts={"skill": named, "percent": percent})
        duework.plan_anew()
    return made


def set_alone(*, actor: Actor, minutes: int, service_id: UUID | None = None, point_id: UUID | None = None) -> RunsAlone:
    """Record how long something runs with nobody at it: drying after a service, or the soak of a test point.

    Raises Refused: `out_of_range` (1 minute to 14 days), `alone_of_what` unless one of the two is named; Missing.
    """
    permit(actor, "planning.change")
    whole(minutes, low=1, high=20160, label="Minutes", field="minutes")
    if (service_id is None) == (point_id is None):
        raise Refused(Reason("alone_of_what", {}, "of"))
    with transaction.atomic():
        service = lock(Service, pk=service_id) if service_id else None
        point = lock(TestPoint, pk=point_id) if point_id else None
        for row in RunsAlone.objects.filter(service=service, point=point, retired_at=None):
            _end(row)
        made = RunsAlone.objects.create(service=service, point=point, minutes=minutes)
        facts = {"service": service_id, "point": point_id, "minutes": minutes}
        trail.write(HISTORY, actor, "runs_alone_set", facts=facts)
        duework.plan_anew()
    return made


REMOVABLE: dict[str, type[Fact]] = {
    "shift": Shift,
    "day-off": DayOff,
    "extra-day": ExtraDay,
    "skill": TechnicianSkill,
    "alone": RunsAlone,
}


def remove_fact(*, actor: Actor, kind: str, fact_id: UUID) -> None:
    """Take back a shift, day-off, extra-day, skill or alone. Twice is once. Raises Missing."""
    permit(actor, "planning.change")
    if kind not in REMOVABLE:
        raise Missing(Reason("missing", {"thing": "entry", "sought": kind[:40]}))
    with transaction.atomic():
        row = lock(REMOVABLE[kind], pk=fact_id)
        if row.retired_at is None:
            _end(row)
            whose: User | None = getattr(row, "technician", None)
            trail.write(whose or HISTORY, actor, "planning_fact_removed", before=kind, facts={"row": row.pk})
            duework.plan_anew()


def _end(row: Fact) -> None:
    row.retired_at = clock.now()
    row.save(update_fields=["retired_at"])


def set_figures(
    *, actor: Actor, version: int | None, promise_percent: int, holidays_of: str, minutes_per_day: int
) -> ShopProfile:
    """Set how sure promises are (50 to 99 percent), whose holidays are kept (US, US-MD or nothing), and a usual day.

    Raises Refused: `out_of_range`, `holidays_unknown`; Stale.
    """
    permit(actor, "planning.change")
    place = holidays_of.strip().upper()
    country, _dash, region = place.partition("-")
    if country:
        try:
            public_holidays(country, region or None, [clock.now().year])
        except ValueError:
            raise Refused(Reason("holidays_unknown", {"given": place[:20]}, "holidays_of")) from None
    return change_profile(
        actor=actor,
        version=version,
        promise_percent=promise_percent,
        holidays_of=place,
        minutes_per_day=minutes_per_day,
    )
