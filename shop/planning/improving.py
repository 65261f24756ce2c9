"""Makes a plan better: several short searches from plans that are unlike each other, then a long one from the best.

Each is simulated annealing (`compiled.annealing`). Beside the plan that is there, the searches begin from what jobs
would choose at the prices of the bound (`bounding`), laid out one after another: those are poor plans, but search from
them ends lower than from the plan of the rules, and at a tenth of its length (in trial runs, 40 jobs by 4 technicians).
Lengths are counted in tasks laid out, not timed, and chance is seeded: the same facts give the same plan, unless the
clock stops it.
"""

from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, field
from itertools import repeat
from threading import Lock

import numpy as np

from shop.planning.compiled.annealing import BEST_VALUE, State, anneal, smooth, state_of
from shop.planning.compiled.moves import BEST, BEST_WHO
from shop.planning.compiled.ranks import Ranks, ranks_of
from shop.planning.compiled.rows import rows_of
from shop.planning.laying import Ground, Layout, laid_before_tasks, lay
from shop.planning.levelling import Levels
from shop.planning.replanning import Kept

# Temperatures by what it counts when a job ends later by one of its tasks.
WARM, COLD = 0.3, 0.05
# From so many plans a short search begins, with so large a share of the work in all, and from so many of the best a
# long one.
STARTS, SHARE_OF_STARTS, LONG_ONES = 16, 0.5, 2
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


def improve(ground: Ground, layout: Layout, search: Search, others: Sequence[Layout] = ()) -> Layout:
    """Return the best layout found from a layout and from some others, never worse than any of them."""
    if len(ground.tasks) < 2:
        return layout
    searching = _Searching(ground, search)
    if not others:
        return searching.best_of([layout], search.work)
    starts = [layout, *others][:STARTS]
    short = int(search.work * SHARE_OF_STARTS / len(starts))
    found = searching.from_each(starts, short)
    # The given one may be better than what became of the first.
    best = sorted([layout, *found], key=lambda each: each.value)[:LONG_ONES]
    return searching.best_of(best, int(search.work * (1 - SHARE_OF_STARTS) / len(best)))


def improve_kept(ground: Ground, layout: Layout, search: Search, kept: Kept) -> Layout:
    """Return the best layout found in which no more of the untouched jobs have moved than may."""
    if len(ground.tasks) < 2:
        return layout
    searching = _Searching(ground, search, kept)
    found = searching.best_of([layout], search.work)
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

    def __init__(self, ground: Ground, search: Search, kept: Kept | None = None) -> None:
        self.ground, self.search = ground, search
        self.rows = rows_of(ground)
        loose = max(laid_before_tasks(ground).job_end, default=0)
        self.ranks = ranks_of(Levels(ground), self.rows.at, loose, kept)
        self.usual = usual_delay(ground)
        self.begun = 0
        self.one_call = Lock()

    def best_of(self, starts: Sequence[Layout], work: int) -> Layout:
        """Return the best that comes of some layouts, and never a worse one."""
        return min([*starts, *self.from_each(starts, work)], key=lambda each: each.value)

    def from_each(self, starts: Sequence[Layout], work: int) -> list[Layout]:
        """Return the best layout of a search from each."""
        numbers = range(self.begun, self.begun + len(starts))
        self.begun += len(starts)
        with ThreadPoolExecutor(AT_ONCE) as pool:
            return list(pool.map(self._from_one, starts, repeat(work), numbers))

    def _from_one(self, start: Layout, work: int, number: int) -> Layout:
        state = state_of(self.rows, start.order, start.who)
        dice, best = np.random.default_rng([self.search.seed, number]), start
        for done in range(0, work, CHUNK):
            if self.search.should_stop():
                break
            warm, cold = (self.usual * WARM * (COLD / WARM) ** min(1.0, at / work) for at in (done, done + CHUNK))
            anneal(self.rows, state, self.ranks, dice, warm, cold, min(CHUNK, work - done))
            if state.values[BEST_VALUE] < best.value:
                best = self._best(state)
                with self.one_call:
                    self.search.on_better(best)
        return best

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
