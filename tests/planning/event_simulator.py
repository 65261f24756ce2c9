"""A small event simulator: processes that wait, and that work with a crew of so many hands.

A process is a generator that yields Wait or Work and goes on when that is over. The same simulator plays queues whose
figures are known exactly (tests/external/test_queueing.py) and whole shops (tests/benchmarks/shop_year.py).
"""

from collections.abc import Callable, Generator
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import count


@dataclass(slots=True)
class Crew:
    """So many hands that do one piece of work at a time, by rank and then in the order of asking."""

    hands: int
    waiting: list[tuple[float, int, "Process", "Work"]] = field(default_factory=list)


@dataclass(frozen=True, slots=True)
class Wait:
    minutes: float


@dataclass(frozen=True, slots=True)
class Work:
    """Work with a crew; minutes is asked for how long it takes when hands are free for it."""

    crew: Crew
    minutes: Callable[[], float]
    rank: float = 0


Process = Generator[Wait | Work, float | None, None]


class Events:
    """What happens, in order. A process gets the moment at which its work began, or its wait ended."""

    def __init__(self) -> None:
        self.now = 0.0
        self._heap: list[tuple[float, int, Process, float | None, Crew | None]] = []
        self._count = count()

    def start(self, process: Process, at: float = 0.0) -> None:
        """Let a process begin at a moment; it is advanced to its first yield then."""
        heappush(self._heap, (at, next(self._count), process, None, None))

    def run(self, until: float) -> None:
        """Let everything happen that happens before a moment."""
        while self._heap and self._heap[0][0] < until:
            self.now, _number, process, began, crew = heappop(self._heap)
            if crew:
                crew.hands += 1
            self._advance(process, began)
            if crew:
                self._hand_on(crew)

    def _advance(self, process: Process, value: float | None) -> None:
        try:
            wanted = process.send(value)
        except StopIteration:
            return
        if isinstance(wanted, Wait):
            at = self.now + wanted.minutes
            heappush(self._heap, (at, next(self._count), process, at, None))
            return
        heappush(wanted.crew.waiting, (wanted.rank, next(self._count), process, wanted))
        self._hand_on(wanted.crew)

    def _hand_on(self, crew: Crew) -> None:
        while crew.hands and crew.waiting:
            _rank, number, process, work = heappop(crew.waiting)
            crew.hands -= 1
            heappush(self._heap, (self.now + work.minutes(), number, process, self.now, crew))
