"""What stands still before any task is laid: fixed steps, and rows of the tables for the inner loop."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from shop.planning.assigning.plan_facts import Goal, Span
from shop.planning.assigning.plan_tables import NOBODY, Standing, Tables


@dataclass(frozen=True, slots=True)
class Piece:
    """One step in its place, in numbers: who is NOBODY when it is unattended, bench is NOBODY until one is given."""

    job: int
    step: str
    who: int
    bench: int
    span: Span
    benches: Sequence[int] = ()


class Ground:
    """What stands still before any task is laid: the fixed steps, and rows of the tables for the inner loop.

    ready is the slot from which a task may begin, after its job's release, fixed steps and leads, and after
    not_before if that is given. first_free is each technician's first free working slot; blocks are working slots
    that later fixed work takes, held the benches that fixed work lies at. A job without a promise is due at the
    horizon, so that it is not left out for others.
    """

    def __init__(self, tables: Tables, not_before: Sequence[int] = ()) -> None:
        self.tables = tables
        self.tasks = tables.tasks
        self.pred = [task.pred for task in self.tasks]
        self.lag = [task.lag for task in self.tasks]
        horizon = tables.facts.horizon_slots
        self.due = [horizon if job.due_slot is None else job.due_slot for job in tables.jobs]
        self.weight = [job.weight for job in tables.jobs]
        self.first_free = [0] * len(tables.calendars)
        self.blocks: list[list[Span]] = [[] for _ in tables.calendars]
        self.base_end = [0] * len(tables.jobs)
        self.fixed: list[Piece] = []
        self.held: list[tuple[int, Span]] = []
        for standing in sorted(tables.standing, key=lambda one: one.fixed.start_slot):
            self._stand(standing)
        self._close_up()
        floor = not_before or [0] * len(self.tasks)
        self.begin = [max(task.ready, self.base_end[task.job]) for task in self.tasks]
        leads = [sum(rest.slots for rest in task.leads) for task in self.tasks]
        self.ready = [max(a + b, c) for a, b, c in zip(self.begin, leads, floor, strict=True)]

    def _stand(self, standing: Standing) -> None:
        """Put a fixed step down; where its technician or its job is still at another one, it begins after that."""
        begin = max(standing.fixed.start_slot, self.base_end[standing.job])
        span = (begin, begin + standing.slots)
        if standing.technician != NOBODY:
            calendar, blocks = self.tables.calendars[standing.technician], self.blocks[standing.technician]
            first = max([calendar.at[begin], *(until for _begin, until in blocks)])
            blocks.append((first, first + standing.slots))
            span = (calendar.start[first], calendar.end[first + standing.slots])
        self.base_end[standing.job] = span[1]
        # The unit lies at its bench from the beginning, even where its technician is still at another one.
        self.held.append((standing.bench, (standing.fixed.start_slot, span[1])))
        self.fixed.append(Piece(standing.job, standing.step.key, standing.technician, standing.bench, span))

    def _close_up(self) -> None:
        """Take what is fixed at the very beginning out of the blocks: the technician is free after it."""
        for who, blocks in enumerate(self.blocks):
            while blocks and blocks[0][0] <= self.first_free[who]:
                self.first_free[who] = blocks.pop(0)[1]

    def past_blocks(self, one: int, first: int, slots: int) -> int:
        """Return the first working slot from which so many are clear of the technician's fixed work."""
        for begin, until in self.blocks[one]:
            if first < until and first + slots > begin:
                first = until
        return first

    def value(self, job_end: Sequence[int], jobs: Iterable[int] | None = None) -> int:
        """Return what the goal counts for these ends: of all jobs, or of some."""
        goal, counted = self.tables.facts.goal, range(len(job_end)) if jobs is None else jobs
        if goal is Goal.LAST_END:
            return max((job_end[job] for job in counted), default=0)
        late = ((job, job_end[job] - self.due[job]) for job in counted)
        if goal is Goal.LATE_JOBS:
            return sum(self.weight[job] for job, slots in late if slots > 0)
        return sum(self.weight[job] * slots for job, slots in late if slots > 0)

    def standing_value(self) -> int:
        """Return what jobs count that have no task, with every bench at hand: no plan can change it for the better."""
        ends = self.base_end.copy()
        for job, rests in self.tables.loose.items():
            begin = max(ends[job], self.tables.jobs[job].release_slot)
            ends[job] = begin + sum(rest.slots for rest in rests)
        return self.value(ends, set(range(len(ends))) - set(self.tables.last_task))
