"""Changes to try on an order of tasks, drawn at random by the thousand.

A task goes to another place, perhaps to another technician; two tasks change places and hands; two tasks of one job
go together. Most go near, since far ones are seldom good; a few go anywhere.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shop.planning.laying import Ground, Layout
from shop.planning.plan_tables import NOBODY
from shop.planning.trials import Batch
from shop.planning.trying import Change

Numbers = NDArray[np.int64]
# How many places a task goes, about, per technician; and the share of those that go anywhere.
NEAR_PER_TECHNICIAN, ANYWHERE = 1.5, 0.2
# Tasks of one batch lie within so many places, or a quarter of all.
LEAST_WINDOW = 40


@dataclass(slots=True)
class Draws:
    """Trials of the same shape as a batch, by row, as they are drawn."""

    task: Numbers
    place: Numbers
    person: Numbers


class Moves:
    """Draws changes of one order after another."""

    def __init__(self, ground: Ground, seed: int) -> None:
        tasks = ground.tasks
        self.random = np.random.default_rng(seed)
        self.count, self.people = len(tasks), len(ground.tables.calendars)
        self.pred = np.array(ground.pred)
        self.succ = np.array([task.succ for task in tasks])
        self.job = np.array([task.job for task in tasks])
        self.able = np.zeros((self.count, self.people), bool)
        for number, task in enumerate(tasks):
            self.able[number, list(task.slots)] = True
        self.choices = np.concatenate([np.array(list(task.slots)) for task in tasks])
        self.width = np.array([len(task.slots) for task in tasks])
        self.begin = np.cumsum(self.width) - self.width
        self.near = NEAR_PER_TECHNICIAN * self.people
        self.window = max(LEAST_WINDOW, self.count // 4)

    def look_at(self, layout: Layout) -> None:
        """Draw changes of this layout from now on."""
        self.order, self.who = np.array(layout.order), np.array(layout.who)
        self.at = np.empty(self.count, np.int64)
        self.at[self.order] = np.arange(self.count)
        self.low = np.where(self.pred != NOBODY, self.at[self.pred] + 1, 0)
        self.high = np.where(self.succ != NOBODY, self.at[self.succ], self.count)
        theirs = np.zeros((self.people, self.count + 1), np.int64)
        theirs[self.who[self.order], np.arange(1, self.count + 1)] = 1
        # by technician how many of the tasks before a place are theirs
        self.theirs = np.cumsum(theirs, axis=1)

    def draw(self, size: int) -> Batch:
        """Return up to so many trials; those that would change nothing are left out.

        All of one batch stay behind one place, so that what comes before it need not be laid out.
        """
        middle = int(self.random.integers(0, self.count))
        self.since = max(0, min(middle - self.window // 2, self.count - self.window))
        self.until = min(self.count, self.since + self.window)
        drawn = [self._alone(size * 4 // 10), self._swapped(size * 3 // 10), self._together(size * 3 // 10)]
        columns = [np.concatenate([getattr(draws, name) for draws in drawn]) for name in ("task", "place", "person")]
        return Batch(*(column.astype(np.int32) for column in columns))

    def _steps(self, size: int, scale: float) -> Numbers:
        """Return how far to go: near in both directions, and a few anywhere."""
        reach = np.where(self.random.random(size) < ANYWHERE, self.count / 3, scale)
        return np.rint(self.random.laplace(0, 1, size) * reach).astype(np.int64)

    def _tasks(self, size: int) -> Numbers:
        return self.order[self.random.integers(self.since, self.until, size)]

    def _people(self, task: Numbers, stay: float) -> Numbers:
        """Return a technician for each task: the same for a share of them, else anybody who can."""
        size = len(task)
        other = self.choices[self.begin[task] + (self.random.random(size) * self.width[task]).astype(np.int64)]
        return np.where(self.random.random(size) < stay, self.who[task], other)

    def _alone(self, size: int) -> Draws:
        task = self._tasks(size)
        person = self._people(task, 0.3)
        low = np.maximum(self.low[task], self.since)
        place = np.clip(self.at[task] + self._steps(size, self.near), low, self.high[task])
        between = self.theirs[person, place] - self.theirs[person, self.at[task]]
        some = (person != self.who[task]) | ((between != 0) & (between != 1))
        task, place, person = task[some], place[some], person[some]
        nothing = np.full(len(task), NOBODY)
        return Draws(np.stack([task, nothing], 1), np.stack([place, place], 1), np.stack([person, person], 1))

    def _swapped(self, size: int) -> Draws:
        one = self._tasks(size)
        place = np.clip(self.at[one] + self._steps(size, self.near), self.since, self.count - 1)
        other = self.order[place]
        here = self.at[one]
        some = (self.job[one] != self.job[other]) & self.able[one, self.who[other]] & self.able[other, self.who[one]]
        some &= (self.low[one] <= place) & (place <= self.high[one])
        some &= (self.low[other] <= here) & (here <= self.high[other])
        one, other, here, place = one[some], other[some], here[some], place[some]
        person = np.stack([self.who[other], self.who[one]], 1)
        return Draws(np.stack([one, other], 1), np.stack([place, here], 1), person)

    def _together(self, size: int) -> Draws:
        one = self._tasks(size)
        one = one[self.succ[one] != NOBODY]
        other, size = self.succ[one], len(one)
        step = self._steps(size, self.near * 1.5)
        apart = np.rint(self.random.laplace(0, 1, size) * self.near / 2).astype(np.int64)
        low = np.maximum(self.low[one], self.since)
        place = np.clip(self.at[one] + step, low, self.high[other])
        after = np.clip(np.maximum(self.at[other] + step + apart, place), low, self.high[other])
        person = np.stack([self._people(one, 0.5), self._people(other, 0.5)], 1)
        return Draws(np.stack([one, other], 1), np.stack([place, after], 1), person)


@dataclass(slots=True)
class Wanted:
    """One trial in terms that hold when the order has changed: before which task each goes (None: the end)."""

    tasks: list[int]
    before: list[int | None]
    person: list[int]


def wanted(batch: Batch, row: int, order: list[int]) -> Wanted:
    """Return a trial of a batch that was drawn on an order; what goes to an earlier place comes first."""
    phases = [phase for phase in (0, 1) if batch.task[row, phase] != NOBODY]
    phases.sort(key=lambda phase: int(batch.place[row, phase]))
    tasks = [int(batch.task[row, phase]) for phase in phases]
    before: list[int | None] = []
    for phase in phases:
        place = int(batch.place[row, phase])
        while place < len(order) and order[place] in tasks:
            place += 1
        before.append(order[place] if place < len(order) else None)
    return Wanted(tasks, before, [int(batch.person[row, phase]) for phase in phases])


def changed(order: list[int], who: list[int], want: Wanted, ground: Ground) -> Change | None:
    """Return the change of a present order, or None where a task would come before its predecessor."""
    order, who = order.copy(), who.copy()
    touched = []
    for task in want.tasks:
        touched.append(order.index(task))
        order.pop(touched[-1])
    for task, before, person in zip(want.tasks, want.before, want.person, strict=True):
        place = len(order) if before is None else order.index(before)
        order.insert(place, task)
        touched.append(place)
        who[task] = person
    for task in want.tasks:
        here, row = order.index(task), ground.tasks[task]
        if row.pred != NOBODY and order.index(row.pred) > here:
            return None
        if row.succ != NOBODY and order.index(row.succ) < here:
            return None
    # Two tasks were taken out one after the other, so a place may be one off.
    return Change(order, who, max(0, min(touched) - 1), max(touched) + 2)
