"""Lays out a batch of trials, all together: one numpy operation for all of them per task of the order."""

import numpy as np

from shop.planning.plan_facts import Goal
from shop.planning.plan_tables import NOBODY
from shop.planning.trials import FAR, Batch, Ints, Longs, Places, Put, Trials
from shop.planning.trying import Trying


def values(trials: Trials, trying: Trying, batch: Batch) -> Longs:
    """Return the goal's value of each trial on the present order; exact unless benches are scarce."""
    return _Run(trials, trying, batch).values()


def _by(keys: Ints, count: int) -> tuple[Ints, list[int]]:
    """Return the rows in order of their keys, and where each key from 0 to count begins; other keys are left out."""
    rows = np.argsort(keys, kind="stable").astype(np.int32)
    return rows, np.searchsorted(keys[rows], np.arange(count + 2)).tolist()


class _Run:
    """One batch being laid out: by trial the free working slot of each person and when each task's job may go on.

    Nothing is laid out before the first place that any trial changes.
    """

    def __init__(self, trials: Trials, trying: Trying, batch: Batch) -> None:
        self.of, self.batch, self.size = trials, batch, len(batch.task)
        self.order, self.who = trying.order, trying.who
        count = trials.count
        place_of = np.full(count + 1, count + 1, np.int32)
        place_of[trying.order] = np.arange(count, dtype=np.int32)
        places = place_of[batch.task]
        into = np.where(batch.task == NOBODY, count + 1, batch.place)
        self.out = _by(places.ravel(), count)
        # Where both of a trial's tasks go to one place, the second goes after the first.
        entries, self.begins = _by((into * 2 + (into[:, :1] == into) * [0, 1]).ravel(), 2 * count + 1)
        self.put = Put(trials, batch, entries)
        self.first = 0 if trials.scarce else int(min(places.min(), into.min()))
        self._begin(trying)

    def _begin(self, trying: Trying) -> None:
        """Put everything as it is before the first place."""
        of, size = self.of, self.size
        self.free = np.repeat(np.array(trying.free[self.first], np.int32)[:, None], size, axis=1)
        self.ends = np.zeros((of.count + 1, size), np.int32)
        for task in trying.order[: self.first]:
            if of.ground.tasks[task].succ != NOBODY:
                end = trying.end[task]
                self.ends[task] = of.at[0][end] if of.shared else end + of.lag[task]
        self.flat_free, self.flat_ends = self.free.ravel(), self.ends.ravel()
        self.value = np.full(size, trying.up_to[self.first], np.int64)
        self.every = np.arange(size)
        if of.scarce:
            self.taken = np.zeros((len(of.ground.tables.facts.benches) + 1, size), np.int32)
            self.taken[-1] = FAR
            for bench, (begin, until) in of.ground.held:
                if begin == 0:
                    np.maximum(self.taken[bench], until, out=self.taken[bench])

    def values(self) -> Longs:
        """Lay all trials out, place by place, and return their values."""
        begins = self.begins
        rows, out_begins = self.out
        for place in range(self.first, self.of.count + 1):
            for key in (2 * place, 2 * place + 1):
                if begins[key] < begins[key + 1]:
                    self._insert(begins[key], begins[key + 1])
            if place < self.of.count:
                task = self.order[place]
                self._go_by(task, self.who[task], rows[out_begins[place] : out_begins[place + 1]] // 2)
        return self.value

    def _go_by(self, task: int, one: int, gone: Ints) -> None:
        """Lay one task out in all trials but those that moved it."""
        some = bool(len(gone))
        if some:
            kept = self.free[one][gone], self.ends[task][gone], self.value[gone]
            kept_benches = self.taken[:, gone] if self.of.scarce else None
        self._lay_all(task, one)
        if some:
            self.free[one][gone], self.ends[task][gone], self.value[gone] = kept
            if kept_benches is not None:
                self.taken[:, gone] = kept_benches

    def _lay_all(self, task: int, one: int) -> None:
        """Lay one task out in all trials."""
        of, free, end = self.of, self.free[one], self.ends[task]
        self._wait(task, one, free)
        slots = of.slots[task, one]
        for begin, until in of.ground.blocks[one]:
            free[(free < until) & (free + slots > begin)] = until
        if of.scarce:
            bench, begins = self._bench(self.every, of.benches[task], of.start[one].take(free))
            np.maximum(free, of.at[one].take(begins), out=free)
        free += slots
        if of.shared:
            end[:] = free
        else:
            end[:] = of.end[one].take(free)
        if of.scarce:
            self.taken[bench, self.every] = end
            self._rests(task, self.every, end)
        elif of.lag[task]:
            end += of.lag[task]
        if of.last[task]:
            self._count(task, end)

    def _wait(self, task: int, one: int, free: Ints) -> None:
        """Put the free working slots of one person up to where the task may begin."""
        of, before, ready = self.of, self.of.pred[task], self.of.ready[task]
        if of.shared:
            if before < of.count:
                np.maximum(free, self.ends[before], out=free)
            if ready:
                np.maximum(free, ready, out=free)
        elif before < of.count:
            after = np.maximum(self.ends[before], ready) if ready else self.ends[before]
            np.maximum(free, of.at[one].take(after), out=free)
        elif ready:
            np.maximum(free, of.at[one][ready], out=free)

    def _count(self, task: int, end: Ints) -> None:
        """Add what the job's end counts to every trial."""
        of = self.of
        if of.shared and not of.steady:
            end = of.end[0].take(end)
        if of.goal is Goal.LAST_END:
            np.maximum(self.value, end, out=self.value)
            return
        late = end - of.due[task]
        np.maximum(late, 0, out=late)
        if of.goal is Goal.LATE_JOBS:
            np.minimum(late, 1, out=late)
        if of.weight[task] != 1:
            late *= of.weight[task]
        self.value += late

    def _insert(self, begin: int, until: int) -> None:
        """Lay out some entries: tasks that trials put to one place, one for each trial."""
        of, put, here = self.of, self.put, slice(begin, until)
        first = np.maximum(self.flat_ends.take(put.pred_at[here]), put.ready[here])
        if not of.shared:
            first = of.at.ravel().take(put.calendar_at[here] + first)
        first = np.maximum(self.flat_free.take(put.free_at[here]), first)
        slots, person = put.slots[here], put.person[here]
        for blocked, (block, unblocked) in of.blocks:
            first[(person == blocked) & (first < unblocked) & (first + slots > block)] = unblocked
        if of.scarce:
            bench, begins = self._bench(put.row[here], of.benches[put.task[here]].T, of.start[person, first])
            first = np.maximum(first, of.at[person, begins])
        first = first + slots
        self.flat_free[put.free_at[here]] = first
        end = first if of.shared else of.end[person, first]
        if of.scarce:
            self.taken[bench, put.row[here]] = end
            self._rests_of(put.task[here], put.row[here], end)
        elif not of.shared:
            end += put.lag[here]
        self.flat_ends[put.end_at[here]] = end
        self._count_put(here, end)

    def _count_put(self, here: slice, end: Ints) -> None:
        """Add what the ends of jobs count to the trials of some entries."""
        of, put = self.of, self.put
        if of.shared and not of.steady:
            end = of.end[0].take(end)
        if of.goal is Goal.LAST_END:
            self.value[put.row[here]] = np.maximum(self.value[put.row[here]], end * put.last[here])
            return
        late = np.maximum(end - put.due[here], 0)
        if of.goal is Goal.LATE_JOBS:
            late = np.minimum(late, 1)
        self.value[put.row[here]] += late * put.weight[here]

    def _rests_of(self, task: Ints, rows: Ints, end: Ints) -> None:
        for single in np.unique(task):
            some = task == single
            end[some] = self._rests(int(single), rows[some], end[some])

    def _bench(self, rows: Places, benches: Ints, begin: Ints) -> tuple[Ints, Ints]:
        """Return for some trials the bench that is free first, the plainest of those free already, and from when."""
        choice = benches if benches.ndim == 2 else benches[:, None]
        free = np.maximum(self.taken[choice, rows], begin)
        best = free.argmin(axis=0)
        here = np.arange(len(rows))
        return np.broadcast_to(choice, free.shape)[best, here], free[best, here]

    def _rests(self, task: int, rows: Places, end: Ints) -> Ints:
        """Take benches for what rests after a task; change and return when the job may go on."""
        for rest in self.of.ground.tasks[task].rests:
            bench, begin = self._bench(rows, np.array(rest.benches, np.int32), end)
            end[:] = begin + rest.slots
            self.taken[bench, rows] = end
        return end
