"""How good a plan can be at best: a value that no plan of the same jobs goes below, and what jobs chose on the way."""

from collections import deque
from collections.abc import Callable
from dataclasses import dataclass
from math import ceil
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from shop.planning.assigning.choices import Choices, choices_of
from shop.planning.assigning.ground import Ground
from shop.planning.assigning.laying import Layout
from shop.planning.assigning.plan_facts import Goal
from shop.planning.assigning.plan_tables import NOBODY

if TYPE_CHECKING:
    from shop.planning.assigning.pricing_time import Floats, PricedTime

# A step is shortened when so many prices in a row gave no better bound; below the least step the search is over.
PATIENCE, SHORTER, LEAST_STEP = 100, 0.6, 1e-5
# A direction remembers the one before, which damps its swings (Camerini, Fratta and Maffioli 1975).
MEMORY = 0.9
# The jobs' own choices are handed on at so many of the last prices.
LAST = 400
_HAIR, _FAR = 1e-6, 1e18


@dataclass(frozen=True, slots=True)
class Bounded:
    """A lower bound on the goal's value, and what the jobs chose at the last prices, where there were any."""

    bound: int
    choices: Choices | None = None


def bound(ground: Ground, layout: Layout, iterations: int, should_stop: Callable[[], bool]) -> Bounded:
    """Return a lower bound on the goal's value of any plan of these jobs; the layout is a plan that is known."""
    if not ground.tasks:
        return Bounded(layout.value)
    if ground.tables.facts.goal is Goal.LAST_END:
        return Bounded(_of_last_end(ground))
    # What is compiled takes a second to load: only who asks for prices pays for it.
    from shop.planning.assigning.pricing_time import PricedTime

    standing = ground.standing_value()
    priced = PricedTime(ground, max(layout.job_end))
    search = _Prices(priced, layout.value - standing, priced.first_prices(layout))
    for _ in range(iterations):
        if search.over() or should_stop():
            break
        search.step()
    choices = choices_of(ground, search.chosen) if search.chosen else None
    return Bounded(min(layout.value, standing + max(0, ceil(search.best - _HAIR))), choices)


class _Prices:
    """Prices on their way up: the best bound so far, its prices, and the length of a step."""

    def __init__(self, priced: "PricedTime", known: float, first: "Floats") -> None:
        self.priced, self.known = priced, known
        self.prices = self.best_prices = first
        self.direction = priced.no_prices()
        # The first prices may be far too high, and their bound far below nothing.
        self.best, self.stride, self.waited = -_FAR, 1.0, 0
        self.flat = False
        self.chosen: deque[tuple[NDArray[np.int64], NDArray[np.int64]]] = deque(maxlen=LAST)

    def over(self) -> bool:
        """Tell whether nothing more is to be had: the bound meets the known value, or steps no longer count."""
        return self.flat or self.stride < LEAST_STEP or self.best > self.known - 1 + _HAIR

    def step(self) -> None:
        """Reckon the bound at the prices, then move them towards what is wanted too often."""
        value, wanted = self.priced.bound(self.prices)
        who, first = self.priced.choice
        self.chosen.append((who.copy(), first.copy()))
        if value > self.best + 1e-4 * abs(self.best):
            self.waited = 0
        else:
            self.waited += 1
        if value > self.best:
            self.best, self.best_prices = value, self.prices
        self.direction = self._open(self._open(wanted) + MEMORY * self.direction)
        if self.waited >= PATIENCE:
            self.stride, self.waited = self.stride * SHORTER, 0
            self.prices = self.best_prices
            self.direction = self.priced.no_prices()
            return
        length = float((self.direction**2).sum())
        self.flat = length < _HAIR
        if not self.flat:
            ahead = self.stride * (1.01 * self.known - value) / length
            self.prices = np.maximum(0.0, self.prices + ahead * self.direction)

    def _open(self, direction: "Floats") -> "Floats":
        """Leave out where a price is nothing already and would fall."""
        return np.where((self.prices <= 0) & (direction < 0), 0.0, direction)


def _of_last_end(ground: Ground) -> int:
    """Return the longest of each job's own way, what only one can do in a row, and all work shared out evenly."""
    ways = list(ground.base_end)
    alone: dict[int, list[tuple[int, int, int]]] = {}
    for number, task in enumerate(ground.tasks):
        tail = task.lag + _tail(ground, task.succ)
        ready = max(_head(ground, task.pred), ground.ready[number])
        ways.append(ready + min(task.slots.values()) + tail)
        if len(task.slots) == 1:
            ((one, slots),) = task.slots.items()
            alone.setdefault(one, []).append((ready, slots, tail))
    together = [
        min(row[0] for row in rows) + sum(row[1] for row in rows) + min(row[2] for row in rows)
        for rows in alone.values()
    ]
    least = sum(min(task.slots.values()) for task in ground.tasks)
    return max([*ways, *together, ceil(least / len(ground.tables.calendars))])


def _head(ground: Ground, task: int) -> int:
    if task == NOBODY:
        return 0
    row = ground.tasks[task]
    return max(_head(ground, row.pred), ground.ready[task]) + min(row.slots.values()) + row.lag


def _tail(ground: Ground, task: int) -> int:
    if task == NOBODY:
        return 0
    row = ground.tasks[task]
    return min(row.slots.values()) + row.lag + _tail(ground, row.succ)
