"""When units will be finished: the plan's order of work, played through many times with durations that may be. Pure.

Each run draws how long every step takes (`durations`), how often a test fails and the unit goes back, and how late
parts come, and then lets the technicians work in the plan's order, each piece at its bench when that is free.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime

import numpy as np

from shop.planning.promises.bench_waits import Alone, Attended, Benches
from shop.planning.promises.desks import Desk
from shop.planning.promises.durations import Durations
from shop.planning.promises.estimates import Estimate
from shop.planning.promises.history import History, Numbers, Rows
from shop.planning.worktime.working_time import Span

RUNS = 2000
# A unit goes back this often at most in one run; at one failed test in ten the chance of more is 0.01 percent.
_MOST_ROUNDS = 3
# Of a new shop: one test in eight fails, known as well as from eight tests. An assumption.
_FAILED_PRIOR, _PASSED_PRIOR = 1.0, 7.0
# Of a new shop: half of the parts come when they are due, the rest days later. An assumption.
_LATE_PRIOR_DAYS = (0.0, 0.0, 0.0, 0.0, 1.0, 2.0, 4.0, 7.0)
_DAY_MIN = 24 * 60
_POINTS = 1000


@dataclass(frozen=True, slots=True)
class Mend:
    """What is done when a test fails, before it is repeated: by whom, as which service, with which estimate."""

    technician: str
    service: str
    estimate: Estimate


@dataclass(frozen=True, slots=True)
class Task:
    """A step of a unit that is not done yet.

    technician is None for what runs unattended, through the night. The estimate is of the whole step at the pace of
    its technician, of which worked_min are done. mend makes it a test that may fail. It takes one of the benches, also
    for the mend; without any it never waits for one.
    """

    unit: str
    step: str
    technician: str | None
    service: str
    estimate: Estimate
    worked_min: float = 0
    mend: Mend | None = None
    benches: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Release:
    """When a unit can begin: a moment, and whether it is a day on which parts are due, which may be late."""

    at: datetime
    parts: bool = False


@dataclass(frozen=True, slots=True)
class Experience:
    """What the shop's record says, beside its estimates' history.

    Tests that failed and passed, and the days that parts came late by (none when in time). Interruptions of a piece of
    work are in the minutes that it was clocked with; those between pieces, and work that is yet to come and will go
    first, such as comebacks, are not foreseen.
    """

    history: History
    failed_tests: int = 0
    passed_tests: int = 0
    parts_late_days: Sequence[float] = ()


@dataclass(frozen=True, slots=True)
class Outlook:
    """What is ahead from a moment on: tasks in the plan's order, the technicians' working time, releases by unit.

    A unit's tasks follow each other in the order given. Raises ValueError for a task of a technician without an entry
    in working_time (it may be empty).
    """

    start: datetime
    tasks: Sequence[Task]
    working_time: Mapping[str, Sequence[Span]]
    releases: Mapping[str, Release]
    experience: Experience

    def __post_init__(self) -> None:
        people = {task.technician for task in self.tasks} | {task.mend.technician for task in self.tasks if task.mend}
        unknown = sorted(people - {None} - set(self.working_time), key=str)
        if unknown:
            raise ValueError(f"no working time is given for {unknown[0]}")


@dataclass(frozen=True, slots=True)
class Finishes:
    """For each unit the minutes from the start until it is finished, in every run; infinite beyond the horizon."""

    start: datetime
    minutes: Mapping[str, Numbers]


def simulate(outlook: Outlook, runs: int = RUNS, seed: int = 0) -> Finishes:
    """Play the work through and return when every unit of the tasks is finished. The same seed gives the same answer.

    Raises ValueError for less than one run.
    """
    if runs < 1:
        raise ValueError("a simulation has one run at least")
    return _Play(outlook, runs, seed).finishes()


class _Play:
    def __init__(self, outlook: Outlook, runs: int, seed: int) -> None:
        self.outlook, self.runs = outlook, runs
        self.all: Rows = np.arange(runs)
        self.durations = Durations(outlook.experience.history, runs, seed)
        self.under_way: dict[tuple[str, tuple[str, ...]], Numbers] = {}
        self.holders = _holders(outlook.tasks)
        self.benches = Benches(self.holders, runs)
        self.desks = {name: Desk(self._spans(spans), runs) for name, spans in outlook.working_time.items()}
        dice, seen = self.durations.dice("tests"), outlook.experience
        self.failing = dice.beta(_FAILED_PRIOR + seen.failed_tests, _PASSED_PRIOR + seen.passed_tests, runs)

    def finishes(self) -> Finishes:
        ends: dict[str, Numbers] = {}
        for task in self.outlook.tasks:
            ready = ends[task.unit] if task.unit in ends else self._released(task.unit)
            ends[task.unit] = self._done(task, ready)
        return Finishes(self.outlook.start, ends)

    def _done(self, task: Task, ready: Numbers) -> Numbers:
        if task.technician is None:
            left = self.durations.unattended(task.estimate, step=task.step, unit=task.unit) - task.worked_min
            piece = Alone(np.maximum(0.0, left))
            return self.benches.put(task.benches, ready, self.all, piece) if task.benches else ready + piece.minutes
        ends = self._work(task, task.technician, ready, self.all)
        return self._tested(task, task.technician, task.mend, ends) if task.mend else ends

    def _tested(self, task: Task, tester: str, mend: Mend, ends: Numbers) -> Numbers:
        """Send back the runs whose test fails: a mend and the test again, as often as it takes."""
        chances = self.durations.dice("failed", task.unit, task.step).random(self.runs)
        rounds = np.sum([chances < self.failing**again for again in range(1, _MOST_ROUNDS + 1)], axis=0)
        rows = np.flatnonzero(rounds)
        if len(rows):
            mending = Task(
                task.unit, f"{task.step} mend", mend.technician, mend.service, mend.estimate, benches=task.benches
            )
            testing = replace(task, step=f"{task.step} again", worked_min=0)
            ready = self._work(mending, mend.technician, ends[rows], rows, rounds[rows])
            ends[rows] = self._work(testing, tester, ready, rows, rounds[rows])
        return ends

    def _work(self, task: Task, technician: str, ready: Numbers, rows: Rows, rounds: Rows | int = 1) -> Numbers:
        """Return when a piece of work, done so many times over, ends in some of the runs."""
        minutes = rounds * self.durations.hands_on(
            task.estimate, step=task.step, unit=task.unit, service=task.service, technician=technician, rows=rows,
            worked_min=task.worked_min,
        )  # fmt: skip
        chances = self.durations.dice("around", task.unit, task.step).random(len(rows), dtype=np.float32)
        point, desk = (chances * _POINTS).astype(np.intp), self.desks[technician]
        busy = self._under_way(technician)[point]
        if not self._may_wait(task):
            return desk.place(ready, minutes, rows, busy)
        elsewhere = self._under_way(technician, task.benches)[point]
        return self.benches.put(task.benches, ready, rows, Attended(desk, ready, minutes, rows, busy, elsewhere))

    def _may_wait(self, task: Task) -> bool:
        """Tell whether others have to do with every bench that suits: one's own work follows on itself anyway."""
        return bool(task.benches) and all(len(self.holders[bench]) > 1 for bench in task.benches)

    def _under_way(self, technician: str, awaited: tuple[str, ...] = ()) -> Numbers:
        """Return quantiles of what is left of a piece of a technician's work that is met under way.

        That is somewhere in all of the work, in a long piece more likely than in a short one; not in what needs the
        benches that are waited for.
        """
        if (technician, awaited) not in self.under_way:
            blocked = set(awaited)
            own = [
                task.estimate.mean_min
                for task in self.outlook.tasks
                if task.technician == technician and not (task.benches and blocked.issuperset(task.benches))
            ]
            done = np.cumsum(np.asarray(own or [0.0]))
            somewhere = (np.arange(_POINTS) + 0.5) / _POINTS * done[-1]
            self.under_way[technician, awaited] = done[np.searchsorted(done, somewhere)] - somewhere
        return self.under_way[technician, awaited]

    def _released(self, unit: str) -> Numbers:
        release = self.outlook.releases.get(unit)
        if release is None:
            return np.zeros(self.runs)
        at = (release.at - self.outlook.start).total_seconds() / 60
        if not release.parts:
            return np.full(self.runs, max(0.0, at))
        comes = at + _DAY_MIN * np.asarray([*_LATE_PRIOR_DAYS, *self.outlook.experience.parts_late_days])
        # Parts that are overdue come as late as others that were later still, or tomorrow when none ever was.
        comes = comes[comes >= 0] if comes.max() >= 0 else np.array([_DAY_MIN])
        return self.durations.dice("parts", unit).choice(comes, self.runs)

    def _spans(self, spans: Sequence[Span]) -> list[tuple[float, float]]:
        start = self.outlook.start
        minutes = [((s.since - start).total_seconds() / 60, (s.until - start).total_seconds() / 60) for s in spans]
        return [(max(0.0, since), until) for since, until in minutes if until > 0]


def _holders(tasks: Sequence[Task]) -> dict[str, set[str | None]]:
    """Return by bench who may have work at it; None stands for what runs unattended."""
    holders: dict[str, set[str | None]] = {}
    for task in tasks:
        for bench in task.benches:
            holders.setdefault(bench, set()).update(
                {task.technician, task.mend.technician if task.mend else task.technician}
            )
    return holders
