"""What every job would choose at prices on technicians' working slots, compiled (numba).

Each job alone is answered exactly, by a table over time from its last task to its first: what it costs at least to
begin a task no sooner than a slot, and where that is. Nothing is kept from one job to the next, so the tables stay
small whatever the number of jobs.
"""

from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from shop.planning.assigning.compiled.laying import counted, past_blocks
from shop.planning.assigning.compiled.rows import DUE, LAG, PRED, READY, SINCE, SUCC, UNTIL, WEIGHT, Ints, Rows

Floats = NDArray[np.float64]
# More than any plan can cost: where a task cannot begin.
CLOSED = 1e12


class Market(NamedTuple):
    """The time that has prices: working slots from 0, so many of each technician, and free ones to begin in after them.

    rows are those of the ground. width is one more than the most priced slots of one technician, clock the number of
    slots of time that are told apart.
    """

    rows: Rows
    priced: Ints
    width: int
    clock: int


class Tables(NamedTuple):
    """Room for one job: by its options and working slots the least cost from there on, and where; by its tasks and
    slots of time the least cost of what is left."""

    least: Floats
    where: Ints
    left: Floats


class Choice(NamedTuple):
    """By task the technician and the first working slot that its job would choose."""

    who: Ints
    first: Ints


def tables_of(market: Market) -> Tables:
    """Return room for the job with the most tasks and options."""
    tasks = market.rows.tasks
    heads = np.flatnonzero(tasks[:, PRED] < 0)
    longest = int(np.diff([*heads, len(tasks)]).max())
    options = np.diff([*tasks[heads, SINCE], len(market.rows.able)]).max()
    shape = int(options), market.width
    return Tables(np.zeros(shape), np.zeros(shape, np.int64), np.zeros((longest, market.clock)))


@njit(cache=True, nogil=True)
def choose(market: Market, prices: Floats, tables: Tables, choice: Choice) -> float:
    """Write down what every job would choose at prices (technicians × width); return what they cost less all prices."""
    tasks, total = market.rows.tasks, _summed(prices)
    cost, until = 0.0, len(tasks)
    while until:
        first = until - 1
        while tasks[first, PRED] >= 0:
            first -= 1
        for task in range(until - 1, first - 1, -1):
            _table(market, total, tables, task, first)
        cost += _follow(market, tables, choice, first, until)
        until = first
    for one in range(len(total)):
        cost -= total[one, market.width]
    return cost


@njit(cache=True, nogil=True)
def _summed(prices: Floats) -> Floats:
    """Return by technician what all slots before each cost together."""
    people, width = prices.shape
    total = np.zeros((people, width + 1))
    for one in range(people):
        for slot in range(width):
            total[one, slot + 1] = total[one, slot] + prices[one, slot]
    return total


@njit(cache=True, nogil=True)
def _table(market: Market, total: Floats, tables: Tables, task: int, first: int) -> None:
    """Fill in a task's rows; its successor's are there. first is the first task of its job."""
    rows = market.rows
    tasks, able, at = rows.tasks, rows.able, rows.at
    since, until, base = tasks[task, SINCE], tasks[task, UNTIL], tasks[first, SINCE]
    for option in range(since, until):
        _option(market, total, tables, task, option, first)
    if task == first:
        return
    least, left = tables.least, tables.left[task - first]
    for slot in range(market.clock):
        best = CLOSED
        for option in range(since, until):
            best = min(best, least[option - base, min(at[able[option], slot], market.width - 1)])
        left[slot] = best


@njit(cache=True, nogil=True)
def _option(market: Market, total: Floats, tables: Tables, task: int, option: int, first: int) -> None:
    """Fill in the row of one technician for a task, from the last slot to the first."""
    rows, width, clock = market.rows, market.width, market.clock
    one, row = rows.able[option], option - rows.tasks[first, SINCE]
    least, where = tables.least[row], tables.where[row]
    ends, sums, last = rows.end[one], total[one], rows.end.shape[1] - 1
    length, lag, due, weight = (
        rows.slots[task, one],
        rows.tasks[task, LAG],
        rows.tasks[task, DUE],
        rows.tasks[task, WEIGHT],
    )
    goes_on = rows.tasks[task, SUCC] >= 0
    after = tables.left[min(task + 1 - first, len(tables.left) - 1)]
    blocked = rows.block_since[one + 1] > rows.block_since[one]
    soonest = min(max(rows.first_free[one], rows.at[one, rows.tasks[task, READY]]), width - 1)
    best, best_at = CLOSED, width - 1
    for slot in range(width - 1, -1, -1):
        if slot >= soonest and not (blocked and past_blocks(rows.block_since, rows.blocks, one, slot, length) != slot):
            end = ends[min(slot + length, last)] + lag
            cost = sums[min(slot + length, width)] - sums[slot]
            cost += after[min(end, clock - 1)] if goes_on else counted(rows.goal, 0, end - due, weight, end)
            if cost <= best:
                best, best_at = cost, slot
        least[slot], where[slot] = best, best_at


@njit(cache=True, nogil=True)
def _follow(market: Market, tables: Tables, choice: Choice, first: int, until: int) -> float:
    """Write down the cheapest way of a job through its tables, and return its cost."""
    rows, width = market.rows, market.width
    tasks, able, least = rows.tasks, rows.able, tables.least
    base, last = tasks[first, SINCE], rows.end.shape[1] - 1
    cost, ready = 0.0, 0
    for task in range(first, until):
        ready = min(max(ready, tasks[task, READY]), market.clock - 1)
        best, taken, begin = np.inf, 0, 0
        for option in range(tasks[task, SINCE], tasks[task, UNTIL]):
            place = min(rows.at[able[option], ready], width - 1)
            if least[option - base, place] < best:
                best, taken, begin = least[option - base, place], option, tables.where[option - base, place]
        if task == first:
            cost = best
        one = able[taken]
        choice.who[task], choice.first[task] = one, begin
        ready = rows.end[one, min(begin + rows.slots[task, one], last)] + tasks[task, LAG]
    return cost


@njit(cache=True, nogil=True)
def too_much(market: Market, choice: Choice) -> Floats:
    """Return how often each technician's slots were chosen, less the once that they are there; unpriced ones 0."""
    slots, width = market.rows.slots, market.width
    found = np.zeros((len(market.priced), width))
    for one in range(len(found)):
        found[one, : market.priced[one]] = -1.0
    for task in range(len(choice.who)):
        one = choice.who[task]
        until = min(choice.first[task] + slots[task, one], market.priced[one])
        for slot in range(choice.first[task], until):
            found[one, slot] += 1.0
    return found
