"""The cells of a table: numbers in whatever unit and with whatever decimal sign, and words. Pure.

Grave complaints: number_unreadable, number_out_of_range, word_unknown.
"""

import math
import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import TypeVar

from shop.boards.headings import MM_PER, squash
from shop.boards.tables import Complaint, Row, Table, shortened

EDGE_TOLERANCE_MM = 0.5  # how far off a board or a case a place may be typed
_NUMBER = re.compile(r'([+-]?(?:[0-9]+[.,]?[0-9]*|[.,][0-9]+)(?:[eE][+-]?[0-9]+)?)\s*([a-z]+|"|″)?')
_WHOLE = re.compile(r"[0-9]{1,9}(?:[.,]0{1,9})?")
T = TypeVar("T")


def number(text: str, decimal_comma: bool, unit: str = "mm") -> float | None:
    """Return a length in mm: in the unit written behind it (mm, mil, in, "), else in the given one; None if unreadable.

    With decimal_comma a comma is a decimal sign like the point; groups of thousands are never read.
    """
    if len(text) > 40:
        return None  # no number of a board, and the pattern would be slow on a whole page of digits
    found = _NUMBER.fullmatch(text.strip().replace("\N{MINUS SIGN}", "-").lower())
    if found is None or ("," in found[1] and not decimal_comma):
        return None
    written = "in" if found[2] in ('"', "″") else found[2] or unit
    if written not in MM_PER:
        return None
    value = float(found[1].replace(",", "."))
    # To the nanometre, so that 100 mil are 2.54 mm and not a binary fraction beside it.
    length = value if MM_PER[written] == 1 else round(value * MM_PER[written], 6)
    return length if math.isfinite(length) else None


def uses_decimal_comma(table: Table, numbers: Collection[str]) -> bool:
    """Tell whether a comma in the number columns is a decimal sign: no point in any of them, no groups of thousands.

    In a comma-separated file `1,250` in quotes could be either, so that one such number needs another like `3,5`.
    """
    cells = [row.cells[name] for row in table.rows for name in numbers if name in row.cells]
    commas = [cell for cell in cells if "," in cell]
    if any("." in cell for cell in cells):
        return False
    return table.delimiter != "," or any(not re.search(r",[0-9]{3}(?![0-9])", cell) for cell in commas)


@dataclass(frozen=True, slots=True)
class Cells:
    """One row while it is read: its texts, numbers in mm and words; complaints go to the common list."""

    row: Row
    table: Table
    decimal_comma: bool
    complaints: list[Complaint]
    unit: str = ""

    def complain(self, code: str, *, grave: bool = True, **facts: object) -> None:
        """Add a complaint about this row's line; long texts among the facts are cut."""
        short = {name: shortened(fact) if isinstance(fact, str) else fact for name, fact in facts.items()}
        self.complaints.append(Complaint(self.row.line, code, short, grave))

    def text(self, name: str) -> str:
        """Return a cell, empty when it or its column is missing."""
        return self.row.cells.get(name, "")

    def millimetres(self, name: str, low: float = -math.inf, high: float = math.inf) -> float | None:
        """Return a length in mm from low to high; None when there is none, or with a grave complaint."""
        cell = self.text(name)
        if not cell:
            return None
        unit = self.table.units.get(name) or self.table.unit or self.unit or "mm"
        return self._checked(name, cell, number(cell, self.decimal_comma, unit), low, high)

    def degrees(self, name: str) -> float | None:
        """Return an angle in degrees; None when there is none, or with a grave complaint."""
        cell = self.text(name)
        bare = cell.removesuffix("°").removesuffix("deg").strip()
        return self._checked(name, cell, number(bare, self.decimal_comma) if bare[-1:] in "0123456789." else None)

    def whole(self, name: str, low: int, high: int) -> int | None:
        """Return a whole number from low to high; None when there is none, or with a grave complaint."""
        cell = self.text(name)
        found = float(cell.replace(",", ".")) if _WHOLE.fullmatch(cell) else None
        checked = self._checked(name, cell, found, low, high)
        return None if checked is None else int(checked)

    def word(self, name: str, words: Mapping[str, T], *, grave: bool = True) -> T | None:
        """Return what a cell's word means, without regard to case and signs; None when it is empty or unknown."""
        cell = self.text(name)
        meant = words.get(squash(cell)) if cell else None
        if cell and meant is None:
            self.complain("table_word_unknown", grave=grave, field=name, cell=cell)
        return meant

    def on_face(self, x: float | None, y: float | None, size_mm: tuple[float | None, float | None]) -> bool:
        """Tell whether a place is within 0.5 mm of a board or case; a measure that is None does not count."""
        slack = EDGE_TOLERANCE_MM
        return all(
            at is None or most is None or -slack <= at <= most + slack for at, most in zip((x, y), size_mm, strict=True)
        )

    def _checked(
        self, name: str, cell: str, found: float | None, low: float = -math.inf, high: float = math.inf
    ) -> float | None:
        if cell and found is None:
            self.complain("table_number_unreadable", field=name, cell=cell)
        elif found is not None and not low <= found <= high:
            self.complain("table_number_out_of_range", field=name, value=found, low=low, high=high)
            return None
        return found
