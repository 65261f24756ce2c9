"""A value that no plan can go below, by putting a price on each technician's time.

The time-indexed relaxation of a plan lets every job choose its starts so that no technician is wanted more than once
in a slot. Its dual puts a price on each technician's working slots instead: every job then takes what is cheapest for
it alone, which a table over time answers exactly, and the sum less all the prices is a lower bound whatever the prices
are (Lagrangian relaxation: Fisher 1981). At the best prices it is the bound of that linear relaxation with its chains
in full. Prices rise where technicians are wanted more than once and fall where nobody wants them (Polyak's step).
Benches are left out, which can only lower the bound.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from shop.planning.laying import Ground, Layout
from shop.planning.plan_facts import Goal
from shop.planning.plan_tables import NOBODY

Floats = NDArray[np.float64]
Ints = NDArray[np.int32]
CLOSED = 1e12
# The ratio is too high where technicians can stand in for each other; half of it is a good beginning in trial runs.
FIRST_SHARE = 0.5


@dataclass(slots=True)
class Wish:
    """What the jobs would choose at some prices: by task the technician and the working slot."""

    who: list[int]
    first: list[int]


class PricedTime:
    """The tables of one shop up to a slot; after it time costs nothing, so the bound holds for any horizon."""

    def __init__(self, ground: Ground, until: int) -> None:
        self.ground = ground
        calendars = ground.tables.calendars
        longest = max(max(task.slots.values()) for task in ground.tasks)
        self.until = until
        # priced working slots per technician, and free ones behind them to begin in.
        self.priced = np.array([one.at[min(until, len(one.at) - 1)] for one in calendars])
        self.width = int(self.priced.max()) + 1
        self.longest = longest
        self.clock = until + 1
        # slots of time to a working slot, nights included
        self.stretch = max(1.0, until / max(1, int(self.priced.max())))
        self.levels = self._levels()
        self.option: list[tuple[int, int]] = []
        self.rows: list[tuple[int, int]] = []
        for number, task in enumerate(ground.tasks):
            begin = len(self.option)
            self.option += [(number, one) for one in task.slots]
            self.rows.append((begin, len(self.option)))
        self._tables()

    def _levels(self) -> list[list[int]]:
        """Return the tasks by how many follow them in their job: the last ones first."""
        levels: list[list[int]] = []
        depth: dict[int, int] = {}
        for number in reversed(range(len(self.ground.tasks))):
            succ = self.ground.tasks[number].succ
            depth[number] = 0 if succ == NOBODY else depth[succ] + 1
            while len(levels) <= depth[number]:
                levels.append([])
            levels[depth[number]].append(number)
        return levels

    def _tables(self) -> None:
        ground = self.ground
        count = len(self.option)
        self.one = np.array([one for _task, one in self.option])
        self.slots = np.array([ground.tasks[task].slots[one] for task, one in self.option])
        self.begin = np.arange(self.width)
        self.after = np.zeros((count, self.width), np.int32)
        self.fixed_cost = np.zeros((count, self.width))
        self.at = np.array([one.at[: self.clock] for one in ground.tables.calendars])
        np.minimum(self.at, self.width - 1, out=self.at)
        ends = [np.array(one.end) for one in ground.tables.calendars]
        for row, (task, one) in enumerate(self.option):
            reach = np.minimum(self.begin + self.slots[row], len(ends[one]) - 1)
            go_on = ends[one][reach] + ground.lag[task]
            self.after[row] = np.minimum(go_on, self.clock - 1)
            if ground.tasks[task].succ == NOBODY:
                self.fixed_cost[row] = self._cost(ground.tasks[task].job, go_on)
            self.fixed_cost[row, : ground.first_free[one]] = CLOSED
            for block_begin, block_until in ground.blocks[one]:
                self.fixed_cost[row, max(0, block_begin - int(self.slots[row]) + 1) : block_until] = CLOSED
            first = ground.tables.calendars[one].at[ground.ready[task]]
            self.fixed_cost[row, : min(first, self.width - 1)] = CLOSED

    def _cost(self, job: int, go_on: Ints) -> Floats:
        ground = self.ground
        late = np.maximum(0, go_on - ground.due[job])
        if ground.tables.facts.goal is Goal.LATE_JOBS:
            late = np.minimum(late, 1)
        return late.astype(float) * ground.weight[job]

    def bound(self, prices: Floats) -> tuple[float, Wish]:
        """Return the lower bound at these prices (technicians × priced slots), and what every job would choose."""
        total = np.zeros((len(self.priced), self.width + self.longest + 1))
        np.cumsum(prices, axis=1, out=total[:, 1 : self.width + 1])
        total[:, self.width + 1 :] = total[:, self.width : self.width + 1]
        best_from = np.empty((len(self.option), self.width))
        paid = np.empty((len(self.option), self.width))
        value = np.empty((len(self.ground.tasks), self.clock))
        for depth, level in enumerate(self.levels):
            rows = np.concatenate([np.arange(*self.rows[task]) for task in level])
            bounds = np.cumsum([0, *(self.rows[task][1] - self.rows[task][0] for task in level[:-1])])
            one, until = self.one[rows], self.begin + self.slots[rows, None]
            here = total[one[:, None], until] - total[one, : self.width]
            here += self.fixed_cost[rows]
            if depth:
                succ = np.array([self.ground.tasks[task].succ for task, _one in (self.option[row] for row in rows)])
                here += value[succ[:, None], self.after[rows]]
            paid[rows] = here
            lowest = np.minimum.accumulate(here[:, ::-1], axis=1)[:, ::-1]
            best_from[rows] = lowest
            by_clock = lowest[np.arange(len(rows))[:, None], self.at[one]]
            value[level] = np.minimum.reduceat(by_clock, bounds, axis=0)
        return self._choose(best_from, paid, prices)

    def _choose(self, best_from: Floats, paid: Floats, prices: Floats) -> tuple[float, Wish]:
        ground = self.ground
        sum_of_jobs = 0.0
        who, first = [0] * len(ground.tasks), [0] * len(ground.tasks)
        go_on = [0] * len(ground.tasks)
        for number, task in enumerate(ground.tasks):
            ready = ground.ready[number]
            if task.pred != NOBODY:
                ready = max(ready, go_on[task.pred])
            ready = min(ready, self.clock - 1)
            begin, until = self.rows[number]
            at = self.at[self.one[begin:until], ready]
            row = begin + int(np.argmin(best_from[np.arange(begin, until), at]))
            start = int(self.at[self.one[row], ready])
            start += int(np.argmin(paid[row, start:]))
            who[number], first[number], go_on[number] = int(self.one[row]), start, int(self.after[row, start])
            if task.pred == NOBODY:
                sum_of_jobs += best_from[row, self.at[self.one[row], ready]]
        return sum_of_jobs - float(prices.sum()), Wish(who, first)

    def wanted(self, wish: Wish) -> Floats:
        """Return how often each technician's working slots are wanted, less the once that they are there."""
        edges = np.zeros((len(self.priced), self.width + self.longest + 1))
        slots = np.array([task.slots[one] for task, one in zip(self.ground.tasks, wish.who, strict=True)], np.int64)
        who, first = np.array(wish.who, np.int64), np.array(wish.first, np.int64)
        np.add.at(edges, (who, first), 1)
        np.add.at(edges, (who, first + slots), -1)
        wanted: Floats = np.cumsum(edges, axis=1)[:, : self.width] - 1
        wanted[self.begin[None, :] >= self.priced[:, None]] = 0
        return wanted

    def no_prices(self) -> Floats:
        """Return prices of nothing, technicians × working slots."""
        return np.zeros((len(self.priced), self.width))

    def first_prices(self, layout: Layout) -> Floats:
        """Return prices to begin with, from a layout: a slot costs what late jobs lose that lie in it or after it.

        On one technician alone, with every job late, the best prices fall by weight over length with each slot of a
        job (Smith's ratio); this is taken for all, up to where the last late job ends.
        """
        ground = self.ground
        falls = self.no_prices()
        for number, task in enumerate(ground.tasks):
            one = layout.who[number]
            if layout.job_end[task.job] > ground.due[task.job]:
                slots = task.slots[one]
                first = ground.tables.calendars[one].at[layout.start[number]]
                falls[one, first : first + slots] = ground.weight[task.job] / slots
        prices: Floats = np.cumsum(falls[:, ::-1], axis=1)[:, ::-1] * self.stretch * FIRST_SHARE
        prices[self.begin[None, :] >= self.priced[:, None]] = 0
        return prices
