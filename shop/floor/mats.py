"""The layout mats of a unit: which parts lie on them, with kit line and lot, and which fasteners."""

from collections.abc import Callable

from shop.boards.models import ServicePart
from shop.boards.queries import spots_of
from shop.boards.selecting import selected
from shop.boards.spots import Fit
from shop.core.reasons import Reason, Refused
from shop.floor.extent import extent
from shop.floor.gates import services_agreed
from shop.stock.models import Movement
from shop.units.label_draw import Paper
from shop.units.labels import address_of
from shop.units.models import Unit
from shop.units.queries import tag_of
from shop.units.scanning import Kind
from shop.work.mat_draw import fasteners_list_pdf, fasteners_mat_pdf, parts_list_pdf, parts_mat_pdf
from shop.work.mats import MatHead, PartBox
from shop.work.queries import known_screws


def mat_pdf(unit: Unit, kind: str, paper: Paper = Paper.A4) -> bytes:
    """Return one of the unit's mats as PDF: parts, fasteners (boxed lists), parts-mat, fasteners-mat (true scale).

    Raises Refused: `mat_kind_unknown`, `mat_nothing_to_lay`, `mat_board_size`.
    """
    if kind not in _MATS:
        raise Refused(Reason("mat_kind_unknown", {"given": kind[:20], "choices": ", ".join(_MATS)}))
    return _MATS[kind](unit, paper)


def _parts(unit: Unit, paper: Paper) -> bytes:
    return parts_list_pdf(_head(unit), _boxes(unit), paper)


def _parts_mat(unit: Unit, paper: Paper) -> bytes:
    boxes = _boxes(unit)
    size = (unit.edition.size_mm if unit.edition else None) or extent(box.spot for box in boxes)
    return parts_mat_pdf(_head(unit), boxes, size or (0.0, 0.0), paper)


def _fasteners(unit: Unit, paper: Paper) -> bytes:
    return fasteners_list_pdf(_head(unit), known_screws(unit), paper)


def _fasteners_mat(unit: Unit, paper: Paper) -> bytes:
    screws = known_screws(unit)
    size = (unit.edition.case_mm if unit.edition else None) or extent(screws)
    return fasteners_mat_pdf(_head(unit), screws, size or (0.0, 0.0), paper)


_MATS: dict[str, Callable[[Unit, Paper], bytes]] = {
    "parts": _parts,
    "fasteners": _fasteners,
    "parts-mat": _parts_mat,
    "fasteners-mat": _fasteners_mat,
}
MATS = tuple(_MATS)


def _head(unit: Unit) -> MatHead:
    tag = tag_of(unit)
    marking = unit.revision.marking if unit.revision else ""
    address = f"{address_of(Kind.BAG, tag.code)}?sheet"
    return MatHead(str(unit), tag.printed_code, address, str(unit.model), marking)


def _boxes(unit: Unit) -> list[PartBox]:
    """Return a box for each placement that an agreed service is about, and for the empty ones it would mean."""
    services = services_agreed(unit)
    rule = [word for service in services for word in service.selects]
    spots = spots_of(unit.edition) if unit.edition and rule else ()
    meant = {spot.designator for spot in selected(spots, rule, variant=unit.variant)}
    kit = _kit(unit)
    boxes = []
    for spot in spots:
        owner = next((s for s in services if selected([spot], s.selects, variant=unit.variant)), None)
        code, lot = kit.get(owner.pk, ("", "")) if owner else ("", "")
        if spot.designator in meant:
            boxes.append(PartBox(spot, code, lot))
        elif spot.kind in rule and spot.fit != Fit.FITTED:
            boxes.append(PartBox(spot, fitted=False))
    return boxes


def _kit(unit: Unit) -> dict[object, tuple[str, str]]:
    """Return service → the code of the part that it brings, and the lots that were taken for this unit."""
    issued = Movement.objects.filter(unit=unit, kind__in=[Movement.Kind.RESERVED, Movement.Kind.ISSUED])
    lots: dict[object, list[str]] = {}
    for part_id, marking in issued.values_list("lot__part_id", "lot__marking").distinct():
        lots.setdefault(part_id, []).append(marking)
    brought = (
        ServicePart.objects.filter(service__in=services_agreed(unit)).select_related("part").order_by("part__code")
    )
    kit: dict[object, tuple[str, str]] = {}
    for row in brought:
        kit.setdefault(row.service_id, (row.part.code, ", ".join(sorted(lots.get(row.part_id, [])))))
    return kit
