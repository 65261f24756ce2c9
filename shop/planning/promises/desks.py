"""A technician's time in many runs at once: when a piece of work ends. Pure.

Work goes on through breaks and nights, on the technician's own clock of working minutes. Each piece takes the first
minutes that are free from when it is ready: nobody sits idle while the unit in front waits for its parts, but takes up
what comes later in the order. When the first is ready, that is brought to an end before. Of every
working day, the time behind the last piece is known, and the longest pause before it; shorter pauses are lost, so that
days come out a little too full.
"""

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from shop.planning.promises.history import Numbers, Rows

# A pause of this length or more, in minutes, parts one working day from the next.
_NIGHT_MIN = 240
# What is left of a day below this is nothing.
_NOTHING_MIN = 1e-2

# Minutes of one day: short numbers, of which more are at hand at once.
Minutes = NDArray[np.float32]


class Desk:
    """One technician with sorted spans of working time, in minutes from the start; apart from each other."""

    def __init__(self, spans: Sequence[tuple[float, float]], runs: int) -> None:
        """Set up an empty desk. Raises ValueError when spans are out of order, overlap or end before they begin."""
        edges = np.array(spans, dtype=np.float64).reshape(-1, 2)
        if np.any(np.diff(edges.ravel()) < 0) or np.any(edges[:, 0] >= edges[:, 1]):
            raise ValueError("working time is in order and apart, and each span ends after it begins")
        self._since, self._until = edges[:, 0].copy(), edges[:, 1].copy()
        self._until_work = np.cumsum(edges[:, 1] - edges[:, 0])
        self._since_work = self._until_work - (edges[:, 1] - edges[:, 0])
        mornings = np.append(np.ones(min(1, len(edges)), dtype=bool), np.diff(edges.ravel())[1::2] >= _NIGHT_MIN)
        self._day, self._day_of = self._since_work[mornings], np.cumsum(mornings) - 1
        self._first_span = np.flatnonzero(mornings)
        self._most_spans = int(np.bincount(self._day_of).max()) if len(edges) else 0
        self._length = np.diff(np.append(self._day, self._until_work[-1:])).astype(np.float32)
        # For each day and run, day by day: where its last piece ends, where its pause begins and ends, in working
        # minutes from the day's beginning. What no run reaches is never touched, so a long horizon costs no memory.
        self._runs, cells = runs, len(self._day) * runs
        self._last, self._pause_since, self._pause_until = np.zeros((3, cells), dtype=np.float32)
        # How many days on to look when this one is full, else 0; what lies behind the last day is not full.
        self._full: NDArray[np.int16] = np.zeros(cells + runs, dtype=np.int16)
        # By run, the first day that is not full, or one before it.
        self._front = np.zeros(runs, dtype=np.intp)

    def place(
        self,
        ready: Numbers,
        minutes: Numbers,
        rows: Rows,
        busy: Numbers,
        *,
        begins: Numbers | None = None,
        keep: bool = True,
    ) -> Numbers:
        """Put a piece of work of so many minutes into some of the runs, and return the moments at which it ends.

        ready are the moments from which it can begin; busy the working minutes for which the technician goes on with
        something else then, if not with what comes first anyway. A moment beyond all working time is infinite. begins
        takes the moments at which the work begins. Without keep nothing is put anywhere.
        """
        begun_on = np.zeros(len(rows), dtype=np.intp)
        if begins is not None:
            begins[:] = np.inf
        if not len(self._day):
            return np.full(len(rows), np.inf)
        day, from_work = self._worked(ready)
        ends, at = np.full(len(rows), np.inf), np.arange(len(rows))
        left, other, run = minutes.astype(np.float32), busy.astype(np.float32), rows
        while len(at):
            day = self._with_room(day, run)
            if (day == len(self._day)).any():
                inside = (day < len(self._day)).nonzero()[0]
                at, run, day, left = at[inside], run[inside], day[inside], left[inside]
                from_work, other = from_work[inside], other[inside]
            morning = self._day[day]
            taken, begun, reached = self._take(
                day, run, (from_work - morning).astype(np.float32), left, other, keep=keep
            )
            if begins is not None:
                new = ((taken > 0) & np.isinf(begins[at])).nonzero()[0]
                begins[at[new]], begun_on[at[new]] = morning[new] + begun[new], day[new]
            left = left - taken
            on, done = (left > _NOTHING_MIN).nonzero()[0], (left <= _NOTHING_MIN).nonzero()[0]
            ends[at[done]] = self._clock(day[done], morning[done] + reached[done])
            at, run, day, left, from_work, other = at[on], run[on], day[on] + 1, left[on], from_work[on], other[on]
        ends[np.isinf(ready)] = np.inf
        if begins is not None:
            begins[:] = np.maximum(np.where(np.isinf(begins), np.inf, self._clock(begun_on, begins)), ready)
        return ends

    def _worked(self, moments: Numbers) -> tuple[Rows, Numbers]:
        """Return the working day that each moment lies in or behind, and the working minutes until then."""
        span = np.maximum(np.searchsorted(self._since, moments, side="right") - 1, 0)
        worked = self._since_work[span] + np.maximum(moments - self._since[span], 0)
        return self._day_of[span], np.minimum(worked, self._until_work[span])

    def _take(
        self, day: Rows, run: Rows, ready: Minutes, wanted: Minutes, busy: Minutes, *, keep: bool
    ) -> tuple[Minutes, Minutes, Minutes]:
        """Take what is wanted, or what there is, from the pause of a day and then from its end.

        Return the minutes taken, and the minutes of the day at which they begin and end.
        """
        cell = day * self._runs + run
        length = self._length[day]
        last, since, until = self._last[cell], self._pause_since[cell], self._pause_until[cell]
        found = ready + busy
        # What follows on the minute is taken up at once.
        begins = np.where(since < ready - 1, found, np.maximum(since, ready))
        behind = np.where(last < ready - 1, found, np.maximum(last, ready))
        in_pause = np.minimum(np.maximum(until - begins, 0.0), wanted)
        at_end = np.minimum(np.maximum(length - behind, 0.0), wanted - in_pause)
        used = at_end > 0
        reached = np.where(used, behind + at_end, begins + in_pause)
        paused = in_pause > 0
        begun, taken = np.where(paused, begins, behind), in_pause + at_end
        if not keep:
            return taken, begun, reached
        if paused.any():
            # The larger of what is left of the pause before and after.
            after = np.where(paused, begins + in_pause, since)
            first = paused & (begins - since > until - after)
            since, until = np.where(first, since, after), np.where(first, begins, until)
            self._pause_since[cell], self._pause_until[cell] = since, until
        new = (used & (behind - last > until - since)).nonzero()[0]
        if len(new):
            since[new], until[new] = last[new], behind[new]
            self._pause_since[cell], self._pause_until[cell] = since, until
        last = np.where(used, reached, last)
        self._last[cell] = last
        self._full[cell] = (length - last <= _NOTHING_MIN) & (until - since <= 1)
        return taken, begun, reached

    def _with_room(self, day: Rows, run: Rows) -> Rows:
        """Return the first day from a day on that is not full, and remember the way there."""
        front = self._front[run]
        first = np.maximum(day, front)
        on = self._full[first * self._runs + run].nonzero()[0]
        if not len(on):
            return first
        moved, day = on, first.copy()
        while len(on):
            step = self._full[day[on] * self._runs + run[on]]
            day[on] += step
            on = on[step > 0]
        self._full[first[moved] * self._runs + run[moved]] = (day - first)[moved]
        ahead = moved[first[moved] == front[moved]]
        self._front[run[ahead]] = day[ahead]
        return day

    def _clock(self, day: Rows, work: Numbers) -> Numbers:
        """Return the moments of working minutes that lie on known days."""
        span = self._first_span[day]
        for _next in range(self._most_spans - 1):
            # A hair's breadth over, so that work which fills a span ends with it and not with the next one's beginning.
            span = np.minimum(span + (work > self._until_work[span] + _NOTHING_MIN), len(self._since) - 1)
        return np.minimum(self._since[span] + work - self._since_work[span], self._until[span])
