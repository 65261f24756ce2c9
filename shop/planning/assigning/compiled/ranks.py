"""What counts after the goal, and how many jobs have moved, compiled (numba).

`levelling` and `replanning` stay the reckoning that this one is held against.
"""

from typing import NamedTuple

import numpy as np

from shop.planning.assigning.compiled.laying import NOBODY
from shop.planning.assigning.compiled.present import FIRST, GO_ON
from shop.planning.assigning.compiled.rows import Ints, Slots, counting
from shop.planning.assigning.levelling import Levels
from shop.planning.assigning.replanning import Kept


class Ranks(NamedTuple):
    """By task who had it before (NOBODY), its job, its kind (0 for none), and where it began before.

    before_first is the working slot at which a task of an untouched job began, NOBODY for others; a job has moved when
    one of its tasks begins more than moved_after from there or changed hands. At most may_move jobs may, if it holds.
    standing is what fixed work takes of each technician's time; at is their calendar, and last_end the end of what no
    order changes. With soon, what is equal otherwise is better the sooner jobs end.
    """

    before_who: Ints
    job: Ints
    kind: Ints
    before_first: Ints
    moved_after: int
    may_move: int
    holds: bool
    standing: Ints
    at: Slots
    last_end: int
    soon: bool


Rank = tuple[int, int, int, int]


def ranks_of(levels: Levels, at: Slots, last_end: int, kept: Kept | None = None) -> Ranks:
    """Return the ranks of a ground; kept, where the plan before is to be kept."""
    tasks = levels.ground.tasks
    kinds = {"": 0}
    count = len(tasks)
    before_first = [NOBODY] * count if kept is None else [kept.first_slot(number) for number in range(count)]
    return Ranks(
        before_who=np.array(levels.before, np.int64),
        job=np.array([task.job for task in tasks], np.int64),
        kind=np.array([kinds.setdefault(task.kind, len(kinds)) for task in tasks], np.int64),
        before_first=np.array(before_first, np.int64),
        moved_after=levels.ground.tables.facts.moved_after_slots,
        may_move=count if kept is None else kept.may_move,
        holds=kept is not None,
        standing=np.array(levels.standing, np.int64),
        at=at,
        last_end=last_end,
        soon=kept is not None,
    )


@counting
def rank(ranks: Ranks, order: Ints, who: Ints, times: Ints, slots: Ints) -> Rank:
    """Return unevenness in percent, changes of kind, tasks that changed hands, and the sum of the jobs' ends.

    Where the plan before is to be kept the first three are the jobs that moved, the tasks that changed hands, and the
    working slots by which the others were shifted. The ends count with soon.
    """
    hands, shifts, ends, count = 0, 0, 0, len(who)
    for task in range(count):
        hands += ranks.before_who[task] not in (NOBODY, who[task])
        if ranks.before_first[task] != NOBODY:
            shifts += abs(times[FIRST, task] - ranks.before_first[task])
        if ranks.soon and (task + 1 == count or ranks.job[task + 1] != ranks.job[task]):
            ends += times[GO_ON, task]
    if ranks.holds:
        return moved(ranks, who, times[FIRST]), hands, shifts, ends
    return _unevenness(ranks, who, times, slots), _kinds(ranks, order, who), hands, ends


@counting
def better_ranked(found: Rank, present: Rank) -> bool:
    """Tell whether a rank is better, or as good."""
    for place in range(3):
        if found[place] != present[place]:
            return found[place] < present[place]
    return found[3] <= present[3]


@counting
def _unevenness(ranks: Ranks, who: Ints, times: Ints, slots: Ints) -> int:
    loads, at, last = ranks.standing.copy(), ranks.at, ranks.last_end
    for task in range(len(who)):
        loads[who[task]] += slots[task, who[task]]
        last = max(last, times[GO_ON, task])
    last = min(last, at.shape[1] - 1)
    total, room = 0, 0
    for one in range(len(loads)):
        total, room = total + loads[one], room + at[one, last]
    if total == 0 or room == 0:
        return 0
    over = 0.0
    for one in range(len(loads)):
        over += max(0.0, loads[one] - total * at[one, last] / room)
    return round(100 * over / total)


@counting
def _kinds(ranks: Ranks, order: Ints, who: Ints) -> int:
    latest, switches = np.zeros(len(ranks.standing), np.int64), 0
    for task in order:
        kind, one = ranks.kind[task], who[task]
        if kind:
            switches += latest[one] not in (0, kind)
            latest[one] = kind
    return switches


@counting
def moved(ranks: Ranks, who: Ints, firsts: Ints) -> int:
    """Return how many untouched jobs have moved. The tasks of a job stand in a row."""
    found, last = 0, NOBODY
    for task in range(len(who)):
        before = ranks.before_first[task]
        if before == NOBODY or ranks.job[task] == last:
            continue
        if who[task] != ranks.before_who[task] or abs(firsts[task] - before) > ranks.moved_after:
            found += 1
            last = ranks.job[task]
    return found
