"""From the shop's rows to what the planner takes: technicians with their hours and skills, benches, jobs, slots.

A shop that entered nothing: everybody who works at benches works Monday to Friday as long as the profile says and can
do everything, and every place of kind bench counts (or one bench for each person), with all equipment.
"""

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from uuid import UUID
from zoneinfo import ZoneInfo

from shop.core import clock
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.people.models import Place, User
from shop.people.queries import benches, technicians
from shop.planning.assigning.plan_facts import SLOT_MINUTES, Bench, Fixed, Job, Placement, ShopFacts, Step, Technician
from shop.planning.calendars import Calendars, calendars
from shop.planning.models import TechnicianSkill
from shop.planning.unit_work import DIAGNOSIS, GENERAL, Piece, UnitWork, folded, work_left
from shop.planning.worktime.working_time import Span, spans_between, to_slots

SLOT = timedelta(minutes=SLOT_MINUTES)
# How far is planned ahead: twice what the work would take, at least so many days, at most half a year.
LEAST_DAYS, MOST_DAYS = 28, 183
# How much a minute of lateness weighs: a comeback under warranty four times, one that goes first above all.
USUAL, COMEBACK, FIRST = 10, 40, 1000
# Without a promise: a diagnosis is wanted within so many days of arrival. An assumption.
DIAGNOSIS_DAYS = 5


@dataclass(frozen=True, slots=True)
class Gathered:
    """What a plan is made from, with the way back from keys to rows.

    start is when slot 0 begins; spans are the technicians' working time in UTC until the horizon; works are the units
    in the plan by key, waiting those that are not, with why.
    """

    facts: ShopFacts
    start: datetime
    people: Mapping[str, User]
    places: Mapping[str, Place | None]
    spans: Mapping[str, list[Span]]
    works: Mapping[str, UnitWork]
    waiting: tuple[UnitWork, ...]
    calendars: Calendars
    shop: ShopProfile

    @property
    def until(self) -> datetime:
        """Return the moment at which the horizon lies."""
        return self.start + self.facts.horizon_slots * SLOT

    @property
    def sha256(self) -> str:
        """Return the hash of the facts, whatever the hour: equal facts from equal starts have equal hashes."""
        text = json.dumps(asdict(self.facts), sort_keys=True, default=_plain)
        return hashlib.sha256(text.encode()).hexdigest()

    def moment(self, slot: int) -> datetime:
        """Return when a slot begins."""
        return self.start + slot * SLOT

    def slot_of(self, moment: datetime) -> int:
        """Return the slot in which a moment lies, which may be below 0."""
        return (moment - self.start) // SLOT


def _plain(thing: object) -> object:
    return sorted(thing) if isinstance(thing, frozenset) else str(thing)


def gather(previous: Mapping[UUID, Sequence[Placement]] | None = None) -> Gathered:
    """Read everything that a plan is made from now. previous is where the plan before had each unit's steps, in slots
    of this one.
    """
    works = work_left()
    return assemble(works, profile(), list(technicians()), list(benches()), previous)


def assemble(
    works: Sequence[UnitWork],
    shop: ShopProfile,
    people: Sequence[User],
    places: Sequence[Place],
    previous: Mapping[UUID, Sequence[Placement]] | None = None,
) -> Gathered:
    """Put the facts together. Four queries: hours, days off, extra days, skills."""
    start = slot_start(clock.now())
    plannable = [work for work in works if work.reason is None]
    skills = _skills()
    first = clock.day_of(start, shop.time_zone)
    days = _days_ahead(plannable, shop, len(people))
    known = calendars(shop, people, first, first + timedelta(days=days + 1))
    horizon = days * 24 * 60 // SLOT_MINUTES
    until = start + horizon * SLOT
    spans = {str(one.pk): spans_between(known.of[one.pk], start, until) for one in people}
    wanted = {piece.skill for work in plannable for piece in work.pieces if piece.attended}
    slots = _Slots(start, shop, horizon)
    benches_there = _benches(places, people, plannable)
    facts = ShopFacts(
        technicians=tuple(
            Technician(str(one.pk), one.name, slots.of(spans[str(one.pk)]), _speeds(skills.get(one.pk), wanted))
            for one in people
        ),
        benches=tuple(bench for bench, _place in benches_there),
        jobs=_jobs(plannable, slots, _Seats(benches_there, people), previous or {}),
        horizon_slots=horizon,
    )
    return Gathered(
        facts=facts,
        start=start,
        people={str(one.pk): one for one in people},
        places={bench.key: place for bench, place in benches_there},
        spans=spans,
        works={str(work.unit.pk): work for work in plannable},
        waiting=tuple(work for work in works if work.reason is not None),
        calendars=known,
        shop=shop,
    )


def slot_start(moment: datetime) -> datetime:
    """Return when the slot that a moment lies in began: whole quarters of an hour in UTC."""
    whole = moment.astimezone(UTC).replace(second=0, microsecond=0)
    return whole - timedelta(minutes=whole.minute % SLOT_MINUTES)


def _days_ahead(works: Iterable[UnitWork], shop: ShopProfile, people: int) -> int:
    """Return how many days to plan ahead: enough for all the work twice, and past what parts are waited for."""
    works = list(works)
    minutes = sum(piece.left_min for work in works for piece in work.pieces)
    days = 2 * minutes * 7 / 5 / (shop.minutes_per_day * max(1, people))
    today = clock.day_of(clock.now(), shop.time_zone)
    parts = max(((work.parts_due - today).days for work in works if work.parts_due), default=0)
    return int(min(MOST_DAYS, LEAST_DAYS + days + max(0, parts)))


