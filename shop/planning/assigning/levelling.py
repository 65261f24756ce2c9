"""What counts after the goal: even loads, like work in a row, and few changes to the plan before; in this order."""

from shop.planning.assigning.ground import Ground
from shop.planning.assigning.laying import Layout
from shop.planning.assigning.plan_facts import Job
from shop.planning.assigning.plan_tables import NOBODY

Order = tuple[int, int, int, int]


class Levels:
    """Measures a layout by the goal and the three that follow."""

    def __init__(self, ground: Ground) -> None:
        self.ground = ground
        # Working slots that fixed work takes count as load too.
        self.standing = [0] * len(ground.tables.calendars)
        for standing in ground.tables.standing:
            if standing.technician != NOBODY:
                self.standing[standing.technician] += standing.slots
        self.before = [_before(ground, number) for number in range(len(ground.tasks))]

    def measure(self, layout: Layout) -> Order:
        """Return the goal's value, unevenness in percent, changes of kind, and tasks that changed hands."""
        hands = sum(was not in (NOBODY, one) for was, one in zip(self.before, layout.who, strict=True))
        return layout.value, self.unevenness(layout), self._kinds(layout), hands

    def unevenness(self, layout: Layout) -> int:
        """Return how much work lies with others than an even share would have it, in percent of all work.

        A share is even when it goes by the working time that each has until the last work ends.
        """
        loads = self.standing.copy()
        for number, one in enumerate(layout.who):
            loads[one] += self.ground.tasks[number].slots[one]
        last = max(layout.job_end, default=0)
        rooms = [one.at[min(last, len(one.at) - 1)] for one in self.ground.tables.calendars]
        total, room = sum(loads), sum(rooms)
        if not total or not room:
            return 0
        over = sum(max(0.0, load - total * own / room) for load, own in zip(loads, rooms, strict=True))
        return round(100 * over / total)

    def _kinds(self, layout: Layout) -> int:
        latest: dict[int, str] = {}
        switches = 0
        for task in layout.order:
            one, kind = layout.who[task], self.ground.tasks[task].kind
            if kind:
                switches += latest.get(one, kind) != kind
                latest[one] = kind
        return switches


def _before(ground: Ground, number: int) -> int:
    """Return who had a task in the plan before, or NOBODY."""
    task = ground.tasks[number]
    job: Job = ground.tables.jobs[task.job]
    keys = [one.key for one in ground.tables.facts.technicians]
    had = next((placed.technician for placed in job.previous if placed.step == task.step.key), None)
    return keys.index(had) if had in keys else NOBODY
