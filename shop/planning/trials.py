"""Tries thousands of changed plans at once: what would the goal's value be if this task went there instead?

A trial takes one or two tasks out of an order and puts them back before other places, each for a technician. All
trials of a batch are laid out together, one numpy operation for all of them per task, which makes one trial cost
about a microsecond where laying out afresh costs a hundred. Where benches are scarce, a bench counts as taken until
its last use ends, gaps before are not used; so a trial is a forecast there, and whoever takes it up lays it out.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shop.planning.laying import Ground
from shop.planning.plan_tables import NOBODY, Calendar

Ints = NDArray[np.int32]
Longs = NDArray[np.int64]
Places = NDArray[np.int32] | NDArray[np.int64]
FAR = 1 << 30


@dataclass(slots=True)
class Batch:
    """Trials by row: up to two tasks (NOBODY for none), the place in the order before which each goes, and its person.

    Place n, the number of tasks, is the very end. The second task goes after the first where both go to one place.
    """

    task: Ints
    place: Ints
    person: Ints


class Trials:
    """The rows of the tables that trials are laid out with.

    Where everybody keeps one calendar and nothing rests, times are that calendar's working slots (shared); else they
    are slots, and each technician's calendar is asked. The row after the last task stands for "no predecessor".
    """

    def __init__(self, ground: Ground) -> None:
        tasks, calendars = ground.tasks, ground.tables.calendars
        self.ground, self.count = ground, len(tasks)
        self.goal, self.scarce = ground.tables.facts.goal, ground.tables.contested
        self.slots = np.full((self.count, len(calendars)), FAR, np.int32)
        for number, task in enumerate(tasks):
            self.slots[number, list(task.slots)] = list(task.slots.values())
        self.pred = np.array([task.pred if task.pred != NOBODY else self.count for task in tasks], np.int32)
        self.lag = np.array(ground.lag, np.int32)
        self.last = np.array([task.succ == NOBODY for task in tasks], bool)
        self.due = np.array([ground.due[task.job] for task in tasks], np.int32)
        self.weight = np.array([ground.weight[task.job] for task in tasks], np.int32)
        self.shared = not self.scarce and not any(ground.lag) and _all_same(calendars)
        size = max(len(one.start) for one in calendars)
        self.start = np.array([one.start + [FAR] * (size - len(one.start)) for one in calendars], np.int32)
        self.end = np.array([one.end + [FAR] * (size - len(one.start)) for one in calendars], np.int32)
        self.at = np.array([one.at for one in calendars], np.int32)
        self.ready = np.array(ground.ready, np.int32)
        if self.shared:
            self.ready = self.at[0][self.ready]
        self.steady = self.shared and bool((self.end[0] == np.arange(size + 1)).all())
        self.blocks = [(one, span) for one, spans in enumerate(ground.blocks) for span in spans]
        self.benches = _bench_rows(ground)


def _all_same(calendars: Sequence[Calendar]) -> bool:
    return all(one.start == calendars[0].start for one in calendars)


def _bench_rows(ground: Ground) -> Ints:
    """Return a row of benches for every task, filled up with one that is never free."""
    wide = max((len(task.benches) for task in ground.tasks), default=1)
    rows = np.full((len(ground.tasks), wide), len(ground.tables.facts.benches), np.int32)
    for number, task in enumerate(ground.tasks):
        rows[number, : len(task.benches)] = task.benches
    return rows


class Put:
    """The entries of a batch, which are tasks put somewhere, in order of their places, with what is needed of each.

    The trial and its task by row; where in the flattened tables of a run its person's free working slot, its end and
    its predecessor's end are found; its lengths, and what its end counts: nothing unless it is the last of its job.
    """

    def __init__(self, of: Trials, batch: Batch, entries: Ints) -> None:
        size = len(batch.task)
        self.row = entries // 2
        self.task, self.person = batch.task.ravel()[entries], batch.person.ravel()[entries]
        self.free_at = self.person * size + self.row
        self.end_at = self.task * size + self.row
        self.pred_at = of.pred[self.task] * size + self.row
        self.calendar_at = self.person * of.at.shape[1]
        self.ready, self.slots = of.ready[self.task], of.slots[self.task, self.person]
        self.lag, self.due, self.last = of.lag[self.task], of.due[self.task], of.last[self.task]
        self.weight = of.weight[self.task] * self.last
