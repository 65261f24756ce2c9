"""A photo of a board laid straight: from its pixels to the board's millimetres and back, by two known points. Pure.

Pixels have their origin top left, y down. Millimetres have the board's origin, lower left seen from the top side, y up.
Both are taken as complex numbers with y up, so that turning and scaling together are one multiplication. A photo of the
bottom side shows x running the other way; its x is turned round first. The photo is taken to be shot squarely: two
points give scale and turn, not a slant.
"""

from cmath import phase
from dataclasses import dataclass
from math import degrees

Point = tuple[float, float]
LEAST_PX = 20.0
LEAST_MM = 5.0


class PointsTooClose(ValueError):
    """The two known points lie so near each other that a slip of the hand would turn the whole photo."""


@dataclass(frozen=True, slots=True)
class Known:
    """One place known in both: its pixel in the photo (y down) and its millimetres on the board (y up)."""

    px: Point
    mm: Point


@dataclass(frozen=True, slots=True)
class Straight:
    """How a photo lies on its board: mm = factor × pixel + shift, as complex numbers with y up."""

    factor: complex
    shift: complex
    mirrored: bool = False

    def to_mm(self, px: Point) -> Point:
        """Return the place on the board, in millimetres, of a pixel."""
        place = self.factor * _upright(px, self.mirrored) + self.shift
        return place.real, place.imag

    def to_px(self, mm: Point) -> Point:
        """Return the pixel, as a fraction too, of a place on the board in millimetres."""
        seen = (complex(*mm) - self.shift) / self.factor
        return -seen.real if self.mirrored else seen.real, -seen.imag

    @property
    def mm_per_px(self) -> float:
        """Return how many millimetres of the board one pixel covers."""
        return abs(self.factor)

    @property
    def turn_deg(self) -> float:
        """Return how far the photo must be turned counterclockwise, -180 to 180 degrees, to show the board upright.

        A photo of the bottom side: upright as seen from below.
        """
        # What turns one way on the board turns the other way for who looks from below.
        return degrees(-phase(self.factor) if self.mirrored else phase(self.factor))

    def svg_matrix(self, width_mm: float, height_mm: float) -> tuple[float, float, float, float, float, float]:
        """Return a to f of SVG's `matrix(a b c d e f)`: puts the photo, drawn at its pixel size, under a drawing.

        The drawing's units are millimetres with the origin top left of a board of this width and height, y down. For
        a mirrored photo it shows the bottom side as seen from below. Source: SVG 1.1, 7.5 (x' = ax + cy + e, y' = bx +
        dy + f).
        """
        factor = self.factor.conjugate() if self.mirrored else self.factor
        left_mm = width_mm - self.shift.real if self.mirrored else self.shift.real
        return factor.real, -factor.imag, factor.imag, factor.real, left_mm, height_mm - self.shift.imag

    def svg_transform(self, width_mm: float, height_mm: float) -> str:
        """Return `matrix(a b c d e f)` as the text of an SVG transform, to nine digits."""
        return f"matrix({' '.join(f'{number + 0.0:.9g}' for number in self.svg_matrix(width_mm, height_mm))})"


def straighten(one: Known, other: Known, *, mirrored: bool = False) -> Straight:
    """Return how a photo lies on its board, from two places known in both; mirrored for a photo of the bottom side.

    Raises PointsTooClose when they are not at least 20 px and 5 mm apart.
    """
    across_px = _upright(other.px, mirrored) - _upright(one.px, mirrored)
    across_mm = complex(*other.mm) - complex(*one.mm)
    if not (abs(across_px) >= LEAST_PX and abs(across_mm) >= LEAST_MM):
        raise PointsTooClose(f"{abs(across_px):.0f} px and {abs(across_mm):.1f} mm apart")
    factor = across_mm / across_px
    return Straight(factor, complex(*one.mm) - factor * _upright(one.px, mirrored), mirrored)


def _upright(px: Point, mirrored: bool) -> complex:
    return complex(-px[0] if mirrored else px[0], -px[1])
