"""What would happen if: another unit, somebody away for a day, another technician, a day more, one unit first.

Each is planned quickly from the stored plan and shown beside it. Nothing is changed.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from shop.boards.models import Service
from shop.core import clock
from shop.core.reasons import Reason
from shop.people.models import User
from shop.planning import solving
from shop.planning.assigning.plan_facts import SLOT_MINUTES, Job, ShopFacts, Step, Technician
from shop.planning.assigning.plan_facts import Plan as PlanMade
from shop.planning.gathering import Gathered, gather
from shop.planning.jobs import FIRST, USUAL
from shop.planning.models import Plan
from shop.planning.plans import current
from shop.planning.slots import slot_start
from shop.planning.storing import previous_of
from shop.planning.unit_work import GENERAL, Piece, pieces_of_services
from shop.planning.worktime.working_time import Span, spans_between, to_slots
from shop.units.models import Unit

NEW_UNIT, NEW_TECHNICIAN = "new unit", "new technician"


@dataclass(frozen=True, slots=True)
class Change:
    """When a unit's work ends now and would end then, in the plan; None: it has no place. promised is its promise."""

    unit: Unit
    before: datetime | None
    after: datetime | None
    promised: date | None
    zone: str

    @property
    def days_late(self) -> int:
        """Return by how many days it would miss its promise; 0 when it keeps it, has none or has no place."""
        if self.promised is None or self.after is None:
            return 0
        return max(0, (clock.day_of(self.after, self.zone) - self.promised).days)

    @property
    def moves(self) -> bool:
        """Tell whether it would be ready on another day, or have no place any more."""
        if self.before is None or self.after is None:
            return self.before != self.after
        return clock.day_of(self.before, self.zone) != clock.day_of(self.after, self.zone)

    @property
    def later(self) -> bool:
        """Tell whether it would be ready on a later day than now, or not at all."""
        return self.moves and (self.after is None or (self.before is not None and self.after > self.before))


@dataclass(frozen=True, slots=True)
class Load:
    """How many minutes somebody has in the plan, now and then."""

    name: str
    before_min: int
    after_min: int


@dataclass(frozen=True, slots=True)
class WhatIf:
    """What would change. reason says why nothing can be said; new_end is when a unit that was added would be ready."""

    changes: list[Change]
    loads: list[Load]
    late_minutes_before: int = 0
    late_minutes_after: int = 0
    new_end: datetime | None = None
    new_reason: Reason | None = None
    reason: Reason | None = None

    @property
    def moved(self) -> list[Change]:
        """Return the units that would be ready on another day."""
        return [change for change in self.changes if change.moves]


@dataclass(frozen=True, slots=True)
class Cost:
    """What it costs the others that one unit goes first."""

    own_before: datetime | None
    own_end: datetime | None
    later: list[Change]
    reason: Reason | None = None


def add_unit(services: Sequence[Service]) -> WhatIf:
    """Say what one more unit with these services would do, taken in now and promised nothing yet."""
    seen = _seen()
    steps = tuple(_step(piece) for piece in pieces_of_services(services))
    job = Job(NEW_UNIT, NEW_UNIT, steps, weight=USUAL)
    return _compare(seen, replace(seen.gathered.facts, jobs=(*seen.gathered.facts.jobs, job)))


def sick_day(person: User, day: date) -> WhatIf:
    """Say what it would do if somebody did not work on a day."""
    seen = _seen()
    first, last = _slots_of(seen.gathered, day)
    people = [
        replace(one, spans=_without(one.spans, first, last)) if one.key == str(person.pk) else one
        for one in seen.gathered.facts.technicians
    ]
    return _compare(seen, _with_people(seen.gathered.facts, people))


def third_technician(name: str) -> WhatIf:
    """Say what another technician would do who works the shop's usual hours and can do everything."""
    seen = _seen()
    gathered = seen.gathered
    spans = spans_between(gathered.calendars.shop, gathered.start, gathered.until)
    wanted = {step.skill for job in gathered.facts.jobs for step in job.steps if step.attended}
    speeds = dict.fromkeys(sorted({GENERAL, *wanted}), 100)
    newcomer = Technician(NEW_TECHNICIAN, name, _as_slots(gathered, spans), speeds)
    return _compare(seen, _afresh(_with_people(gathered.facts, [*gathered.facts.technicians, newcomer])))


def extra_day(day: date, begins: time, ends: time) -> WhatIf:
    """Say what it would do if everybody worked on a day in these hours."""
    seen = _seen()
    gathered = seen.gathered
    zone = ZoneInfo(gathered.shop.time_zone)
    begin = datetime.combine(day, begins, zone).astimezone(UTC)
    end = datetime.combine(day + timedelta(days=ends == time(0)), ends, zone).astimezone(UTC)
    more = _as_slots(gathered, [Span(begin, end)])
    first, last = _slots_of(gathered, day)
    people = [
        replace(one, spans=tuple(sorted((*_without(one.spans, first, last), *more))))
        for one in gathered.facts.technicians
    ]
    return _compare(seen, _afresh(_with_people(gathered.facts, people)))


