"""Changes to try on an order of tasks, drawn at random, compiled (numba).

A task goes to another place, perhaps to another technician; two tasks change places and hands; two tasks of one job
go together. Most go near, since far ones are seldom good; a few go anywhere. Where it is known what jobs would choose
at prices on time (`choices`), some tasks go to whom and where one of those choices has them: on large shops that finds
in a third of the time what was not found before. A state's lines are rows of numbers: the present order and hands, the
place of each task, and the order and hands that are tried.
"""

from math import floor, log
from typing import NamedTuple

import numpy as np

from shop.planning.assigning.compiled.rows import PRED, SINCE, SUCC, UNTIL, Ints, Rows, bare

ORDER, WHO, AT, TRIED, TRIED_WHO, BEST, BEST_WHO = range(7)
LINES = 7
# How many places a task goes, about, per technician; and the share of those that go anywhere.
NEAR_PER_TECHNICIAN, ANYWHERE = 1.5, 0.2
# The first share of changes is of one task alone, up to the second share two change places.
ALONE, SWAPPED = 0.4, 0.7
# Before that, the share of changes that follow what jobs would choose.
AS_CHOSEN = 0.3
NOWHERE = (-1, -1)


class Chosen(NamedTuple):
    """By choice and task, to whom and at which slot of time jobs would go (choices × tasks, perhaps no choice)."""

    who: Ints
    start: Ints


def nothing_chosen(tasks: int) -> Chosen:
    """Return no choice at all."""
    return Chosen(*np.zeros((2, 0, tasks), np.int64))


@bare
def draw_move(rows: Rows, lines: Ints, first: Ints, chosen: Chosen, dice: np.random.Generator) -> tuple[int, int]:
    """Try a change drawn at random; first are the present first working slots by task.

    Return the first and last place that it touches, or NOWHERE when it changes nothing or breaks the order of a job.
    """
    tasks, slots, able = rows.tasks, rows.slots, rows.able
    if len(chosen.who) and dice.random() < AS_CHOSEN:
        return _as_chosen(rows, lines, first, chosen, dice)
    kind = dice.random()
    if kind < ALONE:
        return _alone(lines, tasks, slots, able, dice)
    if kind < SWAPPED:
        return _swapped(lines, tasks, slots, dice)
    return _together(lines, tasks, slots, able, dice)


@bare
def undo(lines: Ints, since: int, until: int) -> None:
    """Try the present order again, which differs between two places from what was tried."""
    for place in range(since, until + 1):
        task = lines[ORDER, place]
        lines[TRIED, place], lines[TRIED_WHO, task] = task, lines[WHO, task]


@bare
def _step(lines: Ints, scale: float, dice: np.random.Generator) -> int:
    """Return how far to go: near in both directions, and at times anywhere."""
    reach = lines.shape[1] / 3 if dice.random() < ANYWHERE else scale
    far = 2 * dice.random() - 1
    return floor(-reach * log(far)) if far > 0 else -floor(-reach * log(-far + 1e-300))


@bare
def _person(tasks: Ints, able: Ints, task: int, dice: np.random.Generator) -> int:
    """Return anybody who can do a task."""
    since, until = tasks[task, SINCE], tasks[task, UNTIL]
    return int(able[since + int(dice.random() * (until - since))])


@bare
def _low(lines: Ints, tasks: Ints, task: int) -> int:
    """Return the first place at which a task comes after its predecessor."""
    before = tasks[task, PRED]
    return int(lines[AT, before]) + 1 if before >= 0 else 0


@bare
def _high(lines: Ints, tasks: Ints, task: int) -> int:
    """Return the last place at which a task comes before its successor."""
    after = tasks[task, SUCC]
    return int(lines[AT, after]) - 1 if after >= 0 else lines.shape[1] - 1


@bare
def _alone(lines: Ints, tasks: Ints, slots: Ints, able: Ints, dice: np.random.Generator) -> tuple[int, int]:
    here = int(dice.random() * lines.shape[1])
    task = lines[ORDER, here]
    person = lines[WHO, task] if dice.random() < 0.3 else _person(tasks, able, task, dice)
    place = here + _step(lines, NEAR_PER_TECHNICIAN * slots.shape[1], dice)
    return _one_to(lines, tasks, task, place, person)


@bare
def _one_to(lines: Ints, tasks: Ints, task: int, place: int, person: int) -> tuple[int, int]:
    """Try a task at a place, or as near as its job allows, in somebody's hands."""
    here = int(lines[AT, task])
    place = min(max(place, _low(lines, tasks, task)), _high(lines, tasks, task))
    if person == lines[WHO, task] and not _passes(lines, here, place, person):
        return NOWHERE
    lines[TRIED_WHO, task] = person
    for between in range(place, here):
        lines[TRIED, between + 1] = lines[ORDER, between]
    for between in range(here, place):
        lines[TRIED, between] = lines[ORDER, between + 1]
    lines[TRIED, place] = task
    return min(here, place), max(here, place)


