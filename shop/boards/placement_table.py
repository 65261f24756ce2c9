"""Placements as a table: what layout programs write and people type, read with every complaint at its line. Pure.

Beside the codes of `tables` (each begins with table_), grave: designator_malformed, designator_twice,
coordinate_missing, off_board, unit_needed, rating_impossible, fit_contradicts, variants_missing, positive_missing.
Remarks: value_unreadable, kind_against_letter, positive_from_rotation, and word_unknown of a kind or a mount, which is
guessed then.
"""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal

from shop.boards.cells import Cells, uses_decimal_comma
from shop.boards.designators import DESIGNATOR, kinds_of, tidy
from shop.boards.guesses import (
    guess_kind,
    guess_mount,
    positive_of,
    read_value,
    read_volts,
    size_of,
    split_rating,
)
from shop.boards.spots import Fit, Kind, Mount, Points, Side, Spot
from shop.boards.tables import Complaint, Table, read_table, write_table

MOST_VOLTS = 1000
MOST_MM = 1000.0  # no board is larger: the numbers are in another unit
_SIZE_MM = (0.1, 500.0)
# Each field's headings, the best first; a unit may stand behind them.
COLUMNS: dict[str, tuple[str, ...]] = {
    "designator": ("designator", "refdes", "reference", "references", "ref", "reference designator", "part", "parts"),
    "value": ("value", "val", "comment"),
    "rating": ("rating", "voltage", "rated voltage"),
    "kind": ("kind", "type"),
    "mount": ("mount", "mounting", "mount type"),
    "package": ("package", "footprint", "pattern"),
    "x_mm": ("x", "pos x", "mid x", "center x", "centre x"),
    "y_mm": ("y", "pos y", "mid y", "center y", "centre y"),
    "width_mm": ("width",),
    "depth_mm": ("depth",),
    "height_mm": ("height",),
    "rotation_deg": ("rotation", "rotation deg", "rot", "angle", "orientation"),
    "positive": ("positive", "polarity"),
    "positive_checked": ("positive checked",),
    "side": ("side", "layer", "tb"),
    "fit": ("fit", "fitted", "populated"),
    "dnp": ("dnp", "dnf", "do not populate", "not fitted"),
    "variants": ("variants", "variant"),
    "note": ("note", "notes", "remark"),
}
_LENGTHS = ("x_mm", "y_mm", "width_mm", "depth_mm", "height_mm")
_TOLD = tuple(name for name in COLUMNS if name != "dnp")  # what is written: the fields of a Spot
_YES = dict.fromkeys(("yes", "y", "true", "1", "x"), True)
_NO = dict.fromkeys(("no", "n", "false", "0"), False)
_EMPTY = ("empty", "dnp", "dnf", "notfitted", "notpopulated", "nofit", "donotpopulate")
_FITS = (
    dict.fromkeys((*_YES, "fitted", "fit", "populated"), Fit.FITTED)
    | dict.fromkeys((*_NO, *_EMPTY), Fit.EMPTY)
    | dict.fromkeys(("variant", "variants"), Fit.VARIANT)
)
_NOT_FITS = dict.fromkeys((*_YES, *_EMPTY), Fit.EMPTY) | dict.fromkeys(_NO, Fit.FITTED)
_SIDES = dict.fromkeys(("top", "t", "toplayer", "topside", "fcu", "front"), Side.TOP) | dict.fromkeys(
    ("bottom", "b", "bot", "bottomlayer", "bottomside", "bcu", "back"), Side.BOTTOM
)
_MOUNTS = dict.fromkeys(("through", "tht", "th", "pth", "throughhole"), Mount.THROUGH) | dict.fromkeys(
    ("surface", "smd", "smt", "surfacemount"), Mount.SURFACE
)
_POINTS = {points.value: points for points in Points if points}
_KINDS = {kind.value: kind for kind in Kind}
_CAPACITORS = frozenset({Kind.CAPACITOR, Kind.ELECTROLYTIC, Kind.TANTALUM, Kind.CERAMIC, Kind.FILM})


