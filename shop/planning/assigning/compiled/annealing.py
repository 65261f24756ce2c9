"""Simulated annealing on the order of tasks and on who does each, compiled (numba).

A change for the worse is made with a chance that falls with its size and, over the search, with the temperature
(Kirkpatrick, Gelatt and Vecchi 1983). A search that has a plan before takes no change by which too many jobs move.
"""

from math import exp, log
from typing import NamedTuple

import numpy as np
from numba import njit

from shop.planning.assigning.compiled.laying import FIRST, Laid, lay_from, lay_scarce, nothing_laid
from shop.planning.assigning.compiled.moves import (
    AT,
    BEST,
    BEST_WHO,
    LINES,
    ORDER,
    TRIED,
    TRIED_WHO,
    WHO,
    draw_move,
    undo,
)  # fmt: skip
from shop.planning.assigning.compiled.ranks import Ranks, better_ranked, moved, rank
from shop.planning.assigning.compiled.rows import Ints, Rows

# After so many changes the order is put in order of start again, so that what is near in time is near in it.
SORT_EVERY = 200
PRESENT_VALUE, BEST_VALUE = 0, 1
# What a try costs beside the tasks that it lays out, and how much longer each takes where benches are scarce.
TRY, SCARCE = 8, 8


class State(NamedTuple):
    """The present order, what is tried, and the best so far (`moves`), with their values.

    Before each place of the present order free_at are the technicians' free working slots and up_to the value; times
    are those of its tasks, laid those of what was laid out last.
    """

    lines: Ints
    values: Ints
    free_at: Ints
    up_to: Ints
    times: Ints
    laid: Laid


def state_of(rows: Rows, order: list[int], who: list[int]) -> State:
    """Return the state of a search that begins with an order and hands."""
    count, people = rows.slots.shape
    lines = np.zeros((LINES, count), np.int64)
    lines[TRIED], lines[TRIED_WHO] = order, who
    free_at, up_to = np.zeros((count + 1, people), np.int64), np.zeros(count + 1, np.int64)
    free_at[0], up_to[0] = rows.first_free, rows.standing
    laid = nothing_laid(rows)
    state = State(lines, np.zeros(2, np.int64), free_at, up_to, laid.times.copy(), laid)
    settle(rows, state, 0)
    keep(state)
    return state


@njit(cache=True, nogil=True)
def settle(rows: Rows, state: State, since: int) -> None:
    """Make what is tried the present order, which is laid out from a place on."""
    lines, laid = state.lines, state.laid
    lines[ORDER, since:] = lines[TRIED, since:]
    lines[WHO] = lines[TRIED_WHO]
    for place in range(since, lines.shape[1]):
        lines[AT, lines[ORDER, place]] = place
    laid.times[:] = state.times
    if rows.scarce:
        value = lay_scarce(rows, laid, lines[ORDER], lines[WHO], np.inf)
    else:
        value = lay_from(rows, laid, lines[ORDER], lines[WHO], since, np.inf, state.free_at, state.up_to, True)
    state.times[:] = laid.times
    state.values[PRESENT_VALUE] = value


@njit(cache=True, nogil=True)
def worth(rows: Rows, state: State, since: int, limit: float) -> int:
    """Return the value of what is tried, which differs from the present order from a place on; past the limit, any."""
    lines, laid = state.lines, state.laid
    if rows.scarce:
        return lay_scarce(rows, laid, lines[TRIED], lines[TRIED_WHO], limit)
    laid.times[:] = state.times
    return lay_from(rows, laid, lines[TRIED], lines[TRIED_WHO], since, limit, state.free_at, state.up_to, False)


@njit(cache=True, nogil=True)
def by_start(rows: Rows, state: State) -> None:
    """Put the present order in order of start, which changes no start where benches are plenty."""
    if rows.scarce:
        return
    lines = state.lines
    starts = np.empty(lines.shape[1], np.int64)
    for place in range(len(starts)):
        task = lines[ORDER, place]
        starts[place] = rows.start[lines[WHO, task], state.times[FIRST, task]]
    lines[TRIED] = lines[ORDER][np.argsort(starts, kind="mergesort")]
    settle(rows, state, 0)


@njit(cache=True, nogil=True)
def keep(state: State) -> None:
    """Make the present order the best."""
    lines = state.lines
    state.values[BEST_VALUE] = state.values[PRESENT_VALUE]
    lines[BEST], lines[BEST_WHO] = lines[ORDER], lines[WHO]


@njit(cache=True, nogil=True)
def cost(rows: Rows, since: int) -> int:
    """Return what it costs to try a change from a place on, in tasks laid out."""
    count = len(rows.tasks)
    return SCARCE * count if rows.scarce else TRY + count - since


@njit(cache=True, nogil=True)
def anneal(
    rows: Rows, state: State, ranks: Ranks, dice: np.random.Generator, warm: float, cold: float, work: int
) -> None:
    """Search from one temperature to another until so many tasks were laid out.

    No change is made by which more jobs move than may, as `ranks` says.
    """
    lines, values, tasks, slots, able = state.lines, state.values, rows.tasks, rows.slots, rows.able
    done, made, tries, heat = 0, 0, 0, warm
    while done < work:
        if tries % 64 == 0:
            heat = warm * exp(log(cold / warm) * done / work)
        tries += 1
        since, until = draw_move(lines, tasks, slots, able, dice)
        if since < 0:
            done += TRY
            continue
        limit = values[PRESENT_VALUE] - heat * log(1.0 - dice.random())
        done += cost(rows, since)
        value = worth(rows, state, since, limit)
        if value > limit or (ranks.holds and moved(ranks, lines[TRIED_WHO], state.laid.times[FIRST]) > ranks.may_move):
            undo(lines, since, until)
            continue
        settle(rows, state, since)
        made += 1
        if made % SORT_EVERY == 0:
            by_start(rows, state)
        if value < values[BEST_VALUE]:
            keep(state)


@njit(cache=True, nogil=True)
def smooth(rows: Rows, state: State, ranks: Ranks, dice: np.random.Generator, work: int) -> None:
    """Make changes that keep the value, or lower it, and what counts after it (`ranks`), for so many tasks laid out."""
    lines, values, tasks, slots, able = state.lines, state.values, rows.tasks, rows.slots, rows.able
    present = rank(ranks, lines[ORDER], lines[WHO], state.times, slots)
    done = 0
    while done < work:
        since, until = draw_move(lines, tasks, slots, able, dice)
        if since < 0:
            done += TRY
            continue
        done += cost(rows, since)
        if worth(rows, state, since, values[PRESENT_VALUE]) <= values[PRESENT_VALUE]:
            found = rank(ranks, lines[TRIED], lines[TRIED_WHO], state.laid.times, slots)
            done += len(tasks)
            if better_ranked(found, present):
                present = found
                settle(rows, state, since)
                keep(state)
                continue
        undo(lines, since, until)
