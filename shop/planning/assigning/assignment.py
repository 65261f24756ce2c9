"""Who does what, when: the plan of a shop from its facts. Pure.

The usual rules first, so that there is always a plan; then a bound, and a search that makes the plan better; for small
shops and for the last end the exact solver; then even loads, like work in a row and few changes, where they cost the
goal nothing. The answer says how far from the best it may be. Everything is counted, not timed, so the same facts and
seed give the same plan; the clock is only a safety stop, and a plan that it stopped says so.
"""

import time
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING

from shop.core.reasons import Reason
from shop.planning.assigning.bounding import Bounded, bound
from shop.planning.assigning.dispatching import dispatched
from shop.planning.assigning.exact import Limits, fits_exactly, solve_exactly
from shop.planning.assigning.ground import Ground
from shop.planning.assigning.laying import Layout, pieces
from shop.planning.assigning.levelling import Levels
from shop.planning.assigning.plan_facts import How, Job, Placement, Plan, ShopFacts, Unplanned
from shop.planning.assigning.plan_tables import NOBODY, tabulate
from shop.planning.assigning.replanning import Kept, has_previous

if TYPE_CHECKING:
    # What is compiled takes a second to load and a hundred megabytes: only who searches pays for it.
    from shop.planning.assigning.improving import Search


@dataclass(frozen=True, slots=True)
class Effort:
    """How long to search, in counts that do not depend on the machine.

    work is counted in tasks laid out, and so is levels, for what follows the goal; each comes to the work for each task
    there is. prices are those of the bound; exact is the solver's own deterministic seconds. clock_s, seconds by the
    wall clock, is only a safety stop. keeps says that the plan before is kept as far as it can be. Without work the
    rules' plan is the answer.
    """

    work: int
    levels: int
    prices: int
    exact: float
    clock_s: float
    keeps: bool = False
    each: int = 0

    def work_on(self, tasks: int) -> int:
        """Return the work for so many tasks."""
        return self.work + self.each * tasks


EFFORTS: Mapping[str, Effort] = {
    "rules": Effort(work=0, levels=0, prices=0, exact=0, clock_s=10),
    "quick": Effort(work=20_000_000, levels=2_000_000, prices=40, exact=0.5, clock_s=8, keeps=True),
    "usual": Effort(work=450_000_000, levels=10_000_000, prices=1500, exact=10, clock_s=60),
    "thorough": Effort(work=0, each=7_000_000, levels=40_000_000, prices=2000, exact=40, clock_s=180),
}
TELL_EVERY_S = 3.0
# The share of the work that is spent before the bound.
BEGINNING = 0.05
# So many tasks laid out run through everything that is compiled.
LOADING = 1_000
SEARCH_MISSING = Reason("search_missing")


def assign(
    facts: ShopFacts,
    *,
    effort: Effort,
    seed: int = 0,
    should_stop: Callable[[], bool] = lambda: False,
    on_better: Callable[[Plan], None] = lambda _plan: None,
) -> Plan:
    """Return the plan of a shop. Whatever cannot be planned is listed with why, the rest is planned.

    should_stop is asked between rounds; when it says so, the best plan so far is returned. on_better is given the
    first plan, made by rules, and better ones as they come. Raises nothing of its own.
    """
    return _Assignment(facts, effort, seed, should_stop, on_better).plan()


