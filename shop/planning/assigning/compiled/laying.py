"""What `laying.lay` does, compiled (numba): a search lays out some hundred thousand orders a second.

`laying` stays the reckoning that this one is held against: for any ground, order and hands both give the same. Arrays
are named before each loop, since asking a tuple for one inside it takes longer than the reckoning.
"""

from typing import NamedTuple

import numpy as np

from shop.planning.assigning.compiled.present import (
    EVERY,
    FIRST,
    FREED,
    GO_ON,
    Marks,
    Present,
    least_ahead,
    marks_of,
    note,
)
from shop.planning.assigning.compiled.rows import (
    BEGIN,
    DUE,
    LAG,
    LAST_END,
    LATE_JOBS,
    LATENESS,
    PRED,
    READY,
    WEIGHT,
    Benches,
    Ints,
    Lists,
    Rows,
    bare,
)  # fmt: skip

NOBODY = -1
# More than any value: what a try is said to be worth that was given up.
TOO_MUCH = 2**62


class Laid(NamedTuple):
    """Where a laying writes: by task its times (`present`), the technicians' free working slots, and the marks.

    begins and ends are spans in which benches are taken, in order, taken[b] of them for bench b.
    """

    times: Ints
    free: Ints
    marks: Marks
    begins: Ints
    ends: Ints
    taken: Ints


def nothing_laid(rows: Rows) -> Laid:
    """Return room for a laying of these rows."""
    tasks, benches = len(rows.tasks), len(rows.benches.held_begins.since) - 1
    spans = np.zeros((2, benches, rows.benches.most if rows.scarce else 0), np.int64)
    times = np.zeros((3, tasks), np.int64)
    return Laid(times, rows.first_free.copy(), marks_of(rows), spans[0], spans[1], np.zeros(benches, np.int64))


@bare
def counted(goal: int, value: int, late: int, weight: int, go_on: int) -> int:
    """Return the goal's value with one task more: how late its job is, what that costs, and when it may go on."""
    if goal == LAST_END:
        return max(value, go_on)
    if late <= 0 or weight == 0:
        return value
    return value + (weight if goal == LATE_JOBS else weight * late)


