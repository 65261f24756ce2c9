"""The bound of a plan against the linear program that it is the dual of, solved by HiGHS (in SciPy).

The program is the time-indexed one (Sousa and Wolsey 1992) with the chain of a job as a flow through time: one column
for each start of each task with each technician, and one for each slot that a job waits.
"""

from collections import defaultdict

import numpy as np
import pytest
from scipy.optimize import linprog
from scipy.sparse import csc_array

from shop.planning.assigning.bounding import bound
from shop.planning.assigning.ground import Ground
from shop.planning.assigning.improving import Search, improve
from shop.planning.assigning.laying import Layout
from shop.planning.assigning.plan_tables import NOBODY, tabulate
from tests.benchmarks.tight_shops import Tight, draw
from tests.planning.test_plan_search import by_rule

Row = tuple[str, int, int]


class Relaxed:
    """The rows and columns of the program of one shop, up to a slot by which all is done."""

    def __init__(self, ground: Ground, until: int) -> None:
        self.ground, self.until = ground, until
        self.columns: list[dict[Row, int]] = []
        self.costs: list[int] = []
        for number, task in enumerate(ground.tasks):
            for one in task.slots:
                self._starts(number, one)
            if task.pred != NOBODY:
                for slot in range(until):
                    self._add(0, {("ready", number, slot): -1, ("ready", number, slot + 1): 1})

    def _starts(self, number: int, one: int) -> None:
        task, calendar = self.ground.tasks[number], self.ground.tables.calendars[one]
        for first in range(calendar.at[self.ground.ready[number]], calendar.at[self.until] - task.slots[one] + 1):
            end = calendar.end[first + task.slots[one]] + task.lag
            column: dict[Row, int] = {("busy", one, first + step): 1 for step in range(task.slots[one])}
            column["done", number, 0] = 1
            if task.pred != NOBODY:
                column["ready", number, calendar.start[first]] = -1
            if task.succ != NOBODY:
                column["ready", task.succ, end] = 1
            late = max(0, end - self.ground.due[task.job]) if task.succ == NOBODY else 0
            if end <= self.until:
                self._add(self.ground.weight[task.job] * late, column)

    def _add(self, cost: int, column: dict[Row, int]) -> None:
        self.costs.append(cost)
        self.columns.append(column)

    def least(self) -> float:
        """Return the least value of the program."""
        rows: dict[str, dict[Row, int]] = defaultdict(dict)
        entries: dict[str, list[tuple[int, int, int]]] = defaultdict(list)
        for at, column in enumerate(self.columns):
            for row, value in column.items():
                kind = "upper" if row[0] == "busy" else "equal"
                entries[kind].append((value, rows[kind].setdefault(row, len(rows[kind])), at))
        sides = {
            kind: csc_array((values, (on, at)), shape=(len(rows[kind]), len(self.columns)))
            for kind, (values, on, at) in ((kind, zip(*found, strict=True)) for kind, found in entries.items())
        }
        done = [float(row[0] == "done") for row in rows["equal"]]
        found = linprog(
            self.costs, sides["upper"], np.ones(len(rows["upper"])), sides["equal"], done, (0, None), method="highs"
        )
        assert found.success
        return float(found.fun)


@pytest.mark.parametrize(("factor", "seed"), [(0.4, 1), (0.6, 1), (0.8, 1), (0.6, 2)])
def test_the_bound_comes_close_to_the_linear_program_and_never_above_it(factor: float, seed: int) -> None:
    """Within 1 % and the whole numbers that it is rounded up to."""
    ground = Ground(tabulate(draw(Tight(10, 2, factor, 0.4, seed))))
    layout: Layout = improve(ground, by_rule(ground), Search(1_000_000, 1))
    least = Relaxed(ground, max(layout.job_end) + 8).least()
    found = bound(ground, layout, 3000, lambda: False).bound
    assert 0.99 * least <= found < least + 1


@pytest.mark.parametrize("seed", [1, 2])
def test_what_jobs_choose_at_the_last_prices_is_on_average_near_the_best_solution(seed: int) -> None:
    """Averages of the choices come to feasible and best (Larsson, Patriksson and Strömberg 1999): they cost what the
    linear program costs, and nobody is wanted much more than once, where a single price's choices crowd."""
    ground = Ground(tabulate(draw(Tight(20, 2, 0.6, 0.4, seed))))
    layout: Layout = improve(ground, by_rule(ground), Search(1_000_000, 1))
    least = Relaxed(ground, max(layout.job_end) + 8).least()
    choices = bound(ground, layout, 3000, lambda: False).choices
    assert choices is not None
    taken = np.zeros((len(choices.who), 2, max(layout.job_end) + 100))
    costs = np.zeros(len(choices.who))
    for number, task in enumerate(ground.tasks):
        for price, (one, start) in enumerate(zip(choices.who[:, number], choices.start[:, number], strict=True)):
            end = start + task.slots[one]
            taken[price, one, start:end] += 1
            if task.succ == NOBODY:
                costs[price] += ground.weight[task.job] * max(0, end - ground.due[task.job])
    assert costs.mean() == pytest.approx(least, rel=0.03)
    crowded = np.maximum(0, taken - 1).sum(axis=(1, 2)).mean()
    assert np.maximum(0, taken.mean(axis=0) - 1).sum() < 0.05 * crowded
