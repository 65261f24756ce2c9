"""An order of tasks that changes a little at a time: what would it count with this change, and make the change.

It remembers who is free when before each place of the order, so that a change is reckoned from its first place on,
and stops where everything is as it was, or where the value is past a limit. Exact where benches are plenty; where
they are scarce everything is laid out afresh.
"""

from dataclasses import dataclass

from shop.planning.laying import Ground, Layout, lay
from shop.planning.plan_facts import Goal
from shop.planning.plan_tables import NOBODY


@dataclass(slots=True)
class Change:
    """An order and technicians that differ from the present ones between two places, the last one not included."""

    order: list[int]
    who: list[int]
    first: int
    until: int


@dataclass(slots=True)
class _Laid:
    """A change laid out from its first place up to where all is as before (or to the end), and what it counts."""

    change: Change
    free: list[list[int]]
    up_to: list[int]
    end: list[int]
    joined: int
    value: int


class Trying:
    """The present order with its ends, the free working slots before every place, and the value up to there."""

    def __init__(self, ground: Ground, layout: Layout) -> None:
        self.ground = ground
        self.count = len(layout.order)
        self.scarce = ground.tables.contested
        self.goal = ground.tables.facts.goal
        self.slots = [task.slots for task in ground.tasks]
        self.due = [ground.due[task.job] - ground.lag[number] for number, task in enumerate(ground.tasks)]
        self.weight = [ground.weight[task.job] if task.succ == NOBODY else 0 for task in ground.tasks]
        self.calendars = [(one.at, one.end, ground.blocks[who]) for who, one in enumerate(ground.tables.calendars)]
        self.end = [0] * self.count
        self.free: list[list[int]] = [list(ground.first_free)]
        self.up_to = [ground.standing_value()]
        self.tried: _Laid | None = None
        self.take(layout)

    def take(self, layout: Layout) -> None:
        """Make a layout the present one, its order by start."""
        self.order, self.who, self.value = layout.order, layout.who, layout.value
        if not self.scarce:
            del self.free[1:], self.up_to[1:]
            self._adopt(self._lay(Change(layout.order, layout.who, 0, self.count), float("inf")))

    def worth(self, change: Change, limit: float) -> int:
        """Return the value with a change; when that is past the limit, some value past the limit."""
        if self.scarce:
            return lay(self.ground, change.order, change.who).value
        self.tried = self._lay(change, limit)
        return self.tried.value

    def make(self, change: Change) -> None:
        """Make a change: the one whose worth was asked for last needs no more reckoning."""
        if self.scarce:
            self.take(lay(self.ground, change.order, change.who))
            return
        laid = self.tried if self.tried and self.tried.change is change else self._lay(change, float("inf"))
        self.tried = None
        self._adopt(laid)

    def _adopt(self, laid: _Laid) -> None:
        change, joined = laid.change, laid.joined
        self.order, self.who, self.end = change.order, change.who, laid.end
        shift = laid.value - self.up_to[-1] if joined < self.count else 0
        self.free[change.first + 1 : joined + 1] = laid.free
        self.up_to[change.first + 1 :] = laid.up_to + [value + shift for value in self.up_to[joined + 1 :]]
        self.value = laid.value

    def _lay(self, change: Change, limit: float) -> _Laid:  # noqa: C901 - calls would double its time
        """Lay a change out from its first place on. Everything is written out here: it runs a million times."""
        order, who, calendars, pred, due = change.order, change.who, self.calendars, self.ground.pred, self.due
        ready, lag, slots, weight = self.ground.ready, self.ground.lag, self.slots, self.weight
        adds_up = self.goal is not Goal.LAST_END
        free, value, ends = self.free[change.first].copy(), self.up_to[change.first], self.end.copy()
        laid = _Laid(change, [], [], ends, self.count, value)
        # Tasks that end otherwise than before and whose successor has not been laid out yet.
        open_ends: set[int] = set()
        for place in range(change.first, self.count):
            if place >= change.until and adds_up and not open_ends and free == self.free[place]:
                laid.joined, laid.value = place, value + self.up_to[-1] - self.up_to[place]
                return laid
            task = order[place]
            one, before, begin = who[task], pred[task], ready[task]
            at, end_of, blocks = calendars[one]
            if before != NOBODY:
                after = ends[before] + lag[before]
                begin = after if after > begin else begin
                open_ends.discard(before)
            first = at[begin]
            first = free[one] if free[one] > first else first
            if blocks:
                first = self.ground.past_blocks(one, first, slots[task][one])
            free[one] = first + slots[task][one]
            end = end_of[free[one]]
            if weight[task]:
                if not adds_up:
                    value = max(value, end + lag[task])
                elif end > due[task]:
                    value += weight[task] * (end - due[task] if self.goal is Goal.LATENESS else 1)
                if value > limit:
                    break
            elif end != ends[task]:
                open_ends.add(task)
            ends[task] = end
            laid.free.append(free.copy())
            laid.up_to.append(value)
        laid.value = value
        return laid
