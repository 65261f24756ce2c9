"""What a part is sold for, from what it cost: a mark-up that falls as parts become dearer. Pure; minor units."""

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from itertools import pairwise

from shop.core.money import Rounding, exact_share, to_step


@dataclass(frozen=True, slots=True)
class Band:
    """A mark-up for parts that cost from_cost_minor or more, up to the next band.

    markup_millipercent is added to the cost, 50,000 for half as much again, and at least least_minor is. Raises
    ValueError for anything below zero.
    """

    from_cost_minor: int
    markup_millipercent: int
    least_minor: int

    def __post_init__(self) -> None:
        if min(self.from_cost_minor, self.markup_millipercent, self.least_minor) < 0:
            raise ValueError(f"not a band of mark-ups: {self}")


def part_price(cost_minor: int, bands: Sequence[Band], *, step_minor: int = 1) -> int:
    """Return the price of a part that cost cost_minor; without any band that is what it cost.

    The price is cost and mark-up, rounded up once to whole steps of step_minor, so never below the cost and the least
    of its band. A dearer part is never cheaper: where a band marks up less than the one before, the price stays at what
    the dearest part of the lower band comes to until the higher band's own price is above that. Mark-ups in bands are
    common practice. Raises ValueError for a cost below zero, a step below 1, and for bands that do not rise from 0.
    """
    bands = bands or (Band(0, 0, 0),)
    starts = [band.from_cost_minor for band in bands]
    if cost_minor < 0 or starts[0] or any(start >= after for start, after in pairwise(starts)):
        raise ValueError(f"cannot mark up {cost_minor} in bands that begin at {starts}")
    reached = [band for band in bands if band.from_cost_minor <= cost_minor]
    dearest = [start - 1 for start in starts[1 : len(reached)]]
    exact = max(_marked_up(cost, band) for cost, band in zip([*dearest, cost_minor], reached, strict=True))
    return to_step(exact, step_minor, Rounding.UP)


def _marked_up(cost_minor: int, band: Band) -> Decimal:
    return cost_minor + max(exact_share(cost_minor, band.markup_millipercent), Decimal(band.least_minor))
