"""Which benches are taken when. A bench stays taken while work at it pauses over night."""

from bisect import bisect_left
from collections.abc import Iterable, Sequence

from shop.planning.assigning.plan_facts import Bench, Span


class BenchTime:
    """Spans in which each bench is taken, in order; benches are numbers."""

    def __init__(self, benches: Sequence[Bench], held: Iterable[tuple[int, Span]]) -> None:
        self.spans: list[list[Span]] = [[] for _ in benches]
        for bench, span in held:
            self.take(bench, span)

    def take(self, bench: int, span: Span) -> None:
        """Take a bench for a span; where fixed work lies across other work the two become one."""
        spans = self.spans[bench]
        place = bisect_left(spans, span)
        if place and spans[place - 1][1] > span[0]:
            place -= 1
            span = spans[place][0], max(span[1], spans.pop(place)[1])
        while place < len(spans) and spans[place][0] < span[1]:
            span = span[0], max(span[1], spans.pop(place)[1])
        spans.insert(place, span)

    def free_from(self, bench: int, span: Span) -> int:
        """Return the slot from which the bench could be free for the span: its begin when it is free already."""
        spans = self.spans[bench]
        place = bisect_left(spans, (span[1],))
        if place and spans[place - 1][1] > span[0]:
            return spans[place - 1][1]
        return span[0]

    def first_free(self, benches: Sequence[int], span: Span) -> tuple[int, int]:
        """Return a slot and a bench: the first of the benches that is free for the span, or frees up soonest."""
        soonest = -1, -1
        for bench in benches:
            slot = self.free_from(bench, span)
            if slot == span[0]:
                return slot, bench
            if soonest[0] < 0 or slot < soonest[0]:
                soonest = slot, bench
        return soonest

    def hold(self, benches: Sequence[int], ready: int, slots: int) -> tuple[int, int]:
        """Take whichever of the benches can be had soonest for so many slots in a row; return bench and begin."""
        slot, bench = self.first_free(benches, (ready, ready + slots))
        while slot != ready:
            ready = slot
            slot, bench = self.first_free(benches, (ready, ready + slots))
        self.take(bench, (ready, ready + slots))
        return bench, ready
