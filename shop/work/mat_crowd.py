"""Where the boxes of a layout mat find room on a sheet: beside their places, or in two columns. Pure.

Millimetres from the lower left corner of the sheet, y up.
"""

from bisect import bisect_left
from collections import defaultdict
from collections.abc import Iterable, Iterator
from itertools import product

from shop.work.mat_shapes import Callout, Rect, Tile

GAP_MM = 1.0  # between boxes
_DISTANCES_MM = (1.4, 7.0)  # how far from its placement a box is tried
_CELL_MM = 15.0


class Crowd:
    """Rectangles in cells, so that whether a place is free is asked of its neighbours alone."""

    def __init__(self) -> None:
        self._cells: defaultdict[tuple[int, int], list[tuple[float, float, float, float]]] = defaultdict(list)

    def add(self, rect: Rect) -> None:
        """Take a rectangle in."""
        for cell in self._cells_of(rect):
            self._cells[cell].append((rect.x, rect.y, rect.right, rect.top))

    def free(self, rect: Rect) -> bool:
        """Tell whether nothing that was taken in overlaps a rectangle."""
        x, y, width, height = rect
        right, top = x + width, y + height
        for cell in self._cells_of(rect):
            for left, low, far, high in self._cells.get(cell, ()):
                if left < right and x < far and low < top and y < high:
                    return False
        return True

    @staticmethod
    def _cells_of(rect: Rect) -> Iterator[tuple[int, int]]:
        x, y, width, height = rect
        xs = range(int(x // _CELL_MM), int((x + width) // _CELL_MM) + 1)
        return product(xs, range(int(y // _CELL_MM), int((y + height) // _CELL_MM) + 1))


def crowd_on(tile: Tile, bounds: Iterable[Rect], size_mm: tuple[float, float]) -> Crowd:
    """Return where no box may lie on a sheet: on a placement, on the board's edge, on a mark of an overlap.

    bounds are those of the placements, in mm of the board, and size_mm is the board's (width, height).
    """
    (width, height), hair = size_mm, Rect(0, 0, 0, 0).grown(0.3)
    edges = [hair._replace(width=width), hair._replace(height=height)]
    edges += [edges[0].moved((0, height)), edges[1].moved((width, 0))]
    crosses = [Rect(x - 14, y - 2.5, 28, 6) for x, y in tile.crosses]  # with what is written beside it
    crowd = Crowd()
    for rect in filter(tile.view.overlaps, (*bounds, *edges, *crosses)):
        (x, y), (right, top) = tile.view.nearest((rect.x, rect.y)), tile.view.nearest((rect.right, rect.top))
        crowd.add(Rect(x, y, right - x, top - y).moved(tile.offset))
    return crowd


def beside(crowd: Crowd, mine: dict[int, list[Rect]], room: Rect, box_mm: tuple[float, float]) -> list[Callout]:
    """Return the boxes that find room close to their places, where the sheet is free; the crowd takes them in.

    mine: the places of each thing by its number; room: where boxes may lie; box_mm: (width, height) of each.
    """
    callouts = []
    for number, places in mine.items():
        for place, box in _tries(places, box_mm):
            if room.covers(box) and crowd.free(box):
                crowd.add(box.grown(GAP_MM))
                callouts.append(_callout(number, box, place))
                break
    return callouts


def _tries(places: Iterable[Rect], box_mm: tuple[float, float]) -> Iterator[tuple[Rect, Rect]]:
    """Yield a place and where a box might lie: right, left, above, below, then the corners; near, then farther off."""
    width, height = box_mm
    for place, far in product(places, _DISTANCES_MM):
        x, y = place.centre
        xs = (place.right + far, place.x - far - width, x - width / 2)
        ys = (place.top + far, place.y - far - height, y - height / 2)
        for i, j in ((0, 2), (1, 2), (2, 0), (2, 1), (0, 0), (1, 0), (0, 1), (1, 1)):
            yield place, Rect(xs[i], ys[j], width, height)


def in_columns(waiting: list[tuple[int, Rect]], area: Rect, box_mm: tuple[float, float]) -> list[Callout]:
    """Return boxes in the two columns, from top to bottom as their places are, so that few leader lines cross.

    waiting: number and place of each thing; area: between whose sides the columns lie; box_mm: (width, height) of each
    box. What finds no room in either column is left out.
    """
    width, height = box_mm
    pitch = height + GAP_MM
    slots = int(area.height / pitch)
    by_x = sorted(waiting, key=lambda one: one[1].centre[0])
    middle = bisect_left([place.centre[0] for _, place in by_x], area.centre[0])
    cut = min(slots, max(middle, len(by_x) - slots))
    callouts = []
    for x, column in ((area.x, by_x[:cut]), (area.right - width, by_x[cut : cut + slots])):
        column.sort(key=lambda one: -one[1].centre[1])
        wanted = [int((area.top - place.centre[1]) / pitch) for _, place in column]
        for slot, (number, place) in zip(_slots(wanted, slots), column, strict=True):
            callouts.append(_callout(number, Rect(x, area.top - height - slot * pitch, width, height), place))
    return callouts


def _slots(wanted: list[int], slots: int) -> list[int]:
    """Return a slot of its own for each, in the order given and close to the wanted one."""
    taken: list[int] = []
    for index, want in enumerate(wanted):
        last = slots - (len(wanted) - index)  # leaves one for each that follows
        taken.append(min(max(want, taken[-1] + 1 if taken else 0), last))
    return taken


def _callout(number: int, box: Rect, place: Rect) -> Callout:
    start = place.nearest(box.centre)
    return Callout(number, box, (*start, *box.nearest(start)))
