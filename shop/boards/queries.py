"""Reading the library. Each has a fixed number of queries."""

from dataclasses import dataclass
from uuid import UUID

from django.db.models import Prefetch, QuerySet

from shop.boards.designators import natural_key
from shop.boards.editions import latest
from shop.boards.models import (
    BoardEdition,
    BoardPicture,
    BoardRevision,
    CaseFastener,
    DeviceModel,
    Placement,
    Service,
    ServicePart,
)
from shop.boards.selecting import selected
from shop.boards.spots import Screw, Spot
from shop.core.rows import existing


def models() -> QuerySet[DeviceModel]:
    """Return the device models in use, by maker and name. One query."""
    return DeviceModel.objects.filter(retired_at=None).order_by("maker", "name")


def revisions_of(model: DeviceModel) -> QuerySet[BoardRevision]:
    """Return a model's board revisions in use, by marking. One query."""
    return BoardRevision.objects.filter(model=model, retired_at=None).order_by("marking")


def services() -> QuerySet[Service]:
    """Return the services offered, by name, each with its `parts` and their specification. Two queries."""
    brought = ServicePart.objects.select_related("part").order_by("part__code")
    return Service.objects.filter(retired_at=None).order_by("name").prefetch_related(Prefetch("parts", brought))


def extras() -> QuerySet[Service]:
    """Return the services that are usually offered as options, by name. One query."""
    return Service.objects.filter(retired_at=None, optional_extra=True).order_by("name")


def variants_of(model: DeviceModel) -> list[str]:
    """Return the variants that any edition of a model's boards names, in the order they were named. One query."""
    named = BoardEdition.objects.filter(revision__model=model).order_by("number").values_list("variants", flat=True)
    return list(dict.fromkeys(variant for variants in named for variant in variants))


@dataclass(frozen=True, slots=True, kw_only=True)
class Board:
    """What an edition of the library says, as plain data: placements by designator, fasteners in the order they go out.

    pictures maps what is shown (top, bottom, case) to the photo and its known points.
    """

    revision: BoardRevision
    edition: BoardEdition | None
    spots: tuple[Spot, ...] = ()
    screws: tuple[Screw, ...] = ()
    pictures: dict[str, BoardPicture]

    def spot(self, designator: str) -> Spot | None:
        """Return a placement by its designator."""
        return next((spot for spot in self.spots if spot.designator == designator), None)

    def screw(self, label: str) -> Screw | None:
        """Return a group of fasteners by its label."""
        return next((screw for screw in self.screws if screw.label == label), None)


def revision_of(revision_id: UUID | str) -> BoardRevision:
    """Return a board revision with its model. Raises Missing. One query."""
    return existing(BoardRevision.objects.select_related("model", "photo"), revision_id)


def board(revision: BoardRevision, edition: BoardEdition | None = None) -> Board:
    """Return what the library says of a board: in the edition given, else in the newest. At most four queries."""
    edition = edition or latest(revision)
    if edition is None:
        return Board(revision=revision, edition=None, pictures={})
    pictures = BoardPicture.objects.filter(edition=edition).select_related("photo")
    return Board(
        revision=revision,
        edition=edition,
        spots=spots_of(edition),
        screws=tuple(row.screw for row in CaseFastener.objects.filter(edition=edition)),
        pictures={picture.shows: picture for picture in pictures},
    )


def spots_of(edition: BoardEdition) -> tuple[Spot, ...]:
    """Return an edition's placements, by designator as people count (C2 before C10). One query."""
    rows = [row.spot for row in Placement.objects.filter(edition=edition)]
    return tuple(sorted(rows, key=lambda spot: natural_key(spot.designator)))


def selecting_nothing(found: Board) -> list[Service]:
    """Return the services that select placements by a rule and find none on this board. One query."""
    ruled = Service.objects.filter(retired_at=None).exclude(selects=[]).order_by("name")
    return [service for service in ruled if not selected(found.spots, service.selects)]
