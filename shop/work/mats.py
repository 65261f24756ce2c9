"""Where everything lies on a layout mat: boxes of a list, tiles of a board at true size, boxes beside placements. Pure.

Millimetres from the lower left corner of the sheet, y up; a shape and a tile's view are in those of the board, or of
the board as it is seen from below when it is mirrored.
"""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import islice, product
from math import ceil, cos, radians, sin
from typing import NamedTuple

from shop.boards.spots import Fit, Screw, Side, Spot
from shop.work.mat_crowd import GAP_MM, beside, crowd_on, in_columns
from shop.work.mat_shapes import MatSheet, Rect, Shape, Thing, Tile

MARGIN_MM = 8.0  # what common printers do not reach
HEAD_MM = 27.0
OVERLAP_MM = 10.0
OVERHANG_MM = 4.0  # parts stand out over a board's edge
CROSS_MM = 2.5
RING_MM = 6.0
_LANE_MM = 5.0  # between the board and a column of boxes, where leader lines fan out
_MARKS_MM = 50  # how far apart the overlap crosses are


@dataclass(frozen=True, slots=True)
class MatHead:
    """What a mat is for: the unit's number, its printed tag code and QR address, model, and the board's marking."""

    number: str
    code: str
    address: str
    title: str
    board: str


@dataclass(frozen=True, slots=True)
class PartBox:
    """A placement with what is to be fitted there: part code of the kit line and the marking of its lot."""

    spot: Spot
    kit: str = ""
    lot: str = ""
    fitted: bool = True

    @property
    def empty(self) -> bool:
        """Tell whether nothing is to be fitted there."""
        return not self.fitted or self.spot.fit is Fit.EMPTY


def area_of(width_mm: float, height_mm: float) -> Rect:
    """Return what a sheet of that size has for drawing: inside the margin and below the head."""
    return Rect(MARGIN_MM, MARGIN_MM, width_mm - 2 * MARGIN_MM, height_mm - 2 * MARGIN_MM - HEAD_MM)


