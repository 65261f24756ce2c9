"""The best plan, proven, where the solver can find it: small shops, and the last end of larger ones (OR-Tools CP-SAT).

For lateness of more than a few jobs the solver's own bound stays near zero, and its plans are far behind those of the
search (40 jobs by 4 technicians, a minute: 1,558 against 797 in seven seconds); so it is asked only where it is good.
"""

from dataclasses import dataclass, field
from itertools import pairwise
from typing import TYPE_CHECKING, Any

from shop.core.reasons import Reason
from shop.planning.assigning.bench_time import BenchTime
from shop.planning.assigning.ground import Ground
from shop.planning.assigning.laying import Layout, lay
from shop.planning.assigning.plan_facts import Goal
from shop.planning.assigning.plan_tables import NOBODY, Rest

if TYPE_CHECKING:
    from ortools.sat.python import cp_model

MOST_TASKS, MOST_TASKS_OF_LAST_END = 24, 400
# One worker would be as repeatable; two that take turns prove more in the same time.
WORKERS = 2


@dataclass(frozen=True, slots=True)
class Limits:
    """The solver's own deterministic seconds, seconds by the clock as a safety stop, and a seed."""

    deterministic: float
    clock_s: float
    seed: int


@dataclass(frozen=True, slots=True)
class Exact:
    """The better of the given layout and the solver's, a proven bound, and notes on what could not run."""

    layout: Layout
    bound: int = 0
    notes: tuple[Reason, ...] = field(default=())


def fits_exactly(ground: Ground) -> bool:
    """Tell whether the solver is worth asking: it is good at the last end, and at anything small."""
    if ground.tables.facts.goal is Goal.LAST_END:
        return 1 < len(ground.tasks) <= MOST_TASKS_OF_LAST_END
    return 1 < len(ground.tasks) <= MOST_TASKS


def solve_exactly(ground: Ground, layout: Layout, limits: Limits) -> Exact:
    """Return the solver's plan from a known layout on, if it is better, and its bound."""
    try:
        from ortools.sat.python import cp_model
    except ImportError:
        return Exact(layout, notes=(Reason("solver_missing"),))
    try:
        model = _Model(ground, layout, cp_model.CpModel())
        solver = cp_model.CpSolver()
        _limit(solver.parameters, limits)
        status = solver.solve(model.model)
    except (RuntimeError, ValueError) as failure:
        return Exact(layout, notes=(Reason("solver_failed", {"words": str(failure)[:200]}),))
    if status not in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        return Exact(layout)
    found = lay(ground, *model.read(solver))
    bound = max(0, round(solver.best_objective_bound))
    return Exact(min(layout, found, key=lambda one: one.value), bound)


def _limit(parameters: Any, limits: Limits) -> None:
    parameters.num_workers, parameters.interleave_search = WORKERS, True
    parameters.random_seed = limits.seed
    parameters.max_deterministic_time = limits.deterministic
    parameters.max_time_in_seconds = max(0.1, limits.clock_s)


