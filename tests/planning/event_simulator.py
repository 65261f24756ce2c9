"""A small event simulator: processes that wait, and that work with a crew of so many hands.

A process is a generator that yields Wait or Work and goes on when that is over. Work may need a bench beside the hands:
it begins when both are free, and holds both. The same simulator plays queues whose
figures are known exactly (tests/external/test_queueing.py) and whole shops (tests/benchmarks/shop_year.py).
"""

from collections.abc import Callable, Generator, Sequence
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import count

Asked = tuple[float, int, "Process", "Work"]


@dataclass(slots=True)
class Crew:
    """So many hands that do one piece of work at a time, by rank and then in the order of asking.

    Of what waits the first is taken whose bench has room. A bench is a crew too: its hands are its rooms.
    """

    hands: int
    waiting: list[Asked] = field(default_factory=list)

    @property
    def first(self) -> Asked | None:
        """Return what is begun next, or None when nothing can be."""
        if not self.hands:
            return None
        return min((asked for asked in self.waiting if not asked[3].bench or asked[3].bench.hands), default=None)


@dataclass(frozen=True, slots=True)
class Wait:
    minutes: float


@dataclass(frozen=True, slots=True)
class Work:
    """Work with a crew, at a bench if one is named; minutes is asked for how long it takes when it begins."""

    crew: Crew
    minutes: Callable[[], float]
    rank: float = 0
    bench: Crew | None = None


Process = Generator[Wait | Work, float | None, None]


class Events:
    """What happens, in order. A process gets the moment at which its work began, or its wait ended."""

    def __init__(self) -> None:
        self.now = 0.0
        self._heap: list[tuple[float, int, Process, float | None, Work | None]] = []
        self._count = count()
        self._at_benches: list[Crew] = []

    def start(self, process: Process, at: float = 0.0) -> None:
        """Let a process begin at a moment; it is advanced to its first yield then."""
        heappush(self._heap, (at, next(self._count), process, None, None))

    def run(self, until: float) -> None:
        """Let everything happen that happens before a moment."""
        while self._heap and self._heap[0][0] < until:
            self.now, _number, process, began, work = heappop(self._heap)
            if work:
                work.crew.hands += 1
            if work and work.bench:
                work.bench.hands += 1
            self._advance(process, began)
            if work:
                self._hand_on(self._at_benches if work.bench else [work.crew])

    def _advance(self, process: Process, value: float | None) -> None:
        try:
            wanted = process.send(value)
        except StopIteration:
            return
        if isinstance(wanted, Wait):
            at = self.now + wanted.minutes
            heappush(self._heap, (at, next(self._count), process, at, None))
            return
        if wanted.bench and not any(crew is wanted.crew for crew in self._at_benches):
            self._at_benches.append(wanted.crew)
        wanted.crew.waiting.append((wanted.rank, next(self._count), process, wanted))
        self._hand_on([wanted.crew])

    def _hand_on(self, crews: Sequence[Crew]) -> None:
        """Let work begin as long as any can, the first of all in rank first."""
        while firsts := [(first, crew) for crew in crews if (first := crew.first)]:
            asked, crew = min(firsts, key=lambda pair: pair[0][:2])
            crew.waiting.remove(asked)
            _rank, number, process, work = asked
            crew.hands -= 1
            if work.bench:
                work.bench.hands -= 1
            heappush(self._heap, (self.now + work.minutes(), number, process, self.now, work))