def cost_of_first(unit: Unit) -> Cost:
    """Say what letting a unit go first would cost the others."""
    seen = _seen()
    key = str(unit.pk)
    jobs = [
        replace(job, weight=FIRST, due_slot=0, previous=()) if job.key == key else job
        for job in seen.gathered.facts.jobs
    ]
    found = _compare(seen, replace(seen.gathered.facts, jobs=tuple(jobs)))
    own = next((change for change in found.changes if change.unit.pk == unit.pk), None)
    others = [change for change in found.changes if change.later and change.unit.pk != unit.pk]
    return Cost(own.before if own else None, own.after if own else None, others, found.reason)


@dataclass(frozen=True, slots=True)
class _Seen:
    """The facts of now, and where the stored plan has every unit's end and everybody's minutes."""

    gathered: Gathered
    plan: Plan | None
    ends: Mapping[UUID, datetime]


def _seen() -> _Seen:
    plan = current()
    gathered = gather(previous_of(plan, slot_start(clock.now())))
    ends = dict(plan.units.values_list("unit_id", "ends_at")) if plan else {}
    return _Seen(gathered, plan, ends)


def _compare(seen: _Seen, facts: ShopFacts) -> WhatIf:
    try:
        after = solving.solve(facts, effort=solving.QUICK).plan
    except solving.Broken as broken:
        return WhatIf([], [], reason=broken.reason)
    ends = {key: seen.gathered.moment(slot) for key, slot in after.ends.items()}
    changes = [
        Change(
            work.unit, seen.ends.get(work.unit.pk), ends.get(key), work.unit.promised_on, seen.gathered.shop.time_zone
        )
        for key, work in seen.gathered.works.items()
    ]
    unplanned = {row.job: row.reason for row in after.unplanned}
    return WhatIf(
        changes=sorted(
            changes, key=lambda change: (change.after is None, change.after or change.before or seen.gathered.start)
        ),
        loads=_loads(seen, facts, after),
        late_minutes_before=seen.plan.late_minutes if seen.plan else 0,
        late_minutes_after=round(after.value * SLOT_MINUTES / USUAL),
        new_end=ends.get(NEW_UNIT),
        new_reason=unplanned.get(NEW_UNIT),
    )


def _loads(seen: _Seen, facts: ShopFacts, after: PlanMade) -> list[Load]:
    """Return everybody's minutes of work, in the stored plan and in the other one."""
    minutes = {(job.key, step.key): step.minutes for job in facts.jobs for step in job.steps}
    before: dict[str, int] = {}
    for step in seen.plan.steps.filter(ends_at__gt=seen.gathered.start) if seen.plan else ():
        before[str(step.technician_id)] = before.get(str(step.technician_id), 0) + step.minutes
    then: dict[str, int] = {}
    for placed in after.placements:
        if placed.technician:
            then[placed.technician] = then.get(placed.technician, 0) + minutes[placed.job, placed.step]
    return [Load(one.name, before.get(one.key, 0), then.get(one.key, 0)) for one in facts.technicians]


def _with_people(facts: ShopFacts, people: Iterable[Technician]) -> ShopFacts:
    return replace(facts, technicians=tuple(people))


def _afresh(facts: ShopFacts) -> ShopFacts:
    """Let everything move: where there are more hands or hours, keeping the plan as it is would leave them idle."""
    return replace(facts, jobs=tuple(replace(job, previous=()) for job in facts.jobs))


def _step(piece: Piece) -> Step:
    return Step(piece.key, piece.left_min, piece.skill if piece.attended else "", piece.equipment, piece.attended)


def _as_slots(gathered: Gathered, spans: Iterable[Span]) -> tuple[tuple[int, int], ...]:
    return tuple(to_slots(spans, gathered.start, SLOT_MINUTES, gathered.facts.horizon_slots))


def _slots_of(gathered: Gathered, day: date) -> tuple[int, int]:
    """Return the slots of a local day, from its first to where the next day begins."""
    zone = ZoneInfo(gathered.shop.time_zone)
    midnights = (datetime.combine(each, time(0), zone).astimezone(UTC) for each in (day, day + timedelta(days=1)))
    first, last = (gathered.slot_of(midnight) for midnight in midnights)
    return first, last


def _without(spans: Iterable[tuple[int, int]], first: int, last: int) -> tuple[tuple[int, int], ...]:
    """Cut the slots from first up to last out of spans."""
    cut = [piece for begin, end in spans for piece in ((begin, min(end, first)), (max(begin, last), end))]
    return tuple((begin, end) for begin, end in cut if begin < end)
