"""The ground of a plan as arrays of numbers, for the compiled inner loop (`laying`, `annealing`)."""

from collections.abc import Callable, Iterable, Sequence, Sized
from itertools import accumulate
from typing import Any, NamedTuple, TypeVar, cast

import numpy as np
from numba import njit
from numpy.typing import NDArray

from shop.planning.assigning.ground import Ground
from shop.planning.assigning.laying import Beginning, laid_before_tasks
from shop.planning.assigning.plan_facts import Goal
from shop.planning.assigning.plan_tables import NOBODY, Rest

Ints = NDArray[np.int64]
Floats = NDArray[np.float64]
# Calendars are long and asked at random: short numbers stay at hand.
Slots = NDArray[np.int32]
LATENESS, LATE_JOBS, LAST_END = range(3)
_GOALS = {Goal.LATENESS: LATENESS, Goal.LATE_JOBS: LATE_JOBS, Goal.LAST_END: LAST_END}


# The columns of a task: its predecessor and successor in its job, when it and its leads may begin, the slots from its
# end until its job may go on, its job's promise, what a slot of lateness costs (nothing unless it ends its job), and
# where the technicians who can do it stand in `able`.
PRED, SUCC, READY, BEGIN, LAG, DUE, WEIGHT, SINCE, UNTIL = range(9)


_Compiled = TypeVar("_Compiled", bound=Callable[..., Any])


def bare(function: _Compiled) -> _Compiled:
    """Compile what runs in the inner loop. It allocates nothing, so it need not count references to arrays.

    numba does that with every call otherwise, atomically: it took half of the time, and two searches would wait for
    each other's counts.
    """
    return _compiled(function, counts=False)


def counting(function: _Compiled) -> _Compiled:
    """Compile what allocates, and has to say so since callees follow their callers."""
    return _compiled(function, counts=True)


def _compiled(function: _Compiled, *, counts: bool) -> _Compiled:
    # numba's types do not know this option.
    options: dict[str, Any] = {"_nrt": counts}
    return cast("_Compiled", njit(cache=True, nogil=True, **options)(function))


class Lists(NamedTuple):
    """Short lists of numbers one behind another: list n is values[since[n]:since[n + 1]]."""

    since: Ints
    values: Ints


class Benches(NamedTuple):
    """What laying asks of benches where they may have to be waited for.

    suited are benches by task; leads and rests name the unattended steps of a task, which have slots and benches of
    their own. held are the spans in which benches are taken before any task is laid, by bench; most is how many spans
    one of them can have in all.
    """

    suited: Lists
    leads: Lists
    rests: Lists
    rest_slots: Ints
    rest_benches: Lists
    held_begins: Lists
    held_ends: Lists
    most: int


class Rows(NamedTuple):
    """What laying out asks of tasks and technicians, who are numbers.

    tasks has a row of columns for each task; slots are by task and technician, 0 where they cannot; able are
    technicians by task, one behind another. start, end and at are calendars by technician (`plan_tables.Calendar`),
    stretch by technician slots of time to a working slot, nights included; blocks are begin and end of fixed work,
    those of technician n from block_since[n] on. standing is what jobs without a task count.
    """

    goal: int
    standing: int
    scarce: bool
    tasks: Ints
    slots: Ints
    able: Ints
    start: Slots
    end: Slots
    at: Slots
    stretch: Floats
    first_free: Ints
    block_since: Ints
    blocks: Ints
    benches: Benches


def rows_of(ground: Ground) -> Rows:
    """Return a ground as arrays."""
    tables, calendars = ground.tables, ground.tables.calendars
    before = laid_before_tasks(ground)
    loose = set(range(len(tables.jobs))) - set(tables.last_task)
    slots = np.zeros((len(tables.tasks), len(calendars)), np.int64)
    for number, task in enumerate(tables.tasks):
        slots[number, list(task.slots)] = list(task.slots.values())
    return Rows(
        goal=_GOALS[tables.facts.goal],
        standing=ground.value(before.job_end, loose),
        scarce=tables.contested,
        tasks=_columns(ground),
        slots=slots,
        able=_ints(one for task in tables.tasks for one in task.slots),
        start=_square([one.start for one in calendars]),
        end=_square([one.end for one in calendars]),
        at=_square([one.at for one in calendars]),
        stretch=np.array([_stretch(one.start[: one.within]) for one in calendars]),
        first_free=_ints(ground.first_free),
        block_since=_since(ground.blocks),
        blocks=np.array([span for blocks in ground.blocks for span in blocks], np.int64).reshape(-1, 2),
        benches=_benches(ground, before),
    )


def _stretch(start: Sequence[int]) -> float:
    return (start[-1] - start[0] + 1) / len(start) if start else 1.0


def _columns(ground: Ground) -> Ints:
    since = _since([task.slots for task in ground.tasks]).tolist()
    return np.array(
        [
            (
                task.pred, task.succ, ground.ready[number], ground.begin[number], task.lag, ground.due[task.job],
                ground.weight[task.job] if task.succ == NOBODY else 0, since[number], since[number + 1],
            )
            for number, task in enumerate(ground.tasks)
        ],
        np.int64,
    ).reshape(-1, UNTIL + 1)  # fmt: skip


def _benches(ground: Ground, before: Beginning) -> Benches:
    tasks = ground.tasks
    unattended: list[Rest] = []
    leads, rests = (_numbered(rows, unattended) for rows in ([t.leads for t in tasks], [t.rests for t in tasks]))
    return Benches(
        suited=_lists([task.benches for task in tasks]),
        leads=leads,
        rests=rests,
        rest_slots=_ints(rest.slots for rest in unattended),
        rest_benches=_lists([rest.benches for rest in unattended]),
        held_begins=_lists([[begin for begin, _until in spans] for spans in before.bench_spans]),
        held_ends=_lists([[until for _begin, until in spans] for spans in before.bench_spans]),
        most=max(map(len, before.bench_spans), default=0) + len(tasks) + len(unattended) + 1,
    )


def _numbered(rows: Iterable[Sequence[Rest]], unattended: list[Rest]) -> Lists:
    """Give every unattended step a number, and return them by task."""
    found = []
    for rests in rows:
        found.append(list(range(len(unattended), len(unattended) + len(rests))))
        unattended += rests
    return _lists(found)


def _ints(values: Iterable[int]) -> Ints:
    return np.array(list(values), np.int64)


def _since(lists: Sequence[Sized]) -> Ints:
    return _ints(accumulate(map(len, lists), initial=0))


def _lists(lists: Sequence[Sequence[int]]) -> Lists:
    return Lists(_since(lists), _ints(value for row in lists for value in row))


def _square(rows: Sequence[Sequence[int]]) -> Slots:
    """Return rows of unlike length as one array, the shorter ones filled up with their last value."""
    wide = max(map(len, rows), default=0)
    return np.array([[*row, *([row[-1]] * (wide - len(row)))] for row in rows], np.int32).reshape(len(rows), wide)
