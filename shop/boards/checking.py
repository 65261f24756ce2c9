"""Whether what is entered of a board can be: one placement or group of fasteners at a time, for pages and API."""

import math
import re
from dataclasses import replace

from django.utils.translation import gettext as _

from shop.boards.designators import DESIGNATOR, tidy
from shop.boards.guesses import read_volts
from shop.boards.models import BoardEdition
from shop.boards.spots import Fit, Screw, Spot
from shop.core.reasons import Reason, Refused
from shop.core.text import line, whole

MOST_VOLTS = 1000
EDGE_MM = 0.5  # a measured board is not exact to the hair
_FAR = 2000  # no board is larger, and no rotation has more degrees
_LABEL = re.compile(r"[A-Z0-9]{1,3}")


def millimetres(given: float, *, low: float, high: float, label: str, field: str) -> float:
    """Return a length in mm when it is a number from low to high. Raises Refused with `mm_impossible`."""
    if not (math.isfinite(given) and low <= given <= high):
        facts = {"label": label, "given": f"{given:g}", "low": f"{low:g}", "high": f"{high:g}"}
        raise Refused(Reason("mm_impossible", facts, field))
    return float(given)


def checked_spot(spot: Spot, edition: BoardEdition) -> Spot:
    """Return a placement with tidy words. Raises Refused naming the field and what to do."""
    designator = tidy(spot.designator)
    if not DESIGNATOR.fullmatch(designator):
        raise Refused(Reason("designator_malformed", {"given": spot.designator[:20] or "–"}, "designator"))
    good = replace(
        spot,
        designator=designator,
        value=line(spot.value, label=_("Value"), field="value", limit=60, required=False),
        rating=line(spot.rating, label=_("Rating"), field="rating", limit=30, required=False),
        package=line(spot.package, label=_("Package"), field="package", limit=60, required=False),
        note=line(spot.note, label=_("Note"), field="note", limit=200, required=False),
    )
    _refuse_rating(good)
    _refuse_place(good, edition)
    _refuse_orientation(good)
    _refuse_variants(good, edition)
    return good


def _refuse_rating(spot: Spot) -> None:
    volts = read_volts(spot.rating) if spot.rating else None
    if volts is not None and not 0 < volts <= MOST_VOLTS:
        facts = {"designator": spot.designator, "given": spot.rating, "high": MOST_VOLTS}
        raise Refused(Reason("rating_impossible", facts, "rating"))


def _refuse_place(spot: Spot, edition: BoardEdition) -> None:
    if (spot.x_mm is None) != (spot.y_mm is None):
        raise Refused(Reason("placement_half_placed", {"designator": spot.designator}, "x_mm"))
    for name in ("width_mm", "depth_mm", "height_mm"):
        size = getattr(spot, name)
        if size is not None:
            millimetres(size, low=0.1, high=500, label=_("Size of {part}").format(part=spot.designator), field=name)
    for name in ("x_mm", "y_mm", "rotation_deg"):
        figure = getattr(spot, name)
        if figure is not None:
            label = _("Place of {part}").format(part=spot.designator)
            millimetres(figure, low=-_FAR, high=_FAR, label=label, field=name)
    if spot.x_mm is None or spot.y_mm is None or edition.size_mm is None:
        return
    width, height = edition.size_mm
    if not (-EDGE_MM <= spot.x_mm <= width + EDGE_MM and -EDGE_MM <= spot.y_mm <= height + EDGE_MM):
        place = {"x": f"{spot.x_mm:g}", "y": f"{spot.y_mm:g}", "width": f"{width:g}", "height": f"{height:g}"}
        raise Refused(Reason("placement_off_board", {"designator": spot.designator} | place, "x_mm"))


def _refuse_orientation(spot: Spot) -> None:
    if spot.polarised and spot.fit != Fit.EMPTY and not spot.positive:
        raise Refused(Reason("positive_missing", {"designator": spot.designator}, "positive"))


def _refuse_variants(spot: Spot, edition: BoardEdition) -> None:
    unknown = [variant for variant in spot.variants if variant not in edition.variants]
    if unknown or (spot.fit == Fit.VARIANT and not spot.variants):
        facts = {"designator": spot.designator, "known": ", ".join(edition.variants) or "–"}
        raise Refused(Reason("variant_unknown", facts, "variants"))


def checked_screw(screw: Screw, edition: BoardEdition) -> Screw:
    """Return a group of fasteners with tidy words. Raises Refused naming the field and what to do."""
    label = screw.label.strip().upper()
    if not _LABEL.fullmatch(label):
        raise Refused(Reason("label_malformed", {"given": screw.label[:20] or "–"}, "label"))
    whole(screw.count, low=1, high=100, label=_("Count"), field="count")
    whole(screw.order, low=1, high=99, label=_("Order"), field="order")
    if screw.length_mm is not None:
        millimetres(screw.length_mm, low=0.5, high=200, label=_("Length"), field="length_mm")
    _refuse_places(screw, edition)
    return replace(
        screw,
        label=label,
        where=line(screw.where, label=_("Where"), field="where", limit=60),
        drive=line(screw.drive, label=_("Drive"), field="drive", limit=20, required=False),
        bit=line(screw.bit, label=_("Bit"), field="bit", limit=20, required=False),
        thread=line(screw.thread, label=_("Thread"), field="thread", limit=20, required=False),
        warning=line(screw.warning, label=_("Warning"), field="warning", limit=200, required=False),
    )


def _refuse_places(screw: Screw, edition: BoardEdition) -> None:
    if len(screw.places_mm) > screw.count:
        facts = {"label": screw.label, "places": len(screw.places_mm), "count": screw.count}
        raise Refused(Reason("places_too_many", facts, "places_mm"))
    width, height = edition.case_mm or (1000.0, 1000.0)
    for x, y in screw.places_mm:
        if not (-EDGE_MM <= x <= width + EDGE_MM and -EDGE_MM <= y <= height + EDGE_MM):
            facts = {"label": screw.label, "x": f"{x:g}", "y": f"{y:g}", "width": f"{width:g}", "height": f"{height:g}"}
            raise Refused(Reason("fastener_off_case", facts, "places_mm"))
