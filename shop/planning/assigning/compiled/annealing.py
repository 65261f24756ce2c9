"""Simulated annealing on the order of tasks and on who does each, compiled (numba).

A change for the worse is made with a chance that falls with its size and, over the search, with the temperature
(Kirkpatrick, Gelatt and Vecchi 1983). A search that has a plan before takes no change by which too many jobs move.
"""

from math import exp, log
from typing import NamedTuple

import numpy as np

from shop.planning.assigning.compiled.laying import Laid, lay_from, lay_scarce, nothing_laid
from shop.planning.assigning.compiled.moves import (
    AT,
    BEST,
    BEST_WHO,
    LINES,
    ORDER,
    TRIED,
    TRIED_WHO,
    WHO,
    Chosen,
    draw_move,
    nothing_chosen,
    undo,
)  # fmt: skip
from shop.planning.assigning.compiled.present import EVERY, FIRST, Present, nothing_present, reckon_slopes
from shop.planning.assigning.compiled.ranks import Ranks, better_ranked, moved, rank
from shop.planning.assigning.compiled.rows import Ints, Rows, bare, counting

# After so many changes the order is put in order of start again, so that what is near in time is near in it.
SORT_EVERY = 200
# What a try costs beside the tasks that it lays out, and how much longer each takes where benches are scarce.
TRY, SCARCE = 8, 8


class State(NamedTuple):
    """The present order, what is tried, and the best so far (`moves`), with its value; how the present order was laid
    out, and room to lay out what is tried, whose times are the present ones between two tries; and what jobs would
    choose."""

    lines: Ints
    best: Ints
    present: Present
    laid: Laid
    chosen: Chosen


def state_of(rows: Rows, order: list[int], who: list[int], chosen: Chosen | None = None) -> State:
    """Return the state of a search that begins with an order and hands."""
    chosen = chosen or nothing_chosen(len(rows.tasks))
    lines = np.zeros((LINES, len(rows.tasks)), np.int64)
    lines[TRIED], lines[TRIED_WHO] = order, who
    state = State(lines, np.zeros(1, np.int64), nothing_present(rows), nothing_laid(rows), chosen)
    settle_anew(rows, state)
    keep(state)
    return state


@bare
def worth(
    rows: Rows, laid: Laid, tried: Ints, who: Ints, present: Present, since: int, until: int, limit: float
) -> tuple[int, int]:
    """Return the value of what is tried, which differs from the present order between two places, and the place up to
    which it was laid out; past the limit, any value past it."""
    if rows.scarce:
        return lay_scarce(rows, laid, tried, who, limit), len(tried)
    return lay_from(rows, laid, tried, who, since, until, limit, present)


@bare
def settle(rows: Rows, state: State, since: int, until: int, value: int) -> None:
    """Make what is tried the present order: it was laid out to its end, and differs between two places."""
    lines, present, laid = state.lines, state.present, state.laid
    for place in range(since, until + 1):
        task = lines[TRIED, place]
        lines[ORDER, place], lines[AT, task], lines[WHO, task] = task, place, lines[TRIED_WHO, task]
    for row in range(len(present.times)):
        for number in range(lines.shape[1]):
            present.times[row, number] = laid.times[row, number]
    present.value[0] = value
    if not rows.scarce:
        for mark in range(since // EVERY + 1, len(present.marks.value)):
            present.marks.value[mark] = laid.marks.value[mark]
            for one in range(len(laid.free)):
                present.marks.free[mark, one] = laid.marks.free[mark, one]
        reckon_slopes(rows, lines[ORDER], lines[WHO], present)


@bare
def settle_anew(rows: Rows, state: State) -> None:
    """Lay out what is tried, whatever it differs in, and make it the present order."""
    last = state.lines.shape[1] - 1
    lines = state.lines
    value, _place = worth(rows, state.laid, lines[TRIED], lines[TRIED_WHO], state.present, 0, last, np.inf)
    settle(rows, state, 0, last, value)


@bare
def drop(rows: Rows, state: State, since: int, until: int, reached: int) -> None:
    """Try the present order again, after what differed between two places was laid out up to a place."""
    lines, laid, present = state.lines, state.laid, state.present
    if not rows.scarce:
        for place in range(since - since % EVERY, reached):
            task = lines[TRIED, place]
            for row in range(len(present.times)):
                laid.times[row, task] = present.times[row, task]
    undo(lines, since, until)


@counting
def by_start(rows: Rows, state: State) -> None:
    """Put the present order in order of start, which changes no start where benches are plenty."""
    if rows.scarce:
        return
    lines = state.lines
    starts = np.empty(lines.shape[1], np.int64)
    for place in range(len(starts)):
        task = lines[ORDER, place]
        starts[place] = rows.start[lines[WHO, task], state.present.times[FIRST, task]]
    lines[TRIED] = lines[ORDER][np.argsort(starts, kind="mergesort")]
    settle_anew(rows, state)


@bare
def keep(state: State) -> None:
    """Make the present order the best."""
    lines = state.lines
    state.best[0] = state.present.value[0]
    for at in range(lines.shape[1]):
        lines[BEST, at], lines[BEST_WHO, at] = lines[ORDER, at], lines[WHO, at]


@bare
def anneal(
    rows: Rows, state: State, ranks: Ranks, dice: np.random.Generator, warm: float, cold: float, work: int
) -> None:
    """Search from one temperature to another until so many tasks were laid out.

    No change is made by which more jobs move than may, as `ranks` says.
    """
    lines, laid, before, first = state.lines, state.laid, state.present, state.present.times[FIRST]
    tried, who, tasks = lines[TRIED], lines[TRIED_WHO], rows.tasks
    done, made, tries, heat = 0, 0, 0, warm
    while done < work:
        if tries % 64 == 0:
            heat = warm * exp(log(cold / warm) * done / work)
        tries += 1
        since, until = draw_move(rows, lines, first, state.chosen, dice)
        done += TRY
        if since < 0:
            continue
        limit = before.value[0] - heat * log(1.0 - dice.random())
        value, reached = worth(rows, laid, tried, who, before, since, until, limit)
        done += reached * SCARCE if rows.scarce else reached - since
        if value > limit or (ranks.holds and moved(ranks, who, laid.times[FIRST]) > ranks.may_move):
            drop(rows, state, since, until, reached)
            continue
        settle(rows, state, since, until, value)
        done += len(tasks)
        made += 1
        if made % SORT_EVERY == 0:
            by_start(rows, state)
        if value < state.best[0]:
            keep(state)


@bare
def smooth(rows: Rows, state: State, ranks: Ranks, dice: np.random.Generator, work: int) -> None:
    """Make changes that keep the value, or lower it, and what counts after it (`ranks`), for so many tasks laid out."""
    lines, laid, before, first = state.lines, state.laid, state.present, state.present.times[FIRST]
    tried, who, slots, tasks = lines[TRIED], lines[TRIED_WHO], rows.slots, rows.tasks
    present = rank(ranks, lines[ORDER], lines[WHO], before.times, slots)
    done = 0
    while done < work:
        since, until = draw_move(rows, lines, first, state.chosen, dice)
        done += TRY
        if since < 0:
            continue
        value, reached = worth(rows, laid, tried, who, before, since, until, before.value[0])
        done += reached * SCARCE if rows.scarce else reached - since
        if value <= before.value[0]:
            found = rank(ranks, tried, who, laid.times, slots)
            done += len(tasks)
            if better_ranked(found, present):
                present = found
                settle(rows, state, since, until, value)
                keep(state)
                continue
        drop(rows, state, since, until, reached)
