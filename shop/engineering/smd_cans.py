"""Sizes of aluminium electrolytic SMD cans, and the leads of radial ones. Millimetres.

Sources: nichicon's CD series for the land dimensions (A to E as in its drawing: A half the pad, B and C the base, E the
gap); Panasonic's size letters and the lead pitches of radial cans are from memory.
"""

from dataclasses import dataclass

from shop.engineering.inputs import BadInput, in_range

SIZE_TOLERANCE_MM = 0.2


@dataclass(frozen=True, slots=True)
class Can:
    """A can on its base: diameter and length, length of a terminal, base width and depth, gap between the terminals."""

    diameter_mm: float
    length_mm: float
    terminal_mm: float
    base_width_mm: float
    base_depth_mm: float
    gap_mm: float


CANS = (
    Can(4, 5.8, 1.8, 4.3, 4.3, 1.0),
    Can(5, 5.8, 2.1, 5.3, 5.3, 1.3),
    Can(6.3, 5.8, 2.4, 6.6, 6.6, 2.2),
    Can(6.3, 7.7, 2.4, 6.6, 6.6, 2.2),
    Can(8, 6.2, 3.3, 8.3, 8.3, 2.3),
    Can(8, 10, 2.9, 8.3, 8.3, 3.1),
    Can(10, 7.7, 3.2, 10.3, 10.3, 4.5),
    Can(10, 10, 3.2, 10.3, 10.3, 4.5),
    Can(10, 13.5, 3.2, 10.3, 10.3, 4.5),
    Can(12.5, 13.5, 4.8, 13.6, 13.6, 4.0),
    Can(16, 16.5, 5.4, 17.1, 17.1, 6.3),
    Can(18, 16.5, 6.4, 19.1, 19.1, 6.3),
)
# Panasonic's letters, from memory: diameter and length.
SIZE_LETTERS = {"B": (4, 5.8), "C": (5, 5.8), "D": (6.3, 5.8), "E": (8, 6.2), "F": (8, 10.2), "G": (10, 10.2)}
# Radial through-hole cans: diameter and lead pitch, from memory of makers' sheets.
_RADIAL_PITCH_MM = ((4, 1.5), (5, 2.0), (6.3, 2.5), (8, 3.5), (10, 5.0), (12.5, 5.0), (16, 7.5), (18, 7.5))


def can_of(diameter_mm: float, length_mm: float) -> Can:
    """Return the can of a diameter and a length, each within 0.2 mm. Raises BadInput with `not_one_of`."""
    in_range("diameter_mm", diameter_mm, "mm", 3, 20)
    in_range("length_mm", length_mm, "mm", 3, 25)
    for can in CANS:
        near = abs(can.diameter_mm - diameter_mm) <= SIZE_TOLERANCE_MM
        if near and abs(can.length_mm - length_mm) <= SIZE_TOLERANCE_MM:
            return can
    sizes = tuple(f"{can.diameter_mm:g} × {can.length_mm:g}" for can in CANS)
    raise BadInput("not_one_of", "size", given=f"{diameter_mm:g} × {length_mm:g}", choices=sizes)


def radial_pitch_mm(diameter_mm: float) -> float:
    """Return the usual lead pitch of a radial can of 4 to 18 mm: that of the usual diameter nearest to it.

    From memory of makers' sheets. Raises BadInput.
    """
    in_range("diameter_mm", diameter_mm, "mm", 3.5, 18.5)
    return min(_RADIAL_PITCH_MM, key=lambda pair: abs(pair[0] - diameter_mm))[1]
