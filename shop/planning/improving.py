"""Makes a plan better by small changes, some of them for the worse at first (simulated annealing).

Thousands of changes are tried at once (`trials`); those that pass are reckoned again one by one on the order as it
has become meanwhile (`trying`), and made if they still pass. A change for the worse passes with a chance that falls
with its size and, over the rounds, with the temperature (Kirkpatrick, Gelatt and Vecchi 1983); from which temperature
to which is from trial runs. Rounds are counted, not timed, and chance is seeded: the same facts give the same plan,
unless the clock stops it.
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from shop.planning.laying import Ground, Layout, lay
from shop.planning.moves import Moves, changed, wanted
from shop.planning.trial_runs import values as values_of
from shop.planning.trials import Trials
from shop.planning.trying import Trying

WARM, COLD = 0.6, 0.1
LEAST_BATCH, MOST_BATCH, MADE_AT_MOST = 500, 10_000, 100
# Of changes that make no difference so many are made, so that the search does not stand still.
DRIFT = 0.03


@dataclass(slots=True)
class Search:
    """How long to search: rounds, a seed, and what may stop it or wants to see what is better."""

    rounds: int
    seed: int
    should_stop: Callable[[], bool]
    on_better: Callable[[Layout], None] = lambda _layout: None


def improve(ground: Ground, layout: Layout, search: Search) -> Layout:
    """Return the best layout found, never worse than the given one."""
    if len(ground.tasks) < 2:
        return layout
    annealing = _Annealing(ground, layout, search.seed)
    usual = usual_delay(ground)
    for number in range(search.rounds):
        if search.should_stop():
            break
        if annealing.round(usual * WARM * (COLD / WARM) ** (number / search.rounds)):
            search.on_better(annealing.best)
    return annealing.best


def usual_delay(ground: Ground) -> float:
    """Return what it counts, on average, when a job ends later by one of its tasks (nights included)."""
    total = 0.0
    for task in ground.tasks:
        total += ground.weight[task.job] * sum(task.slots.values()) / len(task.slots)
    calendars = ground.tables.calendars
    stretch = [one.start[one.within - 1] / one.within for one in calendars if one.within]
    return max(1.0, total / len(ground.tasks) * max(1.0, sum(stretch) / max(1, len(stretch))))


class _Annealing:
    """A search under way: the present order, the best layout so far, and how many trials a batch has.

    A batch is as large as it takes for enough trials to pass, which are few when it is cold.
    """

    def __init__(self, ground: Ground, layout: Layout, seed: int) -> None:
        self.ground, self.best = ground, layout
        self.trials, self.moves, self.trying = Trials(ground), Moves(ground, seed), Trying(ground, layout)
        self.size = LEAST_BATCH

    def round(self, heat: float) -> bool:
        """Try one batch on the present order and make what passes; tell whether a better layout was passed by."""
        trying, moves = self.trying, self.moves
        start = lay(self.ground, trying.order, trying.who)
        trying.take(start)
        moves.look_at(start)
        batch = moves.draw(self.size)
        values = values_of(self.trials, trying, batch)
        room = -heat * np.log(moves.random.random(len(values)))
        drift = moves.random.random(len(values)) < DRIFT
        passed = np.flatnonzero((values - start.value <= room) & ((values != start.value) | drift))
        moves.random.shuffle(passed)
        self.size = min(MOST_BATCH, max(LEAST_BATCH, self.size * MADE_AT_MOST // max(1, len(passed))))
        found, value = (start.order, start.who), start.value
        for row in passed[:MADE_AT_MOST].tolist():
            change = changed(trying.order, trying.who, wanted(batch, row, start.order), self.ground)
            limit = trying.value + room[row]
            if change and trying.worth(change, limit) <= limit:
                trying.make(change)
                if trying.value < value:
                    found, value = (trying.order, trying.who), trying.value
        better = value < self.best.value
        if better:
            self.best = lay(self.ground, *found)
        return better