class _Assignment:
    """One plan in the making."""

    def __init__(
        self,
        facts: ShopFacts,
        effort: Effort,
        seed: int,
        should_stop: Callable[[], bool],
        on_better: Callable[[Plan], None],
    ) -> None:
        self.effort, self.seed, self.asked_to_stop, self.on_better = effort, seed, should_stop, on_better
        self.tables = tabulate(facts)
        self.ground = Ground(self.tables)
        self.work = effort.work_on(len(self.ground.tasks)) if self.ground.tasks else 0
        self.deadline = time.monotonic() + effort.clock_s
        self.told_at = 0.0
        self.bounded = Bounded(0)
        self.notes: list[Reason] = []

    def plan(self) -> Plan:
        """Return the plan: by rules, then better, then with its bound."""
        best = min((layout for _name, layout in dispatched(self.ground)), key=lambda layout: layout.value)
        self._tell(best)
        if not self.work:
            return self._told(best, How.HEURISTIC)
        for step in (self._loaded, *self._steps()):
            try:
                best = step(best)
            except MemoryError:
                self._note(Reason("planner_short_of_memory"))
            except ImportError:
                self._note(SEARCH_MISSING)
        if self._proven(best) == best.value:
            return self._told(best, How.PROVEN)
        return self._told(best, How.HEURISTIC if SEARCH_MISSING in self.notes else How.IMPROVED)

    def _steps(self) -> list[Callable[[Layout], Layout]]:
        if self.effort.keeps and has_previous(self.tables):
            # A bound takes longer than there is time for; nothing is claimed.
            return [self._kept]
        return [self._beginning, self._bounded, self._improved, self._exactly, self._levelled]

    def _loaded(self, first: Layout) -> Layout:
        """Load what is compiled; where it was never compiled before, that takes a while, which is not the search's."""
        from shop.planning.assigning.improving import Search, improve, level

        began = time.monotonic()
        short = Search(LOADING, self.seed)
        level(self.ground, improve(self.ground, first, short), short)
        bound(self.ground, first, 1, lambda: False)
        self.deadline += time.monotonic() - began
        return first

    def _kept(self, _first: Layout) -> Layout:
        from shop.planning.assigning.improving import improve_kept

        kept = Kept(self.tables)
        self.ground = Ground(self.tables, kept.not_before)
        return improve_kept(self.ground, kept.first(self.ground), self._search(self.work), kept)

    def _beginning(self, first: Layout) -> Layout:
        """Search a little, since the bound is found sooner the better the plan that is known."""
        from shop.planning.assigning.improving import improve

        return improve(self.ground, first, self._search(int(self.work * BEGINNING)))

    def _improved(self, best: Layout) -> Layout:
        from shop.planning.assigning.improving import improve

        return improve(self.ground, best, self._search(self.work), self.bounded.choices)

    def _exactly(self, best: Layout) -> Layout:
        left_s = self.deadline - time.monotonic()
        if not fits_exactly(self.ground) or self._over():
            return best
        found = solve_exactly(self.ground, best, Limits(self.effort.exact, left_s, self.seed))
        for note in found.notes:
            self._note(note)
        self.bounded = Bounded(max(found.bound, self.bounded.bound))
        return found.layout

    def _levelled(self, best: Layout) -> Layout:
        from shop.planning.assigning.improving import level

        return level(self.ground, best, self._search(self.effort.levels))

    def _bounded(self, best: Layout) -> Layout:
        self.bounded = bound(self.ground, best, self.effort.prices, self._over)
        return best

    def _proven(self, best: Layout) -> int:
        """Return the bound; prices know no horizon, so where jobs are left out for it nothing is claimed."""
        return 0 if left_out(self.ground, best) else min(best.value, self.bounded.bound)

    def _search(self, work: int) -> "Search":
        from shop.planning.assigning.improving import Search

        return Search(work, self.seed, self._over, self._tell)

    def _tell(self, layout: Layout) -> None:
        """Hand a better plan out, unless the last one has only just gone."""
        if time.monotonic() - self.told_at >= TELL_EVERY_S:
            self.told_at = time.monotonic()
            self.on_better(self._told(layout, How.HEURISTIC))

    def _over(self) -> bool:
        if time.monotonic() <= self.deadline:
            return self.asked_to_stop()
        self._note(Reason("planner_stopped_by_clock", {"seconds": round(self.effort.clock_s)}))
        return True

    def _note(self, note: Reason) -> None:
        if note not in self.notes:
            self.notes.append(note)

    def _told(self, layout: Layout, how: How) -> Plan:
        """Turn numbers back into keys, without the jobs that end after the horizon."""
        tables, out = self.tables, left_out(self.ground, layout)
        people, benches = tables.facts.technicians, tables.facts.benches
        placements = [
            Placement(
                tables.jobs[piece.job].key,
                piece.step,
                None if piece.who == NOBODY else people[piece.who].key,
                benches[piece.bench].key,
                *piece.span,
            )
            for piece in pieces(self.ground, layout)
            if piece.job not in out
        ]
        late = [Unplanned(tables.jobs[job].key, _no_room(tables.jobs[job])) for job in sorted(out)]
        value = self.ground.value(layout.job_end, set(range(len(tables.jobs))) - out)
        return Plan(
            placements=tuple(placements),
            unplanned=(*tables.unplanned, *late),
            value=value,
            bound=self._proven(layout),
            unevenness=Levels(self.ground).unevenness(layout),
            how=how,
            notes=tuple(self.notes),
        )


def left_out(ground: Ground, layout: Layout) -> set[int]:
    """Return the jobs that end after the horizon."""
    return {job for job, end in enumerate(layout.job_end) if end > ground.tables.facts.horizon_slots}


def _no_room(job: Job) -> Reason:
    return Reason("no_room_before_horizon", {"unit": job.label})
