"""When units will be ready, from a plan's order of work and the shop's record: the figures behind every date."""

from collections.abc import Iterable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from shop.core.reasons import Refused
from shop.planning import queries
from shop.planning.assigning.plan_facts import ShopFacts, Technician
from shop.planning.experience import experience
from shop.planning.gathering import Gathered
from shop.planning.models import PlanStep
from shop.planning.promises.estimates import Estimate
from shop.planning.promises.promising import Dates, PromiseDate, by_day
from shop.planning.promises.simulation import Mend, Outlook, Release, Task, simulate
from shop.planning.unit_work import GENERAL, TESTING, Piece, UnitWork
from shop.planning.worktime.working_time import spans_between

# Behind the plan's horizon there is this much more time for what takes longer than expected.
_SPARE = timedelta(days=120)


@dataclass(frozen=True, slots=True)
class Given:
    """One piece of a unit's work in the order of a plan: by whom (None: on its own), and when the plan begins it.

    benches are those of which it takes one, none where no bench is ever waited for.
    """

    key: str
    piece: Piece
    technician: str | None
    begins_at: datetime
    benches: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Foreseen:
    """By unit the day that is sure enough (none beyond the horizon), and how many records of work stand behind it."""

    dates: Dates
    sure: Mapping[str, PromiseDate]
    records: int

    def chance(self, key: str, day: date | None) -> int | None:
        """Return the chance in whole percent that a unit is ready by the end of a day; None for one without either."""
        return int(100 * self.dates.chance(key, day)) if day and key in self.dates.places else None


def order_of(gathered: Gathered, steps: Iterable[PlanStep]) -> list[Given]:
    """Return all work that is left in the order of a stored plan.

    What the plan did not know comes after what it did, units that were promised meanwhile first, each piece by whoever
    is able to do it and has least before it, at whichever bench that suits it.
    """
    choice = _BenchChoice(gathered.facts)
    planned = {(step.unit_id, step.key): step for step in steps}
    load = {one.key: 0 for one in gathered.facts.technicians}
    known: list[Given] = []
    fresh: list[tuple[UnitWork, Piece]] = []
    for work in gathered.works.values():
        for piece in work.pieces:
            step = planned.get((work.unit.pk, piece.key))
            who = str(step.technician_id) if step and step.technician_id else None
            if step and (who in load or not piece.attended):
                benches = choice.of(piece, step.bench_key)
                known.append(Given(str(work.unit.pk), piece, who, step.begins_at, benches))
                if who:
                    load[who] += piece.left_min
            else:
                fresh.append((work, piece))
    fresh.sort(key=lambda one: one[0].unit.promised_on is None)
    return [*sorted(known, key=lambda one: one.begins_at), *_given_out(gathered, fresh, load, choice)]


class _BenchChoice:
    """At which benches pieces of work may be done: at any and without a wait where there are benches enough."""

    def __init__(self, facts: ShopFacts) -> None:
        self.benches = {bench.key: bench.equipment for bench in facts.benches}
        steps = [step for job in facts.jobs for step in job.steps]
        most = len(facts.technicians) + sum(not step.attended for step in steps)
        self.scarce = any(len(self._suited(wanted)) < most for wanted in {step.equipment for step in steps})

    def of(self, piece: Piece, planned: str = "") -> tuple[str, ...]:
        """Return the bench that a plan gave to a piece, or all that suit it."""
        if not self.scarce:
            return ()
        return (planned,) if planned in self.benches else self._suited(piece.equipment)

    def _suited(self, wanted: frozenset[str]) -> tuple[str, ...]:
        return tuple(key for key, equipment in self.benches.items() if wanted <= equipment)