@bare
def _pair_to(lines: Ints, tasks: Ints, one: int, place: int, other: int, after: int) -> tuple[int, int]:
    """Try a task and the next of its job at two places, or as near as their job allows."""
    here, there = int(lines[AT, one]), int(lines[AT, other])
    low, high = _low(lines, tasks, one), _high(lines, tasks, other)
    place = min(max(place, low), high - 1)
    after = min(max(after, place + 1), high)
    return _put(lines, one, place, other, after, min(here, place), max(there, after))


@bare
def _passes(lines: Ints, here: int, place: int, person: int) -> bool:
    """Tell whether another task of the technician lies on the way from one place to another."""
    step = 1 if place > here else -1
    while here != place:
        here += step
        if lines[WHO, lines[ORDER, here]] == person:
            return True
    return False


@bare
def _swapped(lines: Ints, tasks: Ints, slots: Ints, dice: np.random.Generator) -> tuple[int, int]:
    here = int(dice.random() * lines.shape[1])
    place = here + _step(lines, NEAR_PER_TECHNICIAN * slots.shape[1], dice)
    place = min(max(place, 0), lines.shape[1] - 1)
    one, other = lines[ORDER, here], lines[ORDER, place]
    if here == place or slots[one, lines[WHO, other]] == 0 or slots[other, lines[WHO, one]] == 0:
        return NOWHERE
    if place < _low(lines, tasks, one) or place > _high(lines, tasks, one):
        return NOWHERE
    if here < _low(lines, tasks, other) or here > _high(lines, tasks, other):
        return NOWHERE
    lines[TRIED_WHO, one], lines[TRIED_WHO, other] = lines[WHO, other], lines[WHO, one]
    lines[TRIED, here], lines[TRIED, place] = other, one
    return min(here, place), max(here, place)


@bare
def _together(lines: Ints, tasks: Ints, slots: Ints, able: Ints, dice: np.random.Generator) -> tuple[int, int]:
    here = int(dice.random() * lines.shape[1])
    one = lines[ORDER, here]
    other = tasks[one, SUCC]
    if other < 0:
        return NOWHERE
    near = NEAR_PER_TECHNICIAN * slots.shape[1]
    step = _step(lines, near * 1.5, dice)
    apart = floor((2 * dice.random() - 1) * near)
    if dice.random() < 0.5:
        lines[TRIED_WHO, one] = _person(tasks, able, one, dice)
    if dice.random() < 0.5:
        lines[TRIED_WHO, other] = _person(tasks, able, other, dice)
    return _pair_to(lines, tasks, one, here + step, other, int(lines[AT, other]) + step + apart)


@bare
def _as_chosen(rows: Rows, lines: Ints, first: Ints, chosen: Chosen, dice: np.random.Generator) -> tuple[int, int]:
    """Try a task, every second time with the next of its job, where one of the choices has it."""
    here = int(dice.random() * lines.shape[1])
    one, row = lines[ORDER, here], int(dice.random() * len(chosen.who))
    other = rows.tasks[one, SUCC]
    place = _place_of(rows, lines, first, chosen.start[row, one])
    if other < 0 or dice.random() < 0.5:
        # Taken out before, it leaves its own place free.
        return _one_to(lines, rows.tasks, one, place - 1 if place > here else place, chosen.who[row, one])
    after = _place_of(rows, lines, first, chosen.start[row, other])
    lines[TRIED_WHO, one], lines[TRIED_WHO, other] = chosen.who[row, one], chosen.who[row, other]
    return _pair_to(lines, rows.tasks, one, place, other, after)


@bare
def _place_of(rows: Rows, lines: Ints, first: Ints, slot: int) -> int:
    """Return the first place at which the present order begins no sooner than a slot of time.

    It is in order of start but for the last changes; a place too far is only a change that is less good.
    """
    low, high = 0, lines.shape[1]
    while low < high:
        middle = (low + high) // 2
        task = lines[ORDER, middle]
        if rows.start[lines[WHO, task], first[task]] < slot:
            low = middle + 1
        else:
            high = middle
    return low


@bare
def _put(lines: Ints, one: int, place: int, other: int, after: int, since: int, until: int) -> tuple[int, int]:
    """Try two tasks at their places; the others between the first and the last keep their order."""
    take = since
    for here in range(since, until + 1):
        if here == place:
            lines[TRIED, here] = one
        elif here == after:
            lines[TRIED, here] = other
        else:
            while lines[ORDER, take] == one or lines[ORDER, take] == other:
                take += 1
            lines[TRIED, here] = lines[ORDER, take]
            take += 1
    return since, until
