"""Where everything lies on a bench picture: which places get boxes, in which column, at which height. Pure.

Lengths in mm of the board, y down, origin at the board's top left; text goes by the drawing's width.
"""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations
from math import hypot

from shop.work.picture_text import wrapped

COLUMN_MOST = 20
_EM_ACROSS = 38  # how wide a drawing is in heights of its small text
_TALLEST = 1.3  # a board's height beside the width of its drawing
_GAP_EM, LINE_EM, PAD_EM = 1.1, 1.25, 0.4
Place = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing that gets a box: its words, where its leader ends, what is drawn there, or why it is lost."""

    number: str
    name: str = ""
    small: tuple[str, ...]
    large: tuple[str, ...]
    at: Place = (0.0, 0.0)
    lost: str = ""
    marks: str = ""
    now: bool = False
    done: bool = False

    @property
    def label(self) -> str:
        """Return what it is called: its name, else its number."""
        return self.name or self.number


ALONE_SHARE = 0.92  # the share of a board with one place: its large box stands above it, and no column beside it


@dataclass(frozen=True, slots=True)
class Ground:
    """The board or case, and its share of the drawing's width; lengths in mm."""

    width: float
    height: float
    share: float = 0.53

    @property
    def total(self) -> float:
        """Return the width of the whole drawing, in mm."""
        return max(self.width / self.share, self.height / _TALLEST)

    @property
    def em(self) -> float:
        """Return the height of the small text, in mm."""
        return self.total / _EM_ACROSS

    @property
    def gap(self) -> float:
        """Return how far the boxes are from the board, in mm."""
        return self.em * _GAP_EM

    @property
    def left(self) -> float:
        """Return the x of the drawing's left edge, in mm: below 0, since the board begins at 0."""
        return (self.width - self.total) / 2

    @property
    def box(self) -> float:
        """Return the width of a box in a column, in mm."""
        return -self.left - self.gap

    @property
    def lead(self) -> float:
        """Return how far below a box's top its leader begins, in mm: level with its first line."""
        return self.em * (PAD_EM + 0.65)


@dataclass(frozen=True, slots=True)
class Box:
    """A box in a column: its item, its top left, its height, and the edge towards the board where its leader begins."""

    item: Item
    x: float
    y: float
    height: float
    edge: float

    @property
    def corner(self) -> Place:
        """Return its top left corner."""
        return self.x, self.y


def with_boxes(items: Sequence[Item]) -> list[Item]:
    """Return those that get a box: all with a place, or the nearest to the present in working order, at most 40."""
    shown = [item for item in items if not item.lost]
    pins = [index for index, item in enumerate(shown) if item.now]
    pins = pins or [next((index for index, item in enumerate(shown) if not item.done), 0)]
    near = sorted(range(len(shown)), key=lambda index: min(abs(index - pin) for pin in pins))
    return [shown[index] for index in sorted(near[: 2 * COLUMN_MOST])]


def columns_of(ground: Ground, boxed: Sequence[Item]) -> Iterator[Box]:
    """Yield the boxes left and right, of one height, parted by the board's middle unless a column grew tall by it."""
    lines = max((len(small_lines(ground, item)) for item in boxed), default=0)
    height = ground.em * ((1 + lines) * LINE_EM + 2 * PAD_EM)
    step = height + ground.em / 3
    most = max((len(boxed) + 1) // 2, int(ground.height / step))
    ordered = sorted(boxed, key=lambda item: item.at)
    middle = sum(item.at[0] < ground.width / 2 for item in ordered)
    cut = min(max(middle, len(ordered) - most), most)
    near, far = -ground.gap, ground.width + ground.gap
    for items, edge, x in ((ordered[:cut], near, near - ground.box), (ordered[cut:], far, far)):
        tops = _tops(sorted(item.at[1] - ground.lead for item in items), step, ground.height)
        for item, y in zip(_untangled(items, edge, [top + ground.lead for top in tops]), tops, strict=True):
            yield Box(item, x, y, height, edge)


def small_lines(ground: Ground, item: Item) -> list[str]:
    """Return the lines of an item's box in a column, below its head."""
    return wrapped(item.small, ground.box / ground.em - 2 * PAD_EM, 3)


def _tops(wishes: Sequence[float], step: float, height: float) -> list[float]:
    """Return where boxes begin: level with their places (wishes, ascending), pushed apart, about the board's height."""
    over = max(0.0, len(wishes) * step - height) / 2
    tops: list[float] = []
    for wish in wishes:
        tops.append(max(wish, tops[-1] + step if tops else -over))
    ceiling = height + over
    for index in reversed(range(len(tops))):
        ceiling = tops[index] = min(tops[index], ceiling - step)
    return tops


def _untangled(items: Sequence[Item], x: float, starts: Sequence[float]) -> list[Item]:
    """Return items in the order of the starts, so that no two leaders cross.

    Two leaders that cross are together longer than the two with their ends swapped (the triangle inequality), so that
    swapping what gets shorter ends without a crossing.
    """
    order = sorted(items, key=lambda item: item.at[1])

    def long(start: int, item: int) -> float:
        return hypot(order[item].at[0] - x, order[item].at[1] - starts[start])

    shorter = True
    while shorter:
        shorter = False
        for one, two in combinations(range(len(order)), 2):
            if long(one, two) + long(two, one) < long(one, one) + long(two, two) - 1e-9:
                order[one], order[two], shorter = order[two], order[one], True
    return order
