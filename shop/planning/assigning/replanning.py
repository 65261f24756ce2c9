"""Plans again after a change and keeps the plan before as far as it can be kept.

A job is touched when the change concerns it: it is new, its place is no longer possible (its technician is away, can
no longer do it or is not the pinned one), it takes longer, or it may not begin yet. All others are untouched. An
untouched job has moved when a task changed hands or its start shifted by more than half a day of its technician's
working time. The search takes no plan in which more than a tenth of the untouched jobs have moved; and none begins more
than half a day before its time, so that a gap does not set everything moving.
"""

from collections.abc import Sequence
from math import floor

from shop.planning.assigning.ground import Ground
from shop.planning.assigning.laying import Layout, lay
from shop.planning.assigning.plan_facts import Placement
from shop.planning.assigning.plan_tables import NOBODY, Tables

MOVED_SHARE = 0.1


def has_previous(tables: Tables) -> bool:
    """Tell whether any job has a place in the plan before."""
    return any(job.previous for job in tables.jobs)


class Kept:
    """Where every task was in the plan before, which jobs are touched, and how many of the others may move."""

    def __init__(self, tables: Tables) -> None:
        self.tables = tables
        self.people = {one.key: number for number, one in enumerate(tables.facts.technicians)}
        self.before: list[Placement | None] = []
        for task in tables.tasks:
            previous = tables.jobs[task.job].previous
            self.before.append(next((placed for placed in previous if placed.step == task.step.key), None))
        self.touched = {task.job for number, task in enumerate(tables.tasks) if not self._possible(number)}
        untouched = {task.job for task in tables.tasks} - self.touched
        self.may_move = floor(MOVED_SHARE * len(untouched))
        self.not_before = [self._earliest(number) for number in range(len(tables.tasks))]

    def _possible(self, number: int) -> bool:
        """Tell whether a task could still lie where it was, as far as its technician and its release go."""
        placed, task = self.before[number], self.tables.tasks[number]
        who = self.people.get(placed.technician or "", NOBODY) if placed else NOBODY
        if placed is None or who not in task.slots:
            return False
        calendar = self.tables.calendars[who]
        start = max(0, placed.start_slot)
        first = calendar.at[min(start, len(calendar.at) - 1)]
        same_end = calendar.end[min(first + task.slots[who], len(calendar.end) - 1)] <= placed.end_slot
        return placed.start_slot >= task.ready and calendar.start[first] == start and same_end

    def _earliest(self, number: int) -> int:
        """Return the slot half a day of working time before a task of an untouched job began, 0 for others."""
        placed = self.before[number]
        if placed is None or self.tables.tasks[number].job in self.touched:
            return 0
        calendar = self.tables.calendars[self.people[placed.technician or ""]]
        return calendar.start[max(0, self._at(number) - self.tables.facts.moved_after_slots)]

    def _at(self, number: int) -> int:
        """Return the working slot at which a task was to begin."""
        placed = self.before[number]
        assert placed
        calendar = self.tables.calendars[self.people[placed.technician or ""]]
        return calendar.at[max(0, placed.start_slot)]

    def first_slot(self, number: int) -> int:
        """Return the working slot at which a task of an untouched job was to begin, NOBODY for others."""
        return NOBODY if self.tables.tasks[number].job in self.touched else self._at(number)

    def moved(self, layout: Layout) -> set[int]:
        """Return the untouched jobs that have moved."""
        most = self.tables.facts.moved_after_slots
        found = set()
        for number, task in enumerate(self.tables.tasks):
            placed = self.before[number]
            if task.job in self.touched or not placed:
                continue
            who = self.people[placed.technician or ""]
            now = self.tables.calendars[who].at[layout.start[number]]
            if layout.who[number] != who or abs(now - self._at(number)) > most:
                found.add(task.job)
        return found

    def enough(self, layout: Layout) -> bool:
        """Tell whether few enough untouched jobs have moved."""
        return len(self.moved(layout)) <= self.may_move

    def first(self, ground: Ground) -> Layout:
        """Return a layout with the untouched jobs where they were, and each touched one where it costs least.

        Behind all others a touched job moves nobody, so there is always such a layout.
        """
        stay = [number for number, task in enumerate(ground.tasks) if task.job not in self.touched]
        stay.sort(key=lambda number: (self._start(number), number))
        jobs = sorted(self.touched, key=lambda job: (ground.due[job], job))
        who = [self._who(number) for number in range(len(ground.tasks))]
        behind = [number for job in jobs for number, task in enumerate(ground.tasks) if task.job == job]
        layout = lay(ground, [*stay, *behind], who)
        for job in jobs:
            layout = self._placed(ground, layout, [n for n, task in enumerate(ground.tasks) if task.job == job])
        return layout

    def _start(self, number: int) -> int:
        placed = self.before[number]
        return placed.start_slot if placed else 0

    def _who(self, number: int) -> int:
        """Return who had a task, or else the fastest who can do it."""
        placed, slots = self.before[number], self.tables.tasks[number].slots
        who = self.people.get(placed.technician or "", NOBODY) if placed else NOBODY
        return who if who in slots else min(slots, key=slots.__getitem__)

    def _placed(self, ground: Ground, layout: Layout, chain: Sequence[int]) -> Layout:
        """Return the best of the layouts that has the tasks of one job at some place earlier in the order."""
        rest = [number for number in layout.order if number not in chain]
        best = layout
        stride = max(1, len(rest) // 60)
        for place in range(0, len(rest) + 1, stride):
            tried = lay(ground, [*rest[:place], *chain, *rest[place:]], layout.who)
            if tried.value < best.value and self.enough(tried):
                best = tried
        return best