def list_boxes(count: int, area: Rect, least: tuple[float, float]) -> list[list[Rect]]:
    """Return so many boxes as rows in columns, page by page: as large as one page lets them, never below the least."""
    if not count:
        return []
    most, high = (int(room / (side + GAP_MM)) for room, side in zip(area[2:], least, strict=True))

    def scale(columns: int) -> float:
        return min(area.width / columns / least[0], area.height / ceil(count / columns) / least[1])

    columns = max(range(min(3, most), most + 1), key=scale)
    rows = min(high, max(ceil(count / columns), high // 2))  # so a box is at most about twice as high as the least
    width, height = area.width / columns, area.height / rows
    places = [
        Rect(area.x + column * width, area.top - (row + 1) * height, width - GAP_MM, height - GAP_MM)
        for row, column in product(range(rows), range(columns))
    ]
    return [places[: count - start] for start in range(0, count, len(places))]


def part_shape(spot: Spot, mirror_mm: float | None = None) -> tuple[Shape, ...]:
    """Return a placement's outline, turned counterclockwise by its rotation, a mark when its size is not known.

    mirror_mm is the board's width when it is seen from below. Nothing when its place is not known.
    """
    if spot.x_mm is None or spot.y_mm is None:
        return ()
    x, sign = (spot.x_mm, 1) if mirror_mm is None else (mirror_mm - spot.x_mm, -1)
    if not spot.width_mm or not spot.depth_mm or min(spot.width_mm, spot.depth_mm) <= 0:
        return (mark_shape(x, spot.y_mm, CROSS_MM),)
    turn, across, along = radians(spot.rotation_deg), spot.width_mm / 2, spot.depth_mm / 2
    corners = tuple(
        (x + sign * (a * cos(turn) - b * sin(turn)), spot.y_mm + a * sin(turn) + b * cos(turn))
        for a, b in ((-across, -along), (across, -along), (across, along), (-across, along))
    )
    xs, ys = zip(*corners, strict=True)
    return (Shape(Rect(min(xs), min(ys), max(xs) - min(xs), max(ys) - min(ys)), corners),)


def mark_shape(x_mm: float, y_mm: float, size_mm: float) -> Shape:
    """Return a mark of that size around a point."""
    return Shape(Rect(x_mm - size_mm / 2, y_mm - size_mm / 2, size_mm, size_mm))


def part_things(boxes: Sequence[PartBox], side: Side, width_mm: float) -> list[Thing]:
    """Return the placements of one side, numbered from 1 over both; the bottom as it is seen from below."""
    mirror = width_mm if side is Side.BOTTOM else None
    return [Thing(n, part_shape(box.spot, mirror)) for n, box in enumerate(boxes, 1) if box.spot.side is side]


def screw_things(screws: Iterable[Screw]) -> list[Thing]:
    """Return the groups of fasteners, numbered from 1, with a ring at each place that is known."""
    return [
        Thing(number, tuple(mark_shape(x, y, RING_MM) for x, y in screw.places_mm))
        for number, screw in enumerate(screws, 1)
    ]


def tiles(size_mm: tuple[float, float], room: Rect) -> list[Tile]:
    """Return the sheets that show a board of that size (width, height) in that room of a sheet, topmost row first."""
    (columns, cuts_x), (rows, cuts_y) = _spans(size_mm[0], room.width), _spans(size_mm[1], room.height)
    found = []
    for (row, down), (column, across) in product(enumerate(reversed(rows), 1), enumerate(columns, 1)):
        own, view = (Rect(a.low, d.low, a.high - a.low, d.high - d.low) for a, d in zip(across, down, strict=True))
        offset = room.centre[0] - view.centre[0], room.centre[1] - view.centre[1]
        xs = tuple(cut for cut in cuts_x if view.x < cut < view.right)
        ys = tuple(cut for cut in cuts_y if view.y < cut < view.top)
        marks_x, marks_y = _marks(view.x, view.right, size_mm[0]), _marks(view.y, view.top, size_mm[1])
        crosses = tuple(dict.fromkeys([*product(xs, marks_y), *product(marks_x, ys)]))
        found.append(Tile(row, column, view, own, offset, (xs, ys), crosses))
    return found


class _Span(NamedTuple):
    low: float
    high: float


def _spans(length: float, room: float) -> tuple[list[tuple[_Span, _Span]], list[float]]:
    """Return what each sheet owns and shows of a length, as even as may be, and the cuts between the sheets.

    Cuts are whole millimetres, so that what is written at a mark is exact; 1 mm of the room is kept for that.
    """
    low, high, half = -OVERHANG_MM, length + OVERHANG_MM, OVERLAP_MM / 2
    count = 1 if high - low <= room else ceil((high - low - OVERLAP_MM) / (room - OVERLAP_MM - 1))
    step = (high - low - OVERLAP_MM) / count
    cuts: list[float] = [round(low + half + step * index) for index in range(1, count)]
    owned = [_Span(*ends) for ends in zip([low, *cuts], [*cuts, high], strict=True)]
    return [(own, _Span(max(low, own.low - half), min(high, own.high + half))) for own in owned], cuts


def _marks(low: float, high: float, length: float) -> list[float]:
    """Return the marks along a seam, every 50 mm from the board's edge."""
    return [float(mark) for mark in range(0, int(length) + 1, _MARKS_MM) if low < mark < high]


def mat_sheets(
    things: Iterable[Thing], size_mm: tuple[float, float], area: Rect, box_mm: tuple[float, float], *, columns: bool
) -> tuple[list[MatSheet], list[int]]:
    """Return the sheets of a board or case at true size, and the numbers of what found no room for its box there.

    Each box has box_mm (width, height) and lies beside its place where that is free, else, if columns are asked for,
    in a column left or right of the board. Things without a shape, or off the board, are among those without room.
    """
    things = list(things)
    margin = box_mm[0] + _LANE_MM if columns else 0.0
    room = Rect(area.x + margin, area.y, area.width - 2 * margin, area.height)
    sheets: list[MatSheet] = []
    boxed: set[int] = set()
    for tile in tiles(size_mm, room):
        shapes = [(n, shape) for n, all_shapes in things for shape in all_shapes if tile.view.overlaps(shape.bounds)]
        mine = _owned(tile, shapes, boxed)
        crowd = crowd_on(tile, [shape.bounds for _, shape in shapes], size_mm)
        callouts = beside(crowd, mine, room, box_mm)
        if columns:
            done = {callout.number for callout in callouts}
            waiting = [(n, bounds[0]) for n, bounds in mine.items() if n not in done]
            callouts += in_columns(waiting, area, box_mm)
        boxed |= {callout.number for callout in callouts}
        sheets.append(MatSheet(tile, shapes, callouts))
    return sheets, [thing.number for thing in things if thing.number not in boxed]


def _owned(tile: Tile, shapes: list[tuple[int, Shape]], boxed: set[int]) -> dict[int, list[Rect]]:
    """Return where on the sheet each thing stands that has its box here, and on no sheet before."""
    mine: dict[int, list[Rect]] = defaultdict(list)
    for number, shape in shapes:
        if number not in boxed and tile.own.covers(Rect(*shape.bounds.centre, 0, 0)):
            mine[number].append(shape.bounds.moved(tile.offset))
    return mine


def circles(count: int, room: Rect) -> list[tuple[float, float, float]]:
    """Return so many circles (x, y, radius) in a room, in rows from the top, from 7 mm across down to 2 mm.

    As many as there is room for when there are more.
    """
    for pitch in (7.0, 6.0, 5.0, 4.0, 3.0, 2.5, 2.0):
        columns, rows = int(room.width / pitch), int(room.height / pitch)
        if columns * rows >= count:
            break
    places = (
        (room.x + pitch * (i + 0.5), room.top - pitch * (j + 0.5)) for j, i in product(range(rows), range(columns))
    )
    return [(x, y, pitch * 0.45) for x, y in islice(places, max(count, 0))]
