"""Colour bands: the colours of resistors as a second way to read three digits.

Source: IEC 60062 (colour digits black to white are 0 to 9; catalogue MK-16 read them at resistorcolorcodes.org/chart).
The shades are this shop's own. A colour never stands alone: the digit is written in or beside it.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Band:
    """One digit as a band: the colour's English name, its paint, and the ink for the digit and its outline.

    ink is black or white, whichever reads on paint at 4.5 to 1 or better (WCAG 2.2, 1.4.3); as an outline it parts the
    band from any ground.
    """

    digit: int
    name: str
    paint: str
    ink: str


_BLACK, _WHITE = "#000000", "#ffffff"
COLOURS = (
    Band(0, "black", "#1a1613", _WHITE),
    Band(1, "brown", "#6b3f1d", _WHITE),
    Band(2, "red", "#b3261e", _WHITE),
    Band(3, "orange", "#e8871e", _BLACK),
    Band(4, "yellow", "#f2d024", _BLACK),
    Band(5, "green", "#2c6e3f", _WHITE),
    Band(6, "blue", "#22519c", _WHITE),
    Band(7, "violet", "#6f3d97", _WHITE),
    Band(8, "grey", "#9a9691", _BLACK),
    Band(9, "white", "#fbf9f4", _BLACK),
)


def bands_of(digits: str) -> tuple[Band, Band, Band]:
    """Return the bands of three digits, such as the "042" of unit 1042. Raises ValueError for anything else."""
    if len(digits) != 3 or not (digits.isascii() and digits.isdigit()):
        raise ValueError(f"three digits are needed, not {digits!r}")
    first, second, third = (COLOURS[int(digit)] for digit in digits)
    return first, second, third
