"""Benches in many runs at once: work begins no sooner than its bench is free. Pure.

Work holds its bench from its start to its end, nights included. A bench does not stand empty for a unit that comes
before in the plan's order and is not there yet: work of which half at most would be left by then goes first, and what
follows at the bench moves by as much. The two longest pauses of each bench are known, shorter ones are lost.

Played out event by event, shops of 2 to 4 people whose work is spread over 1 to 5 benches end 0 to 15 percent sooner
than this says, the most where nearly all work changes benches; with benches taken as free they end up to twice as late
as that would say.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Protocol

import numpy as np

from shop.planning.promises.desks import Desk
from shop.planning.promises.history import Numbers, Rows

# Work goes before what is planned before it when this share of it at most is left then.
_MOST_OVER = 0.5
_PAUSES = 2
_NO_PAUSE = -1


class Piece(Protocol):
    """Work that is to be put at a bench, so many minutes in each run."""

    @property
    def minutes(self) -> Numbers:
        """Return the minutes by run."""

    def put(self, ready: Numbers, at: Rows, *, keep: bool) -> tuple[Numbers, Numbers]:
        """Return begins and ends in those of its runs that stand at `at`, when it can begin from ready on."""


@dataclass(frozen=True, slots=True)
class Alone:
    """Work that nobody does: it begins when it can."""

    minutes: Numbers

    def put(self, ready: Numbers, at: Rows, *, keep: bool) -> tuple[Numbers, Numbers]:  # noqa: ARG002 - see Attended
        """Return begins and ends."""
        return ready, ready + self.minutes[at]


@dataclass(frozen=True, slots=True)
class Attended:
    """Work at a technician's desk, so many minutes from when it is ready, in the runs of rows.

    busy is for how long the technician goes on with something else then, elsewhere the same where the bench was waited
    for: who waits for a bench is at nothing else that needs it.
    """

    desk: Desk
    ready: Numbers
    minutes: Numbers
    rows: Rows
    busy: Numbers
    elsewhere: Numbers

    def put(self, ready: Numbers, at: Rows, *, keep: bool) -> tuple[Numbers, Numbers]:
        """Return begins and ends, and let the desk know of them if they are kept."""
        begins = np.empty(len(ready))
        busy = np.where(ready > self.ready[at], self.elsewhere[at], self.busy[at])
        return begins, self.desk.place(ready, self.minutes[at], self.rows[at], busy, begins=begins, keep=keep)


class Benches:
    """When each bench is free, for a number of runs, in minutes from the start."""

    def __init__(self, benches: Iterable[str], runs: int) -> None:
        self._places = {bench: place * runs for place, bench in enumerate(benches)}
        cells = len(self._places) * runs
        # For each bench and run: its longest pauses, and the moment behind all that is known of it.
        self._since, self._until, self._free = np.zeros((_PAUSES, cells)), np.zeros((_PAUSES, cells)), np.zeros(cells)

    def put(self, benches: Sequence[str], ready: Numbers, rows: Rows, piece: Piece) -> Numbers:
        """Put a piece at one of the benches, by run the first that frees up, and return the moments at which it ends.

        ready are the moments from which it can begin in the runs of rows.
        """
        cells = self._first_free(benches, ready, rows)
        begin, pause = np.maximum(ready, self._free[cells]), np.full(len(rows), _NO_PAUSE)
        for number in range(_PAUSES):
            soon = np.maximum(ready, self._since[number, cells])
            first = self._goes_first(piece, soon, begin, self._until[number, cells])
            begin[first], pause[first] = soon[first], number
        begins, ends = piece.put(begin, np.arange(len(rows)), keep=True)
        known = np.isfinite(ends).nonzero()[0]
        self._hold(cells[known], pause[known], begins[known], ends[known])
        return ends

    def _goes_first(self, piece: Piece, soon: Numbers, begin: Numbers, until: Numbers) -> Rows:
        """Return in which runs a piece that could begin soon does not wait till begin, but goes into a pause."""
        # By the clock it takes its minutes at least.
        first = ((soon + (1 - _MOST_OVER) * piece.minutes <= until) & (soon < begin)).nonzero()[0]
        if not len(first):
            return first
        begins, ends = piece.put(soon[first], first, keep=False)
        done: Rows = first[(1 - _MOST_OVER) * ends + _MOST_OVER * begins <= until[first]]
        return done

    def _first_free(self, benches: Sequence[str], ready: Numbers, rows: Rows) -> Rows:
        if len(benches) == 1:
            return rows + self._places[benches[0]]
        choices = np.array([rows + self._places[bench] for bench in benches])
        first = np.maximum(self._free[choices], ready).argmin(axis=0)
        chosen: Rows = choices[first, np.arange(len(rows))]
        return chosen

    def _hold(self, cells: Rows, pause: Rows, begins: Numbers, ends: Numbers) -> None:
        """Hold the benches, and keep the longest of the pauses that are left.

        What lies in a pause leaves some of it before and behind; what lies behind all others leaves a pause before.
        """
        free, since, until = self._free[cells], self._free[cells], begins.copy()
        self._free[cells] = ends
        inside = (pause != _NO_PAUSE).nonzero()[0]
        if len(inside):
            place = pause[inside], cells[inside]
            since[inside], until[inside] = ends[inside], self._until[place]
            self._until[place] = np.minimum(begins[inside], until[inside])
            self._free[cells[inside]] = free[inside] + np.maximum(0.0, ends[inside] - until[inside])
        for number in range(_PAUSES):
            known_since, known_until = self._since[number, cells], self._until[number, cells]
            longer = (until - since > known_until - known_since).nonzero()[0]
            if len(longer):
                self._since[number, cells[longer]], self._until[number, cells[longer]] = since[longer], until[longer]
                since[longer], until[longer] = known_since[longer], known_until[longer]