@bare
def lay_from(
    rows: Rows, laid: Laid, order: Ints, who: Ints, since: int, until: int, limit: float, present: Present
) -> tuple[int, int]:
    """Lay out an order that is the present one but from a place to another; return its value, and the place reached.

    It stops early once the value passes the limit, or will as the present slopes say. Times hold for the tasks before
    the last mark before the first place. Only where benches are plenty.
    """
    goal, tasks, slots, ends, at = rows.goal, rows.tasks, rows.slots, rows.end, rows.at
    block_since, blocks = rows.block_since, rows.blocks
    times, free, marks = laid.times, laid.free, laid.marks
    was, go_on, sloped = present.times, present.slopes.go_on, rows.goal == LATENESS
    count, begin = len(order), since - since % EVERY
    value, later = int(present.marks.value[since // EVERY]), 0.0
    for one in range(len(free)):
        free[one] = present.marks.free[since // EVERY, one]
    for here in range(begin, count):
        if here % EVERY == 0:
            note(marks, here // EVERY, value, free)
            if sloped and here > until and value + later + least_ahead(present, here // EVERY, free) > limit:
                return TOO_MUCH, here
        task = order[here]
        one = who[task]
        ready = tasks[task, READY]
        before = tasks[task, PRED]
        if before >= 0:
            ready = max(ready, times[GO_ON, before])
            later -= go_on[before] * (times[GO_ON, before] - was[GO_ON, before])
        first = max(free[one], at[one, ready])
        length = slots[task, one]
        if block_since[one + 1] > block_since[one]:
            first = past_blocks(block_since, blocks, one, first, length)
        times[FREED, task] = free[one]
        free[one] = first + length
        end = ends[one, first + length] + tasks[task, LAG]
        times[FIRST, task], times[GO_ON, task] = first, end
        later += go_on[task] * (end - was[GO_ON, task])
        value = counted(goal, value, end - tasks[task, DUE], tasks[task, WEIGHT], end)
        if value > limit:
            return TOO_MUCH, here + 1
    return value, count


@bare
def past_blocks(block_since: Ints, blocks: Ints, one: int, first: int, slots: int) -> int:
    """Return the first working slot from which so many are clear of the technician's fixed work."""
    for block in range(block_since[one], block_since[one + 1]):
        if first < blocks[block, 1] and first + slots > blocks[block, 0]:
            first = blocks[block, 1]
    return first


@bare
def lay_scarce(rows: Rows, laid: Laid, order: Ints, who: Ints, limit: float) -> int:
    """Lay out a whole order where benches may have to be waited for; past the limit it stops early."""
    goal, tasks, benches, free, times = rows.goal, rows.tasks, rows.benches, laid.free, laid.times
    _hold(benches, laid)
    for one in range(len(free)):
        free[one] = rows.first_free[one]
    value = rows.standing
    for task in order:
        one = who[task]
        ready = tasks[task, READY]
        before = tasks[task, PRED]
        if before >= 0:
            ready = max(ready, times[GO_ON, before])
        elif benches.leads.since[task + 1] > benches.leads.since[task]:
            ready = max(ready, _rest(benches, laid, benches.leads, task, tasks[task, BEGIN]))
        length = rows.slots[task, one]
        first = past_blocks(rows.block_since, rows.blocks, one, max(free[one], rows.at[one, ready]), length)
        first = _at_bench(rows, laid, task, one, first)
        free[one] = first + length
        end = _rest(benches, laid, benches.rests, task, rows.end[one, first + length])
        times[FIRST, task], times[GO_ON, task] = first, end
        value = counted(goal, value, end - tasks[task, DUE], tasks[task, WEIGHT], end)
        if value > limit:
            break
    return value


@bare
def _hold(benches: Benches, laid: Laid) -> None:
    """Take the benches that are taken before any task is laid."""
    held = benches.held_begins.since
    for bench in range(len(laid.taken)):
        since, until = held[bench], held[bench + 1]
        laid.taken[bench] = until - since
        for at in range(until - since):
            laid.begins[bench, at] = benches.held_begins.values[since + at]
            laid.ends[bench, at] = benches.held_ends.values[since + at]


@bare
def _at_bench(rows: Rows, laid: Laid, task: int, one: int, first: int) -> int:
    """Return the first working slot from which one of the benches stays free for the task, and take it."""
    length, suited = rows.slots[task, one], rows.benches.suited
    benches = suited.values[suited.since[task] : suited.since[task + 1]]
    while True:
        begin, until = rows.start[one, first], rows.end[one, first + length]
        slot, bench = _first_free(laid, benches, begin, until)
        if slot == begin:
            _take(laid, bench, begin, until)
            return first
        first = past_blocks(rows.block_since, rows.blocks, one, rows.at[one, slot], length)


@bare
def _rest(benches: Benches, laid: Laid, lists: Lists, task: int, ready: int) -> int:
    """Take a bench for each unattended step of a task in turn; return when the last has ended."""
    for at in range(lists.since[task], lists.since[task + 1]):
        rest, since = lists.values[at], benches.rest_benches.since
        length, suited = benches.rest_slots[rest], benches.rest_benches.values[since[rest] : since[rest + 1]]
        slot, bench = _first_free(laid, suited, ready, ready + length)
        while slot != ready:
            ready = slot
            slot, bench = _first_free(laid, suited, ready, ready + length)
        _take(laid, bench, ready, ready + length)
        ready += length
    return ready


@bare
def _first_free(laid: Laid, benches: Ints, begin: int, until: int) -> tuple[int, int]:
    """Return a slot and a bench: the first of the benches that is free for the span, or frees up soonest."""
    soonest, chosen = -1, NOBODY
    for bench in benches:
        slot = _free_from(laid, bench, begin, until)
        if slot == begin:
            return slot, bench
        if soonest < 0 or slot < soonest:
            soonest, chosen = slot, bench
    return soonest, chosen


@bare
def _free_from(laid: Laid, bench: int, begin: int, until: int) -> int:
    """Return the slot from which the bench could be free for a span: its begin when it is free already."""
    place = laid.taken[bench]
    while place and laid.begins[bench, place - 1] >= until:
        place -= 1
    if place and laid.ends[bench, place - 1] > begin:
        return int(laid.ends[bench, place - 1])
    return begin


@bare
def _take(laid: Laid, bench: int, begin: int, until: int) -> None:
    """Take a bench for a span that is free."""
    begins, ends, place = laid.begins[bench], laid.ends[bench], laid.taken[bench]
    while place and begins[place - 1] > begin:
        begins[place], ends[place] = begins[place - 1], ends[place - 1]
        place -= 1
    begins[place], ends[place] = begin, until
    laid.taken[bench] += 1
