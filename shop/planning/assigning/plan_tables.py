"""The facts of a plan as tables for reckoning: numbers instead of keys, and the jobs that cannot be planned set apart.

A technician's working time is counted in working slots: the w-th slot in which they work at all. Whoever pauses over
night does so by working slots alone: work of d slots that begins at working slot w takes w to w + d - 1, wherever the
nights lie. After the horizon time goes on as if everybody worked on, so that every job has an end; whatever ends
there is taken out of the plan at last.
"""

from dataclasses import dataclass, field
from functools import cached_property

import numpy as np

from shop.core.reasons import Reason
from shop.planning.assigning.plan_facts import Fixed, Job, ShopFacts, Step, Technician, Unplanned

NOBODY = -1


@dataclass(slots=True)
class Calendar:
    """One technician's working slots: start[w] is the slot of working slot w, end[w] when w slots are worked through.

    at[t] is the first working slot that lies at slot t or later; within is how many there are before the horizon.
    """

    start: list[int]
    end: list[int]
    at: list[int]
    within: int


@dataclass(slots=True)
class Rest:
    """An unattended step: its step, its length in slots, and the benches that suit it (numbers)."""

    step: Step
    slots: int
    benches: list[int]


@dataclass(slots=True)
class Task:
    """A step that somebody has yet to do, with the unattended ones around it.

    slots are its lengths by technician (those who can); leads are unattended steps of its job before any attended
    one, rests those that follow until the next task. ready is the slot before which neither it nor its leads begin.
    """

    job: int
    step: Step
    slots: dict[int, int]
    benches: list[int]
    ready: int
    kind: str
    pred: int = NOBODY
    succ: int = NOBODY
    leads: list[Rest] = field(default_factory=list)
    rests: list[Rest] = field(default_factory=list)

    @property
    def lag(self) -> int:
        """Return the slots from its end until the job may go on."""
        return sum(rest.slots for rest in self.rests)


@dataclass(slots=True)
class Standing:
    """A fixed step with its technician and bench as numbers (NOBODY when unattended) and its length in slots."""

    job: int
    step: Step
    fixed: Fixed
    technician: int
    bench: int
    slots: int


@dataclass
class Tables:
    """What the planners reckon with. loose are unattended steps of jobs that have no task, by job."""

    facts: ShopFacts
    jobs: list[Job]
    calendars: list[Calendar]
    tasks: list[Task] = field(default_factory=list)
    standing: list[Standing] = field(default_factory=list)
    loose: dict[int, list[Rest]] = field(default_factory=dict)
    unplanned: list[Unplanned] = field(default_factory=list)

    @cached_property
    def contested(self) -> bool:
        """Return whether a bench could ever be waited for; otherwise benches are handed out at the end."""
        if any(standing.fixed.start_slot > 0 for standing in self.standing):
            return True
        attended = len(self.facts.technicians)
        resting = sum(len(task.leads) + len(task.rests) for task in self.tasks)
        resting += sum(len(rests) for rests in self.loose.values())
        resting += sum(standing.technician == NOBODY for standing in self.standing)
        choices = [task.benches for task in self.tasks]
        choices += [rest.benches for task in self.tasks for rest in (*task.leads, *task.rests)]
        choices += [rest.benches for rests in self.loose.values() for rest in rests]
        return any(len(benches) < attended + resting for benches in choices)

    @cached_property
    def last_task(self) -> dict[int, int]:
        """Return by job the number of its last task."""
        return {task.job: number for number, task in enumerate(self.tasks) if task.succ == NOBODY}


def tabulate(facts: ShopFacts) -> Tables:
    """Turn facts into tables. Jobs that nobody could ever do are listed in `unplanned` with the reason."""
    room = _room(facts)
    tables = Tables(facts, [], [calendar(one, facts.horizon_slots, room) for one in facts.technicians])
    for job in facts.jobs:
        reason = _why_not(job, tables)
        if reason:
            tables.unplanned.append(Unplanned(job.key, reason))
        else:
            _add(job, tables)
    return tables


def _room(facts: ShopFacts) -> int:
    """Return how many slots all the work takes at most, one step after another by the slowest who can."""
    slowest: dict[str, int] = {}
    for one in facts.technicians:
        for skill, speed in one.speeds.items():
            slowest[skill] = min(speed, slowest.get(skill, speed))
    steps = [step for job in facts.jobs for step in job.steps]
    return sum(_slots(step.minutes, min(100, slowest.get(step.skill, 100)), facts) for step in steps) + 1


def calendar(one: Technician, horizon: int, room: int) -> Calendar:
    """Return the working slots of a technician until the horizon, and so many more after it."""
    start = [slot for begin, until in one.spans for slot in range(begin, min(until, horizon))]
    within = len(start)
    start += range(horizon, horizon + room)
    at = np.searchsorted(np.array(start), np.arange(horizon + room + 1))
    return Calendar(start, [0, *(slot + 1 for slot in start)], at.tolist(), within)


