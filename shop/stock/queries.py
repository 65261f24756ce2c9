"""What the stock can be asked. A fixed number of queries each."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from uuid import UUID

from django.db.models import F, IntegerField, Q, QuerySet, Sum, Value
from django.db.models.expressions import Combinable
from django.db.models.functions import Coalesce

from shop.parts.models import Part
from shop.stock.models import Lot, Movement
from shop.units.models import Unit

Kind = Movement.Kind
# The most of one part that can be moved at once: a slip of the finger is caught before it is stored.
MOST = 100_000


@dataclass(frozen=True, slots=True)
class KitLine:
    """What a unit has of one lot: set aside for it, and fitted already."""

    lot_id: UUID
    marking: str
    part_id: UUID
    code: str
    name: str
    reserved: int
    issued: int


@dataclass(frozen=True, slots=True)
class Availability:
    """How much of a part lies here, is promised to units, and is free."""

    on_hand: int = 0
    reserved: int = 0

    @property
    def free(self) -> int:
        """Return how many may still be reserved."""
        return self.on_hand - self.reserved


@dataclass(frozen=True, slots=True)
class Shortage:
    """A part of which a unit needs more than is free."""

    part_id: UUID
    name: str
    needed: int
    free: int

    @property
    def missing(self) -> int:
        """Return how many are to be bought."""
        return self.needed - self.free

    def facts(self) -> dict[str, object]:
        """Return the figures for the sentence of a refusal."""
        return {"part": self.name, "needed": self.needed, "free": self.free, "missing": self.missing}


@dataclass(frozen=True, slots=True)
class Mismatch:
    """A lot whose columns do not say what its movements add up to."""

    lot_id: UUID
    part: str
    on_hand: int
    on_hand_moved: int
    reserved: int
    reserved_moved: int


def availability(part_ids: Iterable[UUID]) -> dict[UUID, Availability]:
    """Return for each part id how much there is of it; a part without lots has none. One query."""
    wanted = list(part_ids)
    lots = Lot.objects.filter(part_id__in=wanted).order_by().values_list("part_id")
    sums = lots.annotate(Sum("on_hand"), Sum("reserved"))
    found = {part_id: Availability(on_hand, reserved) for part_id, on_hand, reserved in sums}
    return {part_id: found.get(part_id, Availability()) for part_id in wanted}


def kit(unit: Unit) -> list[KitLine]:
    """Return what the unit has reserved or fitted, by part and lot; lots that were given back are left out."""
    lots = Movement.objects.filter(unit=unit).order_by().values_list(
        "lot_id", "lot__marking", "lot__part_id", "lot__part__code", "lot__part__name"
    )  # fmt: skip
    lines = lots.annotate(reserved_now=_reserved(), issued_now=_total(Kind.ISSUED))
    held = [KitLine(*line) for line in lines.order_by("lot__part__code", "lot__created_at", "lot_id")]
    return [line for line in held if line.reserved or line.issued]


def lacking(unit: Unit, wanted: Mapping[UUID, int]) -> dict[UUID, int]:
    """Return what must still be reserved, so that the unit's kit, fitted parts included, has what is wanted."""
    has = dict.fromkeys(wanted, 0)
    for line in kit(unit):
        if line.part_id in has:
            has[line.part_id] += line.reserved + line.issued
    return {part_id: count - has[part_id] for part_id, count in wanted.items() if count > has[part_id]}


def short_for(unit: Unit, wanted: Iterable[tuple[UUID, int]]) -> list[Shortage]:
    """Return the parts that could not be reserved for the unit now; empty when all of it is there.

    wanted are (part id, how many the unit needs in all). Another unit may be quicker: only reserving is sure.
    """
    in_all: dict[UUID, int] = {}
    for part_id, quantity in wanted:
        in_all[part_id] = in_all.get(part_id, 0) + quantity
    free = {part_id: there.free for part_id, there in availability(in_all).items()}
    return shortages(lacking(unit, in_all), free)


def shortages(lacking: Mapping[UUID, int], free: Mapping[UUID, int]) -> list[Shortage]:
    """Compare what is lacking with what is free, and return the parts there is too little of, by code."""
    short = {part_id: count for part_id, count in lacking.items() if count > free[part_id]}
    parts = Part.objects.filter(pk__in=short).order_by("code") if short else []
    return [Shortage(part.pk, part.name, short[part.pk], free[part.pk]) for part in parts]


def verify() -> list[Mismatch]:
    """Return every lot whose on_hand or reserved is not the sum of its movements; empty is as it should be."""
    lots: QuerySet[Lot] = Lot.objects.annotate(
        on_hand_moved=_total(Kind.RECEIVED, "movements__") - _total(Kind.ISSUED, "movements__"),
        reserved_moved=_reserved("movements__"),
    )
    wrong = lots.exclude(on_hand=F("on_hand_moved"), reserved=F("reserved_moved")).order_by("created_at")
    columns = ("pk", "part__code", "on_hand", "on_hand_moved", "reserved", "reserved_moved")
    return [Mismatch(*row) for row in wrong.values_list(*columns)]


def _reserved(path: str = "") -> Combinable:
    """Sum what is set aside: reserved, less what was given back or fitted."""
    return _total(Kind.RESERVED, path) - _total(Kind.RELEASED, path) - _total(Kind.ISSUED, path)


def _total(kind: Movement.Kind, path: str = "") -> Coalesce:
    total = Sum(f"{path}quantity", filter=Q(**{f"{path}kind": kind}))
    return Coalesce(total, Value(0), output_field=IntegerField())
