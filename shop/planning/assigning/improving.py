"""Makes a plan better: short searches from plans that are unlike each other, then the best of them searched together.

The short ones are simulated annealing (`compiled.annealing`). Beside the plan that is there, they begin from plans
drawn from what jobs would choose at the prices of the bound (`choices`): those are poor, but search from them ends
lower than from the plan of the rules. Three changes in ten follow those choices too (`compiled.moves`), which counts
for more the larger the shop: with the same work, three shops of 120 jobs by 8 technicians went from 20 to 9 % above
their bound.
What they find is then searched at several temperatures at once, all of which fall, and plans change places between
neighbouring ones (replica exchange: Swendsen and Wang 1986): which temperature is the right one differs from shop to
shop, and annealing alone passes it once. On five small shops (12 to 14 jobs) it ended 2.1 % above the best that is
known, both together 0.2 %.
Lengths are counted in tasks laid out, not timed, and chance is seeded: the same facts give the same plan, unless the
clock stops it.
"""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import pairwise, repeat
from math import exp
from threading import Lock

import numpy as np

from shop.planning.assigning.choices import Choices, drawn_from
from shop.planning.assigning.compiled.annealing import State, anneal, smooth, state_of
from shop.planning.assigning.compiled.moves import BEST, BEST_WHO, Chosen
from shop.planning.assigning.compiled.ranks import Ranks, ranks_of
from shop.planning.assigning.compiled.rows import rows_of
from shop.planning.assigning.ground import Ground
from shop.planning.assigning.laying import Layout, laid_before_tasks, lay
from shop.planning.assigning.levelling import Levels
from shop.planning.assigning.replanning import Kept

# Temperatures by what it counts when a job ends later by one of its tasks.
WARM, COLD = 0.3, 0.05
# From so many plans a short search begins, with so large a share of the work in all.
STARTS, SHARE_OF_STARTS = 16, 0.3
# Then so many plans are searched together, and change places after so many tasks each. Their temperatures lie between
# these two in the end, and are so much higher in the beginning.
TOGETHER, WARMEST, COLDEST, HOTTER, ROUND = 4, 0.12, 0.05, 2.0, 200_000
# A single start has no unlike plans beside it; so much more heat makes up for that.
ALONE = 2.0
# Searches do not wait for each other (what is compiled lets go of Python's lock), and their number never changes what
# they find.
AT_ONCE = 2
# After so many tasks laid out, some hundredths of a second, somebody may want to stop the search.
CHUNK = 2_000_000


@dataclass(slots=True)
class Search:
    """How long to search, in tasks laid out; a seed; and what may stop it or wants to see what is better.

    on_better may be called from another thread, one call at a time.
    """

    work: int
    seed: int
    should_stop: Callable[[], bool] = lambda: False
    on_better: Callable[[Layout], None] = field(default=lambda _layout: None)


def improve(ground: Ground, layout: Layout, search: Search, choices: Choices | None = None) -> Layout:
    """Return the best layout found from a layout and from what jobs would choose, never worse than the layout."""
    if len(ground.tasks) < 2:
        return layout
    searching = _Searching(ground, search, choices=choices)
    others = drawn_from(ground, choices, search.seed) if choices else []
    starts = [layout, *others][:STARTS]
    short = int(search.work * SHARE_OF_STARTS / len(starts))
    # The given one stands beside what became of it: a plan more to search from.
    found = sorted([layout, *searching.from_each(starts, short)], key=lambda each: each.value)
    work = int(search.work * (1 - SHARE_OF_STARTS))
    return searching.together(found[:TOGETHER], work, 1.0 if others else ALONE)