def _slots(minutes: int, speed: int, facts: ShopFacts) -> int:
    """Return whole slots, rounded up, for so many minutes at a speed in percent."""
    return -(-minutes * 100 // (speed * facts.slot_minutes))


def _benches(step: Step, facts: ShopFacts) -> list[int]:
    """Return the benches that suit a step, the plainest first, so that the special ones stay free."""
    suited = [number for number, bench in enumerate(facts.benches) if step.equipment <= bench.equipment]
    return sorted(suited, key=lambda number: len(facts.benches[number].equipment))


def _able(job: Job, step: Step, facts: ShopFacts) -> list[int]:
    """Return who may do a step: all who can, or the pinned one alone where they can."""
    able = [number for number, one in enumerate(facts.technicians) if step.skill in one.speeds]
    pinned = [number for number in able if facts.technicians[number].key == job.pinned]
    return pinned or able


def _why_not(job: Job, tables: Tables) -> Reason | None:
    facts = tables.facts
    pinnable = [step for step in job.steps if step.attended and not step.fixed]
    if job.pinned and pinnable and not any(_is_pinned(job, step, facts) for step in pinnable):
        return Reason("pinned_cannot", {"unit": job.label, "technician": _name(job.pinned, facts)})
    if job.release_slot >= facts.horizon_slots:
        return Reason("begins_after_horizon", {"unit": job.label})
    for step in job.steps:
        reason = _fixed_wrong(job, step, facts) if step.fixed else _step_wrong(job, step, tables)
        if reason:
            return reason
    return None


def _is_pinned(job: Job, step: Step, facts: ShopFacts) -> bool:
    return any(one.key == job.pinned and step.skill in one.speeds for one in facts.technicians)


def _name(key: str, facts: ShopFacts) -> str:
    return next((one.name for one in facts.technicians if one.key == key), key)


def _step_wrong(job: Job, step: Step, tables: Tables) -> Reason | None:
    facts = tables.facts
    if not _benches(step, facts):
        return Reason("no_such_bench", {"unit": job.label, "equipment": ", ".join(sorted(step.equipment))})
    if not step.attended:
        fits = job.release_slot + _slots(step.minutes, 100, facts) <= facts.horizon_slots
        return None if fits else Reason("longer_than_horizon", {"unit": job.label, "minutes": step.minutes})
    if not facts.technicians:
        return Reason("no_technicians", {"unit": job.label})
    able = _able(job, step, facts)
    if not able:
        return Reason("nobody_has_skill", {"unit": job.label, "skill": step.skill})
    if all(_task_slots(step, who, facts) > tables.calendars[who].within for who in able):
        return Reason("longer_than_horizon", {"unit": job.label, "minutes": step.minutes})
    return None


def _fixed_wrong(job: Job, step: Step, facts: ShopFacts) -> Reason | None:
    assert step.fixed
    known = {bench.key for bench in facts.benches} | {one.key for one in facts.technicians}
    lost = [key for key in (step.fixed.technician, step.fixed.bench) if key is not None and key not in known]
    return Reason("fixed_to_unknown", {"unit": job.label, "missing": lost[0]}) if lost else None


def _task_slots(step: Step, who: int, facts: ShopFacts) -> int:
    # Whoever has begun a thing goes on at the usual speed, even where the skill is not in their list.
    return _slots(step.minutes, facts.technicians[who].speeds.get(step.skill, 100), facts)


def _add(job: Job, tables: Tables) -> None:
    """Append a job that can be planned: its fixed steps, its tasks, and the unattended steps around them."""
    facts, number, pred = tables.facts, len(tables.jobs), NOBODY
    tables.jobs.append(job)
    waiting: list[Rest] = []
    for step in job.steps:
        if step.fixed:
            tables.standing.append(_standing(number, step, facts))
        elif not step.attended:
            rest = Rest(step, _slots(step.minutes, 100, facts), _benches(step, facts))
            (waiting if pred == NOBODY else tables.tasks[pred].rests).append(rest)
        else:
            slots = {
                who: length
                for who in _able(job, step, facts)
                if (length := _task_slots(step, who, facts)) <= tables.calendars[who].within
            }
            task = Task(number, step, slots, _benches(step, facts), job.release_slot, step.kind, pred, leads=waiting)
            waiting, last = [], pred
            pred = len(tables.tasks)
            tables.tasks.append(task)
            if last != NOBODY:
                tables.tasks[last].succ = pred
    if waiting:
        tables.loose[number] = waiting


def _standing(job: int, step: Step, facts: ShopFacts) -> Standing:
    assert step.fixed
    who = next((n for n, one in enumerate(facts.technicians) if one.key == step.fixed.technician), NOBODY)
    bench = next(n for n, one in enumerate(facts.benches) if one.key == step.fixed.bench)
    slots = _slots(step.minutes, 100, facts) if who == NOBODY else _task_slots(step, who, facts)
    return Standing(job, step, step.fixed, who, bench, slots)