def _given_out(
    gathered: Gathered, fresh: Sequence[tuple[UnitWork, Piece]], load: dict[str, int], choice: _BenchChoice
) -> list[Given]:
    people = {one.key: one for one in gathered.facts.technicians}
    given: list[Given] = []
    for work, piece in fresh:
        who = _whoever(work, piece, people, load) if piece.attended else None
        if who:
            load[who] += piece.left_min
        if who or not piece.attended:
            given.append(Given(str(work.unit.pk), piece, who, gathered.until, choice.of(piece)))
    return given


def _whoever(work: UnitWork, piece: Piece, people: Mapping[str, Technician], load: Mapping[str, int]) -> str | None:
    kept = str(work.pinned or work.worked_by or "")
    able = [one for one in people if piece.skill in people[one].speeds and people[one].spans]
    return kept if kept in able else min(able, key=lambda one: (load[one], one), default=None)


def foresee(gathered: Gathered, order: Sequence[Given], percent: int, used_percent: float) -> Foreseen:
    """Play the order through and return the day on which each unit is ready with `percent` certainty. Seven queries.

    used_percent is what the record of kept promises makes of percent.
    """
    known = experience()
    until = gathered.until + _SPARE
    spans = {str(pk): spans_between(calendar, gathered.start, until) for pk, calendar in gathered.calendars.of.items()}
    outlook = Outlook(
        start=gathered.start,
        tasks=[_task(gathered, given) for given in _chained(gathered, order)],
        working_time=spans,
        releases=_releases(gathered),
        experience=known,
    )
    dates = by_day(simulate(outlook), gathered.calendars.shop, until)
    return Foreseen(dates, _sure(dates, percent, used_percent), len(known.history.units))


def _sure(dates: Dates, percent: int, used_percent: float) -> dict[str, PromiseDate]:
    found = {}
    for key in dates.places:
        with suppress(Refused):
            found[key] = dates.promise(key, percent, used_percent)
    return found


def is_whole(gathered: Gathered, order: Sequence[Given], key: str) -> bool:
    """Tell whether all that is left to do on a unit has somebody who does it."""
    return sum(given.key == key for given in order) == len(gathered.works[key].pieces)


def _chained(gathered: Gathered, order: Sequence[Given]) -> list[Given]:
    """Keep each unit's pieces in their own order, whatever a plan made of it before a test failed."""
    places = {(given.key, given.piece.key): (at, given) for at, given in enumerate(order)}
    chained = []
    for key, work in gathered.works.items():
        reached = 0
        for number, piece in enumerate(work.pieces):
            if (key, piece.key) in places:
                at, given = places[key, piece.key]
                reached = max(reached, at)
                chained.append((reached, number, given))
    return [given for _at, _number, given in sorted(chained, key=lambda place: place[:2])]


def _task(gathered: Gathered, given: Given) -> Task:
    piece, who = given.piece, given.technician
    speeds = {one.key: one.speeds for one in gathered.facts.technicians}
    speed = speeds[who].get(piece.skill, 100) if who else 100
    mend = None
    if piece.kind == TESTING and who:
        minutes = queries.MEND_MIN
        spread = Estimate(queries.LOW_FACTOR * minutes, minutes, queries.HIGH_FACTOR * minutes)
        mend = Mend(who, GENERAL, spread)
    return Task(
        unit=given.key,
        step=piece.key,
        technician=who,
        service=piece.service,
        estimate=_at_speed(piece.estimate, speed),
        worked_min=piece.worked_min,
        mend=mend,
        benches=given.benches,
    )


def _at_speed(estimate: Estimate, speed: int) -> Estimate:
    low, likely, high = (
        minutes * 100 / speed for minutes in (estimate.low_min, estimate.likely_min, estimate.high_min)
    )
    return Estimate(low, likely, high)


def _releases(gathered: Gathered) -> dict[str, Release]:
    zone = ZoneInfo(gathered.shop.time_zone)
    return {
        key: Release(datetime.combine(work.parts_due, time(0), zone).astimezone(UTC), parts=True)
        for key, work in gathered.works.items()
        if work.parts_due
    }