def _skills() -> dict[UUID, dict[str, int]]:
    found: dict[UUID, dict[str, int]] = defaultdict(dict)
    for row in TechnicianSkill.objects.filter(retired_at=None):
        found[row.technician_id][folded(row.skill)] = row.percent
    return found


def _speeds(entered: Mapping[str, int] | None, wanted: Iterable[str]) -> dict[str, int]:
    """Return somebody's speed by skill. Nothing entered is everything; bench work as such everybody can do."""
    if entered is None:
        return dict.fromkeys(sorted({GENERAL, *wanted}), 100)
    return {GENERAL: 100, **entered}


def _benches(
    places: Sequence[Place], people: Sequence[User], works: Iterable[UnitWork]
) -> list[tuple[Bench, Place | None]]:
    """Return a bench for each unit that fits on a place; one for each person where the shop has none.

    Where no equipment is entered at any bench, every bench has everything.
    """
    everything = frozenset(word for work in works for piece in work.pieces for word in piece.equipment)
    if not places:
        return [(Bench(f"of {one.pk}", one.name, everything), None) for one in people] or [
            (Bench("of nobody", "", everything), None)
        ]
    entered = any(place.equipment for place in places)
    return [
        (Bench(f"{place.pk} {seat}", place.name, _equipment(place) if entered else everything), place)
        for place in places
        for seat in range(1, place.capacity + 1)
    ]


def _equipment(place: Place) -> frozenset[str]:
    return frozenset(folded(str(word)) for word in place.equipment)


@dataclass(frozen=True, slots=True)
class _Slots:
    """How days and spans read in slots from a start."""

    start: datetime
    shop: ShopProfile
    horizon: int

    def of(self, spans: Iterable[Span]) -> tuple[tuple[int, int], ...]:
        return tuple(to_slots(spans, self.start, SLOT_MINUTES, self.horizon))

    def begin_of(self, day: date) -> int:
        """Return the slot at which a local day begins; below 0 for a day that is over."""
        midnight = datetime.combine(day, time(0), ZoneInfo(self.shop.time_zone))
        return (midnight.astimezone(UTC) - self.start) // SLOT


class _Seats:
    """Who sits where with what has begun: one unit at a time for each person, one for each room of a bench."""

    def __init__(self, there: Sequence[tuple[Bench, Place | None]], people: Iterable[User]) -> None:
        self.free = list(there)
        self.here = {one.pk for one in people}
        self.busy: set[UUID] = set()

    def begun(self, work: UnitWork) -> Fixed | None:
        """Return where and by whom a unit's first piece goes on now, or None when it is not in anybody's hands."""
        who = work.worked_by
        if who not in self.here or who in self.busy or not self.free or not work.pieces[0].attended:
            return None
        seat = next((seat for seat in self.free if seat[1] and seat[1].pk == work.at_bench), self.free[0])
        self.free.remove(seat)
        self.busy.add(who)
        return Fixed(str(who), seat[0].key, 0)


def _jobs(
    works: Sequence[UnitWork], slots: _Slots, seats: _Seats, previous: Mapping[UUID, Sequence[Placement]]
) -> tuple[Job, ...]:
    """Return the jobs in the order of their numbers. Of several units in one person's hands the last taken up is begun.

    The others stay with that person, as do pinned ones with theirs.
    """
    latest_first = sorted(works, key=lambda work: work.unit.stage_since, reverse=True)
    begun = {work.unit.pk: seats.begun(work) for work in latest_first}
    return tuple(_job(work, slots, begun[work.unit.pk], seats.here, previous) for work in works)


def _job(
    work: UnitWork,
    slots: _Slots,
    begun: Fixed | None,
    here: set[UUID],
    previous: Mapping[UUID, Sequence[Placement]],
) -> Job:
    unit = work.unit
    steps = [_step(piece) for piece in work.pieces]
    if begun:
        steps[0] = replace(steps[0], fixed=begun)
    keeper = work.pinned if work.pinned in here else work.worked_by if not begun else None
    return Job(
        key=str(unit.pk),
        label=str(unit),
        steps=tuple(steps),
        release_slot=max(0, slots.begin_of(work.parts_due)) if work.parts_due else 0,
        due_slot=_due(work, slots),
        weight=FIRST if work.first else COMEBACK if work.comeback else USUAL,
        pinned=str(keeper) if keeper in here else None,
        previous=tuple(previous.get(unit.pk, ())),
    )


def _step(piece: Piece) -> Step:
    return Step(
        key=piece.key,
        minutes=piece.left_min,
        skill=piece.skill if piece.attended else "",
        equipment=piece.equipment,
        attended=piece.attended,
        kind=piece.like,
    )


def _due(work: UnitWork, slots: _Slots) -> int | None:
    """Return the slot by which a unit is promised: the end of that day. One that goes first is due at once."""
    if work.first:
        return 0
    promised = work.unit.promised_on
    if promised is None and work.pieces[0].kind == DIAGNOSIS:
        promised = clock.day_of(work.unit.received_at, slots.shop.time_zone) + timedelta(days=DIAGNOSIS_DAYS)
    return slots.begin_of(promised + timedelta(days=1)) if promised else None
