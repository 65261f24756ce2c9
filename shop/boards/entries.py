"""How an entry of a board is stored and taken out again. The callers have checked it and hold the lock."""

from uuid import UUID

from django.db.models import QuerySet

from shop.boards import editions
from shop.boards.models import SCREW_FIELDS, SPOT_FIELDS, BoardEdition, BoardRevision, CaseFastener, Placement
from shop.boards.spots import Screw, Spot
from shop.core.locks import lock
from shop.core.reasons import Missing, Reason


def edition_to_write(revision_id: UUID | str) -> BoardEdition:
    """Lock a board and return its edition that may be written to. Raises Missing."""
    return editions.to_write(lock(BoardRevision, pk=revision_id))


def write_spot(edition: BoardEdition, spot: Spot) -> tuple[Placement, bool]:
    """Store a checked placement in an edition that may be written to; True when it is new."""
    values = {name: getattr(spot, name) for name in SPOT_FIELDS} | {"variants": list(spot.variants)}
    return Placement.objects.update_or_create(
        edition=edition, designator=spot.designator, defaults=values
    )  # fmt: skip


def write_screw(edition: BoardEdition, screw: Screw) -> tuple[CaseFastener, bool]:
    """Store a checked group of fasteners in an edition that may be written to; True when it is new."""
    values = {name: getattr(screw, name) for name in SCREW_FIELDS}
    values |= {"places_mm": [list(place) for place in screw.places_mm]}
    return CaseFastener.objects.update_or_create(edition=edition, label=screw.label, defaults=values)


def take_out(rows: QuerySet[Placement] | QuerySet[CaseFastener], thing: str, sought: str) -> None:
    """Delete one entry. Raises Missing when there is none; thing and sought name it then."""
    deleted, _by_model = rows.delete()
    if not deleted:
        raise Missing(Reason("missing", {"thing": thing, "sought": sought[:12]}))