@dataclass(frozen=True, slots=True)
class Reading:
    """The placements of a table; each designator's line, and the fields that its row gave; complaints in line order."""

    spots: tuple[Spot, ...]
    lines: Mapping[str, int]
    given: Mapping[str, frozenset[str]]
    complaints: tuple[Complaint, ...]


def read_placements(
    text: str,
    *,
    unit: Literal["mm", "mil", ""] = "",
    width_mm: float | None = None,
    height_mm: float | None = None,
) -> Reading:
    """Return the placements of a table, with all that is wrong with it; nothing raises.

    A length's unit is that behind the number, else in the heading, else of a unit line, else the argument's, else mm.
    width_mm and height_mm are the board's, in mm. Kind, mount and where the positive lead points are guessed where the
    row does not say; rating and size only in a file that has no column for them. What was guessed is not in `given`.
    """
    table = read_table(text, COLUMNS, ("designator",))
    complaints = list(table.complaints)
    comma = uses_decimal_comma(table, (*_LENGTHS, "rotation_deg"))
    spots: dict[str, Spot] = {}
    lines: dict[str, int] = {}
    given: dict[str, frozenset[str]] = {}
    for row in table.rows:
        cells = Cells(row, table, comma, complaints, unit)
        designator = tidy(cells.text("designator"))
        if not DESIGNATOR.match(designator):
            cells.complain("table_designator_malformed", designator=designator)
        elif designator in spots:
            cells.complain("table_designator_twice", designator=designator, first=lines[designator])
        else:
            spots[designator] = _spot(cells, designator, (width_mm, height_mm))
            lines[designator], given[designator] = row.line, _given(cells)
    complaints += _absurd(table, spots, unit)
    return Reading(tuple(spots.values()), lines, given, tuple(sorted(complaints, key=lambda each: each.line)))


def write_placements(spots: Iterable[Spot]) -> str:
    """Return CSV in mm with our field names as headings, which `read_placements` reads back as equal spots.

    That holds for spots as the library keeps them: texts without blanks around them, variants without `;` `,` or `|`.
    """
    return write_table(_TOLD, ([_told(spot, name) for name in _TOLD] for spot in spots))


def _spot(cells: Cells, designator: str, board_mm: tuple[float | None, float | None]) -> Spot:
    package, printed = cells.text("package"), _printed(cells)
    kind = cells.word("kind", _KINDS, grave=False)
    mount = cells.word("mount", _MOUNTS, grave=False)
    spot = Spot(
        designator=designator,
        kind=kind or guess_kind(designator, printed["value"], package),
        mount=mount or guess_mount(package),
        package=package,
        side=cells.word("side", _SIDES) or Side.TOP,
        note=cells.text("note"),
        **printed,
        **_placed(cells, designator, board_mm),
        **_sized(cells, package),
        **_fitted(cells),
    )
    _check_words(cells, spot)
    return replace(spot, **_oriented(cells, spot))


def _printed(cells: Cells) -> dict[str, Any]:
    """Return value and rating: as they stand where the file has a column for the rating, else taken apart."""
    value, rating = cells.text("value"), cells.text("rating")
    if "rating" not in cells.table.columns:
        value, rating = split_rating(value)
    return {"value": value, "rating": rating}


def _placed(cells: Cells, designator: str, board_mm: tuple[float | None, float | None]) -> dict[str, Any]:
    x, y = cells.millimetres("x_mm"), cells.millimetres("y_mm")
    if bool(cells.text("x_mm")) != bool(cells.text("y_mm")):
        cells.complain(
            "table_coordinate_missing", designator=designator, field="y_mm" if cells.text("x_mm") else "x_mm"
        )
    elif not cells.on_face(x, y, board_mm):
        width, height = board_mm
        cells.complain("table_off_board", designator=designator, x_mm=x, y_mm=y, width_mm=width, height_mm=height)
    return {"x_mm": x, "y_mm": y, "rotation_deg": cells.degrees("rotation_deg") or 0.0}


def _sized(cells: Cells, package: str) -> dict[str, Any]:
    sizes = {name: cells.millimetres(name, *_SIZE_MM) for name in _LENGTHS[2:]}
    if not cells.table.columns & {"width_mm", "depth_mm"}:
        sizes["width_mm"], sizes["depth_mm"] = size_of(package)
    return sizes