def improve_kept(ground: Ground, layout: Layout, search: Search, kept: Kept) -> Layout:
    """Return the best layout found in which no more of the untouched jobs have moved than may."""
    if len(ground.tasks) < 2:
        return layout
    searching = _Searching(ground, search, kept)
    (found,) = searching.from_each([layout], search.work)
    # Changes that made no difference to the goal were made on the way: whoever moved for nothing goes back.
    return searching.smoothed(found, searching.ranks, search.work // 4)


def level(ground: Ground, layout: Layout, search: Search) -> Layout:
    """Return a layout that is no worse by the goal and better, or as good, by what follows (`levelling`).

    Of what is equal by all of that, jobs end sooner.
    """
    if len(ground.tasks) < 2:
        return layout
    searching = _Searching(ground, search)
    layout = searching.smoothed(layout, searching.ranks, search.work)
    return searching.smoothed(layout, searching.ranks._replace(soon=True), search.work // 2)


def usual_delay(ground: Ground) -> float:
    """Return what it counts, on average, when a job ends later by one of its tasks (nights included)."""
    total = 0.0
    for task in ground.tasks:
        total += ground.weight[task.job] * sum(task.slots.values()) / len(task.slots)
    calendars = ground.tables.calendars
    stretch = [one.start[one.within - 1] / one.within for one in calendars if one.within]
    return max(1.0, total / len(ground.tasks) * max(1.0, sum(stretch) / max(1, len(stretch))))


class _Searching:
    """Searches on one ground, in chunks between which they can be stopped."""

    def __init__(
        self, ground: Ground, search: Search, kept: Kept | None = None, choices: Choices | None = None
    ) -> None:
        self.ground, self.search = ground, search
        self.chosen = Chosen(choices.who, choices.start) if choices else None
        self.rows = rows_of(ground)
        loose = max(laid_before_tasks(ground).job_end, default=0)
        self.ranks = ranks_of(Levels(ground), self.rows.at, loose, kept)
        self.usual = usual_delay(ground)
        self.begun = 0
        self.one_call = Lock()

    def from_each(self, starts: Sequence[Layout], work: int) -> list[Layout]:
        """Return the best layout of a search from each, never worse than where it began."""
        numbers = range(self.begun, self.begun + len(starts))
        self.begun += len(starts)
        with ThreadPoolExecutor(AT_ONCE) as pool:
            return list(pool.map(self._from_one, starts, repeat(work), numbers))

    def _from_one(self, start: Layout, work: int, number: int) -> Layout:
        state = state_of(self.rows, start.order, start.who, self.chosen)
        dice, best = np.random.default_rng([self.search.seed, number]), start
        for done in range(0, work, CHUNK):
            if self.search.should_stop():
                break
            warm, cold = (self.usual * WARM * (COLD / WARM) ** min(1.0, at / work) for at in (done, done + CHUNK))
            anneal(self.rows, state, self.ranks, dice, warm, cold, min(CHUNK, work - done))
            best = self._told_better(state, best)
        return best

    def _told_better(self, state: State, best: Layout) -> Layout:
        """Return the best of a state and of what is known, and tell of it when it is new."""
        if state.best[0] >= best.value:
            return best
        found = self._best(state)
        with self.one_call:
            self.search.on_better(found)
        return found

    def together(self, starts: Sequence[Layout], work: int, more: float) -> Layout:
        """Return the best layout of searches at several temperatures at once, that change places now and then.

        starts are the best first; where there are fewer of them than temperatures they are begun from again. more is
        by how much the temperatures are further apart, and higher in the beginning.
        """
        apart = more * WARMEST / COLDEST
        heats = [self.usual * COLDEST * apart ** (at / (TOGETHER - 1)) for at in range(TOGETHER)]
        begin = [starts[at % len(starts)] for at in range(TOGETHER)]
        states = [state_of(self.rows, one.order, one.who, self.chosen) for one in begin]
        dice = [np.random.default_rng([self.search.seed, self.begun + at]) for at in range(TOGETHER + 1)]
        best, each = starts[0], min(ROUND, work // TOGETHER)
        rounds = work // max(1, each * TOGETHER)
        with ThreadPoolExecutor(AT_ONCE) as pool:
            for number in range(rounds):
                if self.search.should_stop():
                    break
                now = [heat * (more * HOTTER) ** (1 - (number + 1) / rounds) for heat in heats]
                list(pool.map(self._round, states, dice, now, repeat(each)))
                _change_places(states, now, number % 2, dice[TOGETHER])
                best = self._told_better(min(states, key=lambda state: int(state.best[0])), best)
        return best

    def _round(self, state: State, dice: np.random.Generator, heat: float, work: int) -> None:
        anneal(self.rows, state, self.ranks, dice, heat, heat, work)

    def smoothed(self, layout: Layout, ranks: Ranks, work: int) -> Layout:
        """Return a layout that is as good, and better by what follows the goal."""
        state, dice = state_of(self.rows, layout.order, layout.who), np.random.default_rng(self.search.seed)
        for done in range(0, work, CHUNK):
            if self.search.should_stop():
                break
            smooth(self.rows, state, ranks, dice, min(CHUNK, work - done))
        return self._best(state)

    def _best(self, state: State) -> Layout:
        return lay(self.ground, state.lines[BEST].tolist(), state.lines[BEST_WHO].tolist())


def _change_places(states: list[State], heats: Sequence[float], first: int, dice: np.random.Generator) -> None:
    """Let neighbours, every second pair of them, change places with the chance that keeps both in balance."""
    for at, (cool, warm) in list(enumerate(pairwise(heats)))[first::2]:
        gain = int(states[at].present.value[0]) - int(states[at + 1].present.value[0])
        if gain >= 0 or dice.random() < exp(gain * (1 / cool - 1 / warm)):
            states[at], states[at + 1] = states[at + 1], states[at]
