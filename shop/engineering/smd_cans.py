"""Sizes of aluminium electrolytic SMD cans, and the lead pitch of radial ones. Millimetres.

Sources: nichicon's CD series for the cans (columns A, B, C, E and H of its table; each ± 0.2 mm). That A is the length
of a terminal and E the gap between the two is our reading of the table: 2 A + E is the base or up to 0.6 mm more on
every row, as terminals that end at its edges or stick out are. Panasonic's size letters and the pitch of radial cans
are from memory.
"""

from dataclasses import dataclass, replace

from shop.engineering.inputs import BadInput, Remark, in_range

SIZE_TOLERANCE_MM = 0.2


@dataclass(frozen=True, slots=True)
class Can:
    """A can on its base: diameter and length; terminal length and least and greatest width; base; gap between them."""

    diameter_mm: float
    length_mm: float
    terminal_mm: float
    base_width_mm: float
    base_depth_mm: float
    gap_mm: float
    terminal_width_mm: tuple[float, float]
    remarks: tuple[Remark, ...] = ()

    @property
    def span_mm(self) -> float:
        """Return the length over both terminals, from tip to tip."""
        return round(2 * self.terminal_mm + self.gap_mm, 3)


CANS = (
    Can(4, 5.8, 1.8, 4.3, 4.3, 1.0, (0.5, 0.8)),
    Can(5, 5.8, 2.1, 5.3, 5.3, 1.3, (0.5, 0.8)),
    Can(6.3, 5.8, 2.4, 6.6, 6.6, 2.2, (0.5, 0.8)),
    Can(6.3, 7.7, 2.4, 6.6, 6.6, 2.2, (0.5, 0.8)),
    Can(8, 6.2, 3.3, 8.3, 8.3, 2.3, (0.5, 0.8)),
    Can(8, 10, 2.9, 8.3, 8.3, 3.1, (0.8, 1.1)),
    Can(10, 7.7, 3.2, 10.3, 10.3, 4.5, (0.8, 1.1)),
    Can(10, 10, 3.2, 10.3, 10.3, 4.5, (0.8, 1.1)),
    Can(10, 13.5, 3.2, 10.3, 10.3, 4.5, (0.8, 1.1)),
    Can(12.5, 13.5, 4.8, 13.6, 13.6, 4.0, (1.0, 1.4)),
    Can(16, 16.5, 5.4, 17.1, 17.1, 6.3, (1.0, 1.4)),
    Can(18, 16.5, 6.4, 19.1, 19.1, 6.3, (1.0, 1.4)),
)
# Panasonic's letters, from memory: diameter and length.
SIZE_LETTERS = {"B": (4, 5.8), "C": (5, 5.8), "D": (6.3, 5.8), "E": (8, 6.2), "F": (8, 10.2), "G": (10, 10.2)}
# Radial through-hole cans: diameter and lead pitch, from memory of makers' sheets.
_RADIAL_PITCH_MM = ((4, 1.5), (5, 2.0), (6.3, 2.5), (8, 3.5), (10, 5.0), (12.5, 5.0), (16, 7.5), (18, 7.5))


def can_of(diameter_mm: float, length_mm: float) -> Can:
    """Return the can of a diameter (3 to 20 mm) and a length (3 to 25 mm), each within 0.2 mm.

    Remark `nearest_size` (facts diameter_mm, length_mm: as asked) when they are not the table's own. Raises BadInput:
    not_finite, out_of_range, not_one_of (facts given, choices: the diameters, or the lengths of that diameter). Source:
    nichicon, CD series.
    """
    in_range("diameter_mm", diameter_mm, "mm", 3, 20)
    in_range("length_mm", length_mm, "mm", 3, 25)
    of_diameter = [can for can in CANS if _near(can.diameter_mm, diameter_mm)]
    if not of_diameter:
        diameters = tuple(dict.fromkeys(can.diameter_mm for can in CANS))
        raise BadInput("not_one_of", "diameter_mm", given=diameter_mm, choices=diameters)
    for can in of_diameter:
        if (can.diameter_mm, can.length_mm) == (diameter_mm, length_mm):
            return can
        if _near(can.length_mm, length_mm):
            asked = {"diameter_mm": diameter_mm, "length_mm": length_mm}
            return replace(can, remarks=(Remark("nearest_size", asked),))
    lengths = tuple(can.length_mm for can in of_diameter)
    raise BadInput("not_one_of", "length_mm", given=length_mm, choices=lengths)


def can_of_size_letter(letter: str) -> Can:
    """Return the can of a size letter B to G: Panasonic's letter, from memory, with nichicon's dimensions.

    Remarks `from_memory` (fact of), and `nearest_size` where the two makers' lengths differ. Raises BadInput:
    unreadable.
    """
    size = SIZE_LETTERS.get(letter.strip().upper())
    if size is None:
        raise BadInput("unreadable", "letter", given=letter, like=tuple(SIZE_LETTERS))
    can = can_of(*size)
    return replace(can, remarks=(Remark("from_memory", {"of": "size_letter"}), *can.remarks))


def radial_pitch_mm(diameter_mm: float) -> float:
    """Return the usual lead pitch of a radial can of 3.5 to 18.5 mm: that of the usual diameter nearest to it.

    From memory of makers' sheets. Raises BadInput: not_finite, out_of_range.
    """
    in_range("diameter_mm", diameter_mm, "mm", 3.5, 18.5)
    return min(_RADIAL_PITCH_MM, key=lambda pair: abs(pair[0] - diameter_mm))[1]


def _near(printed_mm: float, asked_mm: float) -> bool:
    # A millionth more, so that 5.6 is within 0.2 of 5.8 in binary too.
    return abs(printed_mm - asked_mm) <= SIZE_TOLERANCE_MM + 1e-6