class _Model:
    """The shop as the solver sees it: a start and an end by task, and who and which bench as choices among intervals.

    Where a technician works without a gap, an interval is as long as the work; else the working slot is a variable,
    and two tables give the slots at which it begins and ends. go_on is when a job may go on after each task.
    """

    def __init__(self, ground: Ground, layout: Layout, model: "cp_model.CpModel") -> None:
        self.ground, self.layout, self.model = ground, layout, model
        self.until = max(layout.job_end) + 1
        self.start: list[Any] = []
        self.end: list[Any] = []
        self.go_on: list[Any] = []
        self.chosen: list[dict[int, Any]] = []
        self.by_person: list[list[Any]] = [[] for _ in ground.tables.calendars]
        self.by_bench: list[list[Any]] = [[] for _ in ground.tables.facts.benches]
        for number in range(len(ground.tasks)):
            self._task(number)
        self.loose_end = {
            job: self._in_a_row(rests, max(ground.base_end[job], ground.tables.jobs[job].release_slot))
            for job, rests in ground.tables.loose.items()
        }
        self._nothing_twice()
        self._goal()

    def _nothing_twice(self) -> None:
        """Let nobody be at two things, nor at fixed work and another, and no bench be taken twice."""
        ground, model = self.ground, self.model
        for who, blocks in enumerate(ground.blocks):
            for begin, until in [(0, ground.first_free[who]), *blocks]:
                self.by_person[who].append(model.new_fixed_size_interval_var(begin, until - begin, ""))
            model.add_no_overlap(self.by_person[who])
        taken = BenchTime(ground.tables.facts.benches, ground.held)
        for bench, spans in enumerate(taken.spans if ground.tables.contested else ()):
            for begin, until in spans:
                self.by_bench[bench].append(model.new_fixed_size_interval_var(begin, until - begin, ""))
            model.add_no_overlap(self.by_bench[bench])

    def _task(self, number: int) -> None:
        ground, model, task = self.ground, self.model, self.ground.tasks[number]
        start = model.new_int_var(ground.ready[number], self.until, "")
        end = model.new_int_var(0, self.until, "")
        self.start.append(start)
        self.end.append(end)
        self.chosen.append({})
        for who, slots in task.slots.items():
            chosen = model.new_bool_var("")
            self.chosen[number][who] = chosen
            self.by_person[who].append(self._interval(who, slots, start, end, chosen))
            model.add_hint(chosen, self.layout.who[number] == who)
        model.add_exactly_one(self.chosen[number].values())
        if task.pred != NOBODY:
            model.add(start >= self.go_on[task.pred])
        model.add(start >= self._in_a_row(task.leads, ground.begin[number]))
        model.add_hint(start, self.layout.start[number])
        model.add_hint(end, self.layout.end[number])
        if ground.tables.contested:
            lies = model.new_int_var(1, self.until, "")
            self._at_one_of(task.benches, start, lies, end)
        self.go_on.append(self._in_a_row(task.rests, end))

    def _interval(self, who: int, slots: int, start: Any, end: Any, chosen: Any) -> Any:
        """Return the interval of one task for one technician, in working slots."""
        model, calendar = self.model, self.ground.tables.calendars[who]
        last = calendar.at[self.until]
        if all(later == earlier + 1 for earlier, later in pairwise(calendar.start[: last + 1])):
            shift = calendar.start[0]
            return model.new_optional_interval_var(start - shift, slots, end - shift, chosen, "")
        first = model.new_int_var(0, max(0, last - slots), "")
        begins, ends = model.new_int_var(0, self.until, ""), model.new_int_var(0, self.until + 1, "")
        model.add_element(first, calendar.start[: last - slots + 1] or [0], begins)
        model.add_element(first, calendar.end[slots : last + 1] or [0], ends)
        model.add(start == begins).only_enforce_if(chosen)
        model.add(end == ends).only_enforce_if(chosen)
        return model.new_optional_fixed_size_interval_var(first, slots, chosen, "")

    def _in_a_row(self, rests: list[Rest], ready: Any) -> Any:
        """Return when unattended steps in a row have ended, each of which may wait for a bench where those are few."""
        if not self.ground.tables.contested:
            return ready + sum(rest.slots for rest in rests)
        for rest in rests:
            begin = self.model.new_int_var(0, self.until, "")
            self.model.add(begin >= ready)
            ready = begin + rest.slots
            self._at_one_of(rest.benches, begin, rest.slots, ready)
        return ready

    def _at_one_of(self, benches: list[int], begin: Any, slots: Any, end: Any) -> None:
        choices = []
        for bench in benches:
            chosen = self.model.new_bool_var("")
            choices.append(chosen)
            self.by_bench[bench].append(self.model.new_optional_interval_var(begin, slots, end, chosen, ""))
        self.model.add_exactly_one(choices)

    def _goal(self) -> None:
        ground, model = self.ground, self.model
        tables, goal = ground.tables, ground.tables.facts.goal
        moves = {*tables.last_task, *tables.loose}
        standing = set(range(len(tables.jobs))) - moves
        ends = {**{job: self.go_on[task] for job, task in tables.last_task.items()}, **self.loose_end}
        if goal is Goal.LAST_END:
            last = model.new_int_var(ground.value(ground.base_end, standing), self.until, "")
            for end in ends.values():
                model.add(last >= end)
            model.minimize(last)
            return
        total: Any = ground.value(ground.base_end, standing)
        for job, end in ends.items():
            late = model.new_int_var(0, max(0, self.until - ground.due[job]), "")
            model.add(late >= end - ground.due[job])
            if goal is Goal.LATE_JOBS:
                counts = model.new_bool_var("")
                model.add(late == 0).only_enforce_if(~counts)
                late = counts
            total = total + ground.weight[job] * late
        model.minimize(total)

    def read(self, solver: "cp_model.CpSolver") -> tuple[list[int], list[int]]:
        """Return the order by start and who does each task, as the solver has them."""
        start = [solver.value(variable) for variable in self.start]
        who = [next(one for one, chosen in row.items() if solver.boolean_value(chosen)) for row in self.chosen]
        return sorted(range(len(start)), key=lambda number: (start[number], number)), who
