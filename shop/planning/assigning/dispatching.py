"""The usual dispatching rules: whoever is free next takes the waiting task that the rule puts first.

Earliest due date (Jackson 1955), weighted shortest processing time (Smith 1956), and apparent tardiness cost
(Vepsalainen and Morton 1987), whose look-ahead of one to four average tasks is common practice.
"""

from collections.abc import Callable, Iterator
from heapq import heapify, heappop, heappush
from math import exp

from shop.planning.assigning.ground import Ground
from shop.planning.assigning.laying import Layout, lay
from shop.planning.assigning.plan_tables import NOBODY

# A rule gives the urgency of a task at a slot: the higher, the sooner.
Rule = Callable[[int, int], float]
LOOK_AHEADS = (1.0, 2.0, 4.0)


def dispatched(ground: Ground) -> Iterator[tuple[str, Layout]]:
    """Return by each rule its name (EDD, WSPT, ATC) and the layout that it gives; ATC's is the best of its aheads."""
    left = _work_left(ground)
    due, weight = ([row[task.job] for task in ground.tasks] for row in (ground.due, ground.weight))
    average = sum(sum(task.slots.values()) / len(task.slots) for task in ground.tasks) / max(1, len(ground.tasks))
    yield "EDD", dispatch(ground, lambda task, _slot: -due[task])
    yield "WSPT", dispatch(ground, lambda task, _slot: weight[task] / left[task])

    def apparent(ahead: float) -> Rule:
        def urgency(task: int, slot: int) -> float:
            slack = max(0.0, due[task] - slot - left[task])
            return weight[task] / left[task] * exp(-min(600.0, slack / (ahead * average)))

        return urgency

    yield "ATC", min((dispatch(ground, apparent(ahead)) for ahead in LOOK_AHEADS), key=lambda layout: layout.value)


def _work_left(ground: Ground) -> list[float]:
    """Return by task the average slots from its beginning to the end of its job."""
    left = [0.0] * len(ground.tasks)
    for number in reversed(range(len(ground.tasks))):
        task = ground.tasks[number]
        rest = left[task.succ] if task.succ != NOBODY else 0.0
        left[number] = sum(task.slots.values()) / len(task.slots) + task.lag + rest
    return left


def dispatch(ground: Ground, rule: Rule) -> Layout:
    """Lay everything out by a rule. Ties go to the earlier task in the tables, so the same facts give the same."""
    tasks, calendars = ground.tasks, ground.tables.calendars
    arrives = {number: ground.ready[number] for number, task in enumerate(tasks) if task.pred == NOBODY}
    free = ground.first_free.copy()
    # Whoever can do the least chooses first among those free at the same slot.
    waiting = [sum(one in task.slots for task in tasks) for one in range(len(calendars))]
    heap = [(calendars[one].start[working], waiting[one], one) for one, working in enumerate(free)]
    heapify(heap)
    order: list[int] = []
    who = [0] * len(tasks)
    while len(order) < len(tasks):
        slot, breadth, one = heappop(heap)
        able = [number for number in arrives if one in tasks[number].slots]
        here = [number for number in able if arrives[number] <= slot]
        if here:
            chosen = max(here, key=lambda number: (rule(number, slot), -number))
            _begin(ground, chosen, one, free, arrives)
            order.append(chosen)
            who[chosen] = one
            for other in tasks[chosen].slots:
                waiting[other] -= 1
        else:
            later = min((arrives[number] for number in able), default=slot + 1)
            free[one] = max(free[one] + 1, calendars[one].at[min(later, len(calendars[one].at) - 1)])
        if waiting[one] and free[one] < len(calendars[one].start):
            heappush(heap, (calendars[one].start[free[one]], breadth, one))
    return lay(ground, order, who)


def _begin(ground: Ground, number: int, one: int, free: list[int], arrives: dict[int, int]) -> None:
    task, calendar = ground.tasks[number], ground.tables.calendars[one]
    first = max(free[one], calendar.at[arrives.pop(number)])
    if ground.blocks[one]:
        first = ground.past_blocks(one, first, task.slots[one])
    free[one] = first + task.slots[one]
    if task.succ != NOBODY:
        arrives[task.succ] = max(ground.ready[task.succ], calendar.end[free[one]] + task.lag)
