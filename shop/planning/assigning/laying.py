"""Lays work out in time: an order of tasks and who does each become starts and ends, each as early as it can be.

This is the exact reckoning; whatever searches for better plans is held against it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

from shop.planning.assigning.bench_time import BenchTime
from shop.planning.assigning.ground import Ground, Piece
from shop.planning.assigning.plan_facts import Span
from shop.planning.assigning.plan_tables import NOBODY, Rest


@dataclass(slots=True)
class Layout:
    """Starts and ends by task, the end of each job, and the goal's value; laid in its order again it is the same.

    Where benches are plenty the order is that of the starts.
    """

    order: list[int]
    who: list[int]
    start: list[int]
    end: list[int]
    job_end: list[int]
    value: int


def lay(ground: Ground, order: Sequence[int], who: Sequence[int]) -> Layout:
    """Lay the tasks out in this order; every task stands after its predecessor. who holds technicians by task."""
    laid = _laid(ground, order, who)
    # Where a bench is waited for, whoever comes first in the order takes it, so another order would be another plan.
    sequence = list(order) if ground.tables.contested else sorted(order, key=laid.start.__getitem__)
    return Layout(sequence, list(who), laid.start, laid.end, laid.job_end, ground.value(laid.job_end))


@dataclass(frozen=True, slots=True)
class Beginning:
    """What stands before any task is laid, loose steps included: the end of each job, and by bench when it is taken."""

    job_end: Sequence[int]
    bench_spans: Sequence[Sequence[Span]]


def laid_before_tasks(ground: Ground) -> Beginning:
    """Return what every laying of this ground begins with; without contest for benches none of them is taken."""
    laid = _laid(ground, (), ())
    spans = laid.taken.spans if isinstance(laid, _Scarce) else [[] for _ in ground.tables.facts.benches]
    return Beginning(laid.job_end, spans)


def pieces(ground: Ground, layout: Layout) -> list[Piece]:
    """Return every step of a layout with its bench, in order of start."""
    laid = _laid(ground, layout.order, layout.who)
    found = sorted([*ground.fixed, *laid.pieces()], key=lambda piece: piece.span)
    if ground.tables.contested:
        return found
    taken = BenchTime(ground.tables.facts.benches, ground.held)
    named = []
    for piece in found:
        bench = piece.bench
        if bench == NOBODY:
            bench = taken.first_free(piece.benches, piece.span)[1]
            taken.take(bench, piece.span)
        named.append(Piece(piece.job, piece.step, piece.who, bench, piece.span))
    return named


def _laid(ground: Ground, order: Sequence[int], who: Sequence[int]) -> "_Plenty":
    laid = _Scarce(ground) if ground.tables.contested else _Plenty(ground)
    laid.put_loose()
    for task in order:
        laid.put(task, who[task])
    return laid


class _Plenty:
    """Laying where there is always a bench: only technicians are waited for. go_on is when a job may go on."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        self.calendars = ground.tables.calendars
        self.start, self.end, self.go_on = ([0] * len(ground.tasks) for _ in range(3))
        self.job_end, self.free = ground.base_end.copy(), ground.first_free.copy()
        self.order: list[tuple[int, int]] = []

    def put_loose(self) -> None:
        """Lay the unattended steps of jobs that have no task."""
        for job, rests in self.ground.tables.loose.items():
            begin = max(self.job_end[job], self.ground.tables.jobs[job].release_slot)
            self.job_end[job] = self.rest(job, rests, begin)

    def put(self, task: int, one: int) -> None:
        """Lay one task for one technician."""
        ground, row, calendar = self.ground, self.ground.tasks[task], self.calendars[one]
        before, ready = row.pred, ground.ready[task]
        if before != NOBODY:
            ready = max(ready, self.go_on[before])
        elif row.leads:
            ready = max(ready, self.rest(row.job, row.leads, ground.begin[task]))
        slots = row.slots[one]
        first = max(self.free[one], calendar.at[ready])
        if ground.blocks[one]:
            first = ground.past_blocks(one, first, slots)
        first = self.at_bench(task, one, first)
        self.free[one] = first + slots
        self.start[task], self.end[task] = calendar.start[first], calendar.end[first + slots]
        self.go_on[task] = self.rest(row.job, row.rests, self.end[task]) if row.rests else self.end[task]
        self.job_end[row.job] = self.go_on[task]
        self.order.append((task, one))

    def at_bench(self, task: int, one: int, first: int) -> int:  # noqa: ARG002 - those who wait need them
        """Return the working slot from which there is a bench: at once."""
        return first

    def rest(self, job: int, rests: Sequence[Rest], ready: int) -> int:  # noqa: ARG002 - those who wait need it
        """Return when unattended steps in a row have ended."""
        return ready + sum(rest.slots for rest in rests)

    def pieces(self) -> list[Piece]:
        """Return the tasks and what is unattended, without benches."""
        ground, found = self.ground, []
        for task, one in self.order:
            row = ground.tasks[task]
            span = self.start[task], self.end[task]
            found.append(Piece(row.job, row.step.key, one, NOBODY, span, row.benches))
            found += _in_a_row(row.job, row.leads, ground.begin[task]) + _in_a_row(row.job, row.rests, span[1])
        for job, rests in ground.tables.loose.items():
            found += _in_a_row(job, rests, max(ground.base_end[job], ground.tables.jobs[job].release_slot))
        return found


class _Scarce(_Plenty):
    """Laying where a bench may have to be waited for; each is taken at once, so a gap before may still be used."""

    def __init__(self, ground: Ground) -> None:
        super().__init__(ground)
        self.taken = BenchTime(ground.tables.facts.benches, ground.held)
        self.found: list[Piece] = []

    def at_bench(self, task: int, one: int, first: int) -> int:
        """Return the first working slot from which one of the benches stays free for the task, and take it."""
        row, calendar = self.ground.tasks[task], self.calendars[one]
        slots = row.slots[one]
        while True:
            span = calendar.start[first], calendar.end[first + slots]
            slot, bench = self.taken.first_free(row.benches, span)
            if slot == span[0]:
                break
            first = self.ground.past_blocks(one, calendar.at[slot], slots)
        self.taken.take(bench, span)
        self.found.append(Piece(row.job, row.step.key, one, bench, span))
        return first

    def rest(self, job: int, rests: Sequence[Rest], ready: int) -> int:
        """Take a bench for each unattended step in turn; return when the last has ended."""
        for rest in rests:
            bench, begin = self.taken.hold(rest.benches, ready, rest.slots)
            ready = begin + rest.slots
            self.found.append(Piece(job, rest.step.key, NOBODY, bench, (begin, ready)))
        return ready

    def pieces(self) -> list[Piece]:
        """Return the tasks and what is unattended, at their benches."""
        return self.found


def _in_a_row(job: int, rests: Sequence[Rest], begin: int) -> list[Piece]:
    found = []
    for rest in rests:
        found.append(Piece(job, rest.step.key, NOBODY, NOBODY, (begin, begin + rest.slots), rest.benches))
        begin += rest.slots
    return found
