"""The present order of a search as it was laid out, and what the value would do if technicians came free otherwise.

A change is tried against it. Where it touches the order it is laid out in full; of the rest there is a value that it
does not go below: with order and hands given, every end is a greatest of sums, so the value grows convexly with when
technicians come free and jobs may go on, and no tangent lies above it. Most changes are refused by that without laying
out the rest. Nights and fixed work bend this, so there the tangent is a good guess only.
"""

from typing import NamedTuple

import numpy as np

from shop.planning.assigning.compiled.rows import DUE, PRED, WEIGHT, Floats, Ints, Rows, bare

# The rows of times.
FIRST, GO_ON, FREED = range(3)
# What is known before a place of an order is kept for every so manieth place.
EVERY = 8


class Marks(NamedTuple):
    """Before every so manieth place of an order: the technicians' free working slots, and the value so far."""

    free: Ints
    value: Ints


class Slopes(NamedTuple):
    """What the value would grow by: at every mark for each slot that a technician comes free later, and for each task
    by the slot of time that its job may go on later; falls are the technicians' while they are reckoned."""

    free: Floats
    go_on: Floats
    falls: Floats


class Present(NamedTuple):
    """The present order: its marks and slopes, its value, and by task its times: its first working slot, when its job
    may go on, and the working slot from which its technician was free."""

    times: Ints
    marks: Marks
    slopes: Slopes
    value: Ints


def marks_of(rows: Rows) -> Marks:
    """Return room for the marks of an order, of which the first is known."""
    count, people = rows.slots.shape
    marks = Marks(np.zeros((count // EVERY + 1, people), np.int64), np.zeros(count // EVERY + 1, np.int64))
    marks.free[0], marks.value[0] = rows.first_free, rows.standing
    return marks


def nothing_present(rows: Rows) -> Present:
    """Return room for an order, with slopes of nothing."""
    count, people = rows.slots.shape
    slopes = Slopes(np.zeros((count // EVERY + 1, people)), np.zeros(count), np.zeros(people))
    return Present(np.zeros((3, count), np.int64), marks_of(rows), slopes, np.zeros(1, np.int64))


@bare
def note(marks: Marks, mark: int, value: int, free: Ints) -> None:
    """Write down a mark."""
    marks.value[mark] = value
    for one in range(len(free)):
        marks.free[mark, one] = free[one]


@bare
def least_ahead(present: Present, mark: int, free: Ints) -> float:
    """Return what the rest of the present order from a mark on adds to the value at least, or about, when technicians
    come free as given and all jobs go on as before."""
    was, slopes = present.marks.free[mark], present.slopes.free[mark]
    found = float(present.value[0] - present.marks.value[mark])
    for one in range(len(free)):
        found += slopes[one] * (free[one] - was[one])
    return found


@bare
def reckon_slopes(rows: Rows, order: Ints, who: Ints, present: Present) -> None:
    """Reckon the slopes of an order whose times are known, from its last task to its first.

    A task that begins when its technician comes free hands its slope on to them, one that waits for its job to the
    task before.
    """
    tasks, at, times = rows.tasks, rows.at, present.times
    go_on, falls = present.slopes.go_on, present.slopes.falls
    falls[:] = 0.0
    go_on[:] = 0.0
    count = len(order)
    if count % EVERY == 0:
        present.slopes.free[count // EVERY] = 0.0
    for here in range(count - 1, -1, -1):
        task = order[here]
        one, before = who[task], tasks[task, PRED]
        slope = go_on[task]
        if times[GO_ON, task] > tasks[task, DUE]:
            slope += tasks[task, WEIGHT]
        slope = slope * rows.stretch[one] + falls[one]
        first, follows = times[FIRST, task], times[FIRST, task] == times[FREED, task]
        falls[one] = slope if follows else 0.0
        if not follows and before >= 0 and at[one, times[GO_ON, before]] == first:
            go_on[before] = slope / rows.stretch[one]
        if here % EVERY == 0:
            for other in range(len(falls)):
                present.slopes.free[here // EVERY, other] = falls[other]
