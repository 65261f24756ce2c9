"""From the shop's rows to what the planner takes: technicians with their hours and skills, benches, jobs, slots.

A shop that entered nothing: everybody who works at benches works Monday to Friday as long as the profile says and can
do everything, and every place of kind bench counts (or one bench for each person), with all equipment.
"""

import hashlib
import json
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import asdict, dataclass
from datetime import datetime, timedelta
from uuid import UUID

from shop.core import clock
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.people.models import Place, User
from shop.people.queries import benches, technicians
from shop.planning.assigning.plan_facts import SLOT_MINUTES, Bench, Placement, ShopFacts, Technician
from shop.planning.calendars import Calendars, calendars
from shop.planning.jobs import Seats, jobs_of
from shop.planning.models import TechnicianSkill
from shop.planning.slots import SLOT, Slots, slot_start
from shop.planning.unit_work import GENERAL, UnitWork, folded, work_left
from shop.planning.worktime.working_time import Span, spans_between

# How far is planned ahead: twice what the work would take, at least so many days, at most half a year.
LEAST_DAYS, MOST_DAYS = 28, 183


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
    slots = Slots(start, shop, horizon)
    benches_there = _benches(places, people, plannable)
    facts = ShopFacts(
        technicians=tuple(
            Technician(str(one.pk), one.name, slots.of(spans[str(one.pk)]), _speeds(skills.get(one.pk), wanted))
            for one in people
        ),
        benches=tuple(bench for bench, _place in benches_there),
        jobs=jobs_of(plannable, slots, Seats(benches_there, people), previous or {}),
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