def _fitted(cells: Cells) -> dict[str, Any]:
    """Return whether it is fitted, by either column: they say the opposite with the same words."""
    variants = tuple(name.strip() for name in cells.text("variants").replace("|", ";").replace(",", ";").split(";"))
    variants = tuple(name for name in variants if name)
    fit, dnp = cells.word("fit", _FITS), cells.word("dnp", _NOT_FITS)
    if dnp and fit and (dnp is Fit.EMPTY) != (fit is Fit.EMPTY):
        cells.complain("table_fit_contradicts", fit=cells.text("fit"), dnp=cells.text("dnp"))
    if fit is Fit.VARIANT and not variants:
        cells.complain("table_variants_missing")
    return {"variants": variants, "fit": fit or dnp or (Fit.VARIANT if variants else Fit.FITTED)}


def _oriented(cells: Cells, spot: Spot) -> dict[str, Any]:
    """Return where the positive lead points and whether somebody said so; where nobody did, reckon it."""
    positive = cells.word("positive", _POINTS)
    if positive or cells.text("positive") or not spot.polarised or spot.fit is Fit.EMPTY:
        checked = cells.word("positive_checked", _YES | _NO)
        return {"positive": positive or Points.UNKNOWN, "positive_checked": checked is not False}
    if cells.text("rotation_deg"):
        reckoned = positive_of(spot.kind, spot.rotation_deg)
        facts = {"rotation_deg": spot.rotation_deg, "positive": str(reckoned)}
        cells.complain("table_positive_from_rotation", grave=False, designator=spot.designator, **facts)
        return {"positive": reckoned, "positive_checked": False}
    cells.complain("table_positive_missing", designator=spot.designator)
    return {}


def _check_words(cells: Cells, spot: Spot) -> None:
    """Complain of a rating that cannot be, and remark on what looks wrong."""
    volts = read_volts(spot.rating)
    unread = volts is None and bool(spot.rating) and spot.kind in _CAPACITORS
    if unread or (volts is not None and not 0 < volts <= MOST_VOLTS):
        cells.complain("table_rating_impossible", designator=spot.designator, rating=spot.rating, most_v=MOST_VOLTS)
    units = ("F", "") if spot.kind in _CAPACITORS else ("Ω", "") if spot.kind is Kind.RESISTOR else None
    value = read_value(spot.value)
    if units and spot.value and (value is None or value[1] not in units):
        cells.complain("table_value_unreadable", grave=False, designator=spot.designator, value=spot.value)
    if spot.kind is not Kind.OTHER and spot.kind not in kinds_of(spot.designator):
        cells.complain("table_kind_against_letter", grave=False, designator=spot.designator, kind=str(spot.kind))


def _given(cells: Cells) -> frozenset[str]:
    """Return the fields of a Spot that the row itself said, with those that follow from one of them."""
    given = {name for name in cells.row.cells if cells.text(name)} - {"positive_checked"}
    if "dnp" in given or "variants" in given:
        given |= {"fit"}
    if "positive" in given:
        given |= {"positive_checked"}
    if "value" in given and "rating" not in cells.table.columns and split_rating(cells.text("value"))[1]:
        given |= {"rating"}
    return frozenset(given - {"dnp"})


def _absurd(table: Table, spots: Mapping[str, Spot], unit: str) -> list[Complaint]:
    """Return the complaint that the unit is needed, when the board would be larger than a metre."""
    places = [abs(at) for spot in spots.values() for at in (spot.x_mm, spot.y_mm) if at is not None]
    if max(places, default=0.0) <= MOST_MM:
        return []
    taken = table.units.get("x_mm") or table.unit or unit or "mm"
    return [Complaint(1, "table_unit_needed", {"farthest_mm": max(places), "unit": taken, "most_mm": MOST_MM})]


def _told(spot: Spot, name: str) -> str | float | None:
    told = getattr(spot, name)
    if name == "variants":
        return ";".join(told)
    if name == "positive_checked":
        return "yes" if told else "no"
    return str(told) if isinstance(told, str) else told  # an enumerated word as its text
