"""From what is left to do on units to the planner's jobs: what has begun, who keeps what, when each is due.

How much it weighs to be late is decided here too.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from uuid import UUID

from shop.core import clock
from shop.people.models import Place, User
from shop.planning.assigning.plan_facts import Bench, Fixed, Job, Placement, Step
from shop.planning.slots import Slots
from shop.planning.unit_work import DIAGNOSIS, Piece, UnitWork

# How much a minute of lateness weighs: a comeback under warranty four times, one that goes first above all.
USUAL, COMEBACK, FIRST = 10, 40, 1000
# Without a promise: a diagnosis is wanted within so many days of arrival. An assumption.
DIAGNOSIS_DAYS = 5


class Seats:
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


def jobs_of(
    works: Sequence[UnitWork], slots: Slots, seats: Seats, previous: Mapping[UUID, Sequence[Placement]]
) -> tuple[Job, ...]:
    """Return the jobs in the order of their numbers. Of several units in one person's hands the last taken up is begun.

    The others stay with that person, as do pinned ones with theirs.
    """
    latest_first = sorted(works, key=lambda work: work.unit.stage_since, reverse=True)
    begun = {work.unit.pk: seats.begun(work) for work in latest_first}
    return tuple(_job(work, slots, begun[work.unit.pk], seats.here, previous) for work in works)


def _job(
    work: UnitWork,
    slots: Slots,
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


def _due(work: UnitWork, slots: Slots) -> int | None:
    """Return the slot by which a unit is promised: the end of that day. One that goes first is due at once."""
    if work.first:
        return 0
    promised = work.unit.promised_on
    if promised is None and work.pieces[0].kind == DIAGNOSIS:
        promised = clock.day_of(work.unit.received_at, slots.shop.time_zone) + timedelta(days=DIAGNOSIS_DAYS)
    return slots.begin_of(promised + timedelta(days=1)) if promised else None
