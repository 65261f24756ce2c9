"""What a layout mat is laid out of: rectangles, shapes, tiles of a board, boxes with leader lines. Pure.

Millimetres, y up; a shape and a tile's view are in those of the board, or of the board as it is seen from below when it
is mirrored.
"""

from typing import NamedTuple


class Rect(NamedTuple):
    """A rectangle by its lower left corner."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Return the x of its right edge."""
        return self.x + self.width

    @property
    def top(self) -> float:
        """Return the y of its upper edge."""
        return self.y + self.height

    @property
    def centre(self) -> tuple[float, float]:
        """Return its middle."""
        return self.x + self.width / 2, self.y + self.height / 2

    def nearest(self, point: tuple[float, float]) -> tuple[float, float]:
        """Return the point in it that is nearest to another."""
        return min(max(point[0], self.x), self.right), min(max(point[1], self.y), self.top)

    def grown(self, by: float) -> "Rect":
        """Return it larger by so much on every side."""
        return Rect(self.x - by, self.y - by, self.width + 2 * by, self.height + 2 * by)

    def moved(self, by: tuple[float, float]) -> "Rect":
        """Return it moved."""
        return Rect(self.x + by[0], self.y + by[1], self.width, self.height)

    def overlaps(self, other: "Rect") -> bool:
        """Tell whether both cover some area."""
        x, y, width, height = other  # asked for each placement on each sheet: without properties, which are slow
        return self.x < x + width and x < self.x + self.width and self.y < y + height and y < self.y + self.height

    def covers(self, other: "Rect") -> bool:
        """Tell whether the other lies inside, a hair of rounding allowed."""
        (x, y, width, height), (low_x, low_y, wide, high) = other, self
        inside = low_x - 1e-6 <= x and x + width <= low_x + wide + 1e-6
        return inside and low_y - 1e-6 <= y and y + height <= low_y + high + 1e-6


class Shape(NamedTuple):
    """What is drawn at a place: an outline by its corners; a mark of a fixed size when there are none."""

    bounds: Rect
    corners: tuple[tuple[float, float], ...] = ()


class Thing(NamedTuple):
    """What gets one box: its number, and its shapes, none when its place is not known."""

    number: int
    shapes: tuple[Shape, ...]


class Tile(NamedTuple):
    """One sheet's part of a board: row from the top and column, from 1.

    view is what the sheet shows and own the part of it whose placements have their boxes on this sheet; offset takes
    board millimetres to the sheet's. seams are the middles of the overlaps, x and y, and crosses the marks on them.
    """

    row: int
    column: int
    view: Rect
    own: Rect
    offset: tuple[float, float]
    seams: tuple[tuple[float, ...], tuple[float, ...]]
    crosses: tuple[tuple[float, float], ...]


class Callout(NamedTuple):
    """The box of a thing on a sheet, and the leader line that joins it to its place."""

    number: int
    box: Rect
    leader: tuple[float, float, float, float]


class MatSheet(NamedTuple):
    """A sheet of a mat: its tile, the shapes on it with the numbers of their things (board mm), and the boxes."""

    tile: Tile
    shapes: list[tuple[int, Shape]]
    callouts: list[Callout]
