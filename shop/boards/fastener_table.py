"""Fasteners as a table: rows with one label are one group with several places. Pure.

Beside the codes of `tables`, grave: label_malformed, where_missing, coordinate_missing, off_case, group_contradicts.
Remarks: where_differs, count_raised, order_shared, no_warning.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from shop.boards.cells import Cells, uses_decimal_comma
from shop.boards.spots import Screw
from shop.boards.tables import Complaint, read_table, write_table

MOST_COUNT, MOST_ORDER = 100, 99
LENGTH_MM = (0.5, 200.0)
COLUMNS: dict[str, tuple[str, ...]] = {
    "label": ("label", "group"),
    "where": ("where", "position", "location"),
    "x_mm": ("x", "pos x"),
    "y_mm": ("y", "pos y"),
    "drive": ("drive",),
    "bit": ("bit",),
    "thread": ("thread",),
    "length_mm": ("length",),
    "count": ("count", "quantity", "qty"),
    "order": ("order",),
    "warning": ("warning", "caution"),
}
_LABEL = re.compile(r"[A-Z0-9]{1,3}")
_SAME = ("drive", "bit", "thread", "length_mm", "order", "count")  # what one group has one of
_WORDS = ("where", "warning")  # of which the first is kept


@dataclass(frozen=True, slots=True)
class Reading:
    """The groups of a table; each label's first line, and the fields that its rows gave; complaints in line order."""

    screws: tuple[Screw, ...]
    lines: Mapping[str, int]
    given: Mapping[str, frozenset[str]]
    complaints: tuple[Complaint, ...]


@dataclass(frozen=True, slots=True)
class _Line:
    """One row as read: its cells, what they say by the fields of a Screw, and its place."""

    cells: Cells
    says: dict[str, Any]
    place_mm: tuple[float, float] | None


def read_fasteners(text: str, *, width_mm: float | None = None, height_mm: float | None = None) -> Reading:
    """Return the groups of fasteners of a table, with all that is wrong with it; nothing raises.

    Lengths are mm unless the table names a unit; width_mm and height_mm are the case's, in mm. A group without an order
    is taken to come out where it stands in the table; one without a count has one for each place.
    """
    table = read_table(text, COLUMNS, ("label", "where"))
    complaints = list(table.complaints)
    comma = uses_decimal_comma(table, ("x_mm", "y_mm", "length_mm"))
    groups: dict[str, list[_Line]] = {}
    for row in table.rows:
        cells = Cells(row, table, comma, complaints)
        label = "".join(cells.text("label").split()).upper()
        if _LABEL.fullmatch(label):
            groups.setdefault(label, []).append(_line(cells, label, (width_mm, height_mm)))
        else:
            cells.complain("table_label_malformed", label=label)
    screws = tuple(_screw(label, lines, at) for at, (label, lines) in enumerate(groups.items(), 1))
    firsts = {label: lines[0].cells for label, lines in groups.items()}
    _remark_orders(screws, firsts)
    _remark_lengths(screws, firsts)
    return Reading(
        screws,
        {label: cells.row.line for label, cells in firsts.items()},
        {label: _given(lines) for label, lines in groups.items()},
        tuple(sorted(complaints, key=lambda each: each.line)),
    )


def write_fasteners(screws: Iterable[Screw]) -> str:
    """Return CSV in mm, one row for each known place of a group; `read_fasteners` reads it back as equal groups."""
    rows = (
        [place[column] if column in place else getattr(screw, column) for column in COLUMNS]
        for screw in screws
        for place in ({"x_mm": x, "y_mm": y} for x, y in screw.places_mm or ((None, None),))
    )
    return write_table(tuple(COLUMNS), rows)


def _line(cells: Cells, label: str, case_mm: tuple[float | None, float | None]) -> _Line:
    x, y = cells.millimetres("x_mm"), cells.millimetres("y_mm")
    if bool(cells.text("x_mm")) != bool(cells.text("y_mm")):
        cells.complain("table_coordinate_missing", label=label, field="y_mm" if cells.text("x_mm") else "x_mm")
    elif not cells.on_face(x, y, case_mm):
        cells.complain("table_off_case", label=label, x_mm=x, y_mm=y, width_mm=case_mm[0], height_mm=case_mm[1])
    says: dict[str, Any] = {name: cells.text(name) for name in ("where", "drive", "bit", "thread", "warning")}
    says["length_mm"] = cells.millimetres("length_mm", *LENGTH_MM)
    says["count"] = cells.whole("count", 1, MOST_COUNT)
    says["order"] = cells.whole("order", 1, MOST_ORDER)
    return _Line(cells, says, (x, y) if x is not None and y is not None else None)


def _screw(label: str, lines: list[_Line], at: int) -> Screw:
    """Return the rows of a label as one group, the at-th of the table."""
    says = {name: _one(label, lines, name) for name in (*_SAME, *_WORDS)}
    places = tuple(line.place_mm for line in lines if line.place_mm)
    first = lines[0].cells
    if not says["where"]:
        first.complain("table_where_missing", label=label)
    if len(places) > MOST_COUNT:
        first.complain("table_number_out_of_range", field="count", value=len(places), low=1, high=MOST_COUNT)
    # A table with a row for each screw says 1 in each of them; that is no remark.
    if says["count"] and 1 < says["count"] < len(places):
        first.complain("table_count_raised", grave=False, label=label, count=says["count"], places=len(places))
    says["count"] = max(says["count"] or 1, len(places))
    says["order"] = says["order"] or min(at, MOST_ORDER)
    return Screw(label=label, places_mm=places, **says)


def _one(label: str, lines: list[_Line], name: str) -> Any:
    """Return what the rows of a group say of one field: the first that says anything, with a complaint of others."""
    first = None
    for line in lines:
        said = line.says[name]
        if first in (None, ""):
            first = said
        elif said not in (None, "", first):
            code = "table_where_differs" if name in _WORDS else "table_group_contradicts"
            facts = {"label": label, "field": name, "cell": line.cells.text(name)}
            line.cells.complain(code, grave=name not in _WORDS, **facts)
    return first


def _given(lines: list[_Line]) -> frozenset[str]:
    given = {name for line in lines for name, said in line.says.items() if said not in (None, "")}
    return frozenset(given | {"label"} | ({"places_mm"} if any(line.place_mm for line in lines) else set()))


def _remark_orders(screws: tuple[Screw, ...], firsts: Mapping[str, Cells]) -> None:
    seen: dict[int, str] = {}
    for screw in screws:
        other = seen.setdefault(screw.order, screw.label)
        if other != screw.label:
            firsts[screw.label].complain(
                "table_order_shared", grave=False, label=screw.label, other=other, order=screw.order
            )


def _remark_lengths(screws: tuple[Screw, ...], firsts: Mapping[str, Cells]) -> None:
    """Remark on each group without a warning into which a longer screw of the same or an unknown thread could go."""
    measured = sorted((screw for screw in screws if screw.length_mm), key=_length)
    longest = {screw.thread: screw for screw in measured}  # the last of each thread
    for screw in measured:
        threads = (screw.thread, "") if screw.thread else longest
        longer = max((longest[thread] for thread in threads if thread in longest), key=_length)
        if not screw.warning and _length(longer) > _length(screw):
            facts = {"length_mm": screw.length_mm, "longer": longer.label, "longer_mm": longer.length_mm}
            firsts[screw.label].complain("table_no_warning", grave=False, label=screw.label, **facts)


def _length(screw: Screw) -> float:
    return screw.length_mm or 0.0
