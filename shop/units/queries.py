"""Reads of units. Each takes a fixed number of queries, whatever the number of rows."""

from collections.abc import Sequence
from dataclasses import dataclass
from uuid import UUID

from django.db.models import Prefetch, Q, QuerySet

from shop.core.models import TrailEntry
from shop.core.rows import existing, no_such
from shop.people.models import Customer, Place
from shop.units.models import Announcement, Bag, Hold, Stage, Unit, UnitPhoto, Waiting


def _with_company(units: QuerySet[Unit]) -> QuerySet[Unit]:
    """Fetch with each unit what its tag shows: model, customer, place, technician, open holds, own tag."""
    return units.select_related("model", "revision", "edition", "customer", "place", "technician").prefetch_related(
        Prefetch("holds", Hold.objects.filter(lifted_at=None), to_attr="open_holds"),
        Prefetch("bags", Bag.objects.filter(kind=Bag.Kind.UNIT), to_attr="own_tag"),
        "services",
    )


def present_units() -> QuerySet[Unit]:
    """Return the units that are in the shop, with company, those longest in their stage first."""
    return _with_company(Unit.objects.filter(outcome="")).order_by("stage_since", "number")


def one(unit_id: UUID) -> Unit:
    """Return one unit with company. Raises Missing."""
    return existing(_with_company(Unit.objects.all()), unit_id)


def by_number(number: int) -> Unit:
    """Return the unit with this number, with company. Raises Missing."""
    unit = _with_company(Unit.objects.filter(number=number)).first()
    if unit is None:
        raise no_such(Unit, f"{number:04d}")
    return unit


def tag_of(unit: Unit) -> Bag:
    """Return the unit's own tag."""
    kept = getattr(unit, "own_tag", None)
    return kept[0] if kept else Bag.objects.get(unit=unit, kind=Bag.Kind.UNIT)


def seen_before(*, model_id: UUID, serial: str, not_this: UUID | None = None) -> QuerySet[Unit]:
    """Return earlier visits of the same model and serial number, newest first; none without a serial."""
    if not serial.strip():
        return Unit.objects.none()
    found = Unit.objects.filter(model_id=model_id, serial__iexact=serial.strip())
    if not_this:
        found = found.exclude(pk=not_this)
    return _with_company(found).order_by("-number")


def history(unit: Unit) -> QuerySet[TrailEntry]:
    """Return the unit's trail in order, with the words that were not erased."""
    return TrailEntry.objects.filter(subject_id=unit.id).select_related("note").order_by("seq")


def photos_of(unit: Unit, *, for_customer: bool = False) -> QuerySet[UnitPhoto]:
    """Return the unit's pictures, or only those meant for the customer."""
    rows = UnitPhoto.objects.filter(unit=unit).select_related("photo")
    return rows.filter(for_customer=True) if for_customer else rows


def photos_seen(units: Sequence[Unit], photo_id: UUID) -> UnitPhoto | None:
    """Return a picture of any of these units that the customer may see, or None. One query."""
    rows = UnitPhoto.objects.filter(unit__in=units, for_customer=True, photo_id=photo_id)
    return rows.select_related("photo").first()


def search(text: str, *, limit: int = 50) -> list[Unit]:
    """Return units whose number, serial, model or customer fits the text, newest first."""
    wanted = text.strip()
    if not wanted:
        return []
    where = Q(serial__icontains=wanted) | Q(model__name__icontains=wanted) | Q(model__maker__icontains=wanted)
    where |= Q(customer__in=Customer.objects.filter(Q(name__icontains=wanted) | Q(email__icontains=wanted)))
    digits = wanted.lstrip("#")
    if digits.isascii() and digits.isdigit() and len(digits) < 9:
        where |= Q(number=int(digits))
    return list(_with_company(Unit.objects.filter(where)).order_by("-number")[:limit])


@dataclass(frozen=True, slots=True)
class Room:
    """How full the places for waiting units are."""

    inside: int
    capacity: int

    @property
    def full(self) -> bool:
        """Tell whether another unit would find no place."""
        return self.inside >= self.capacity


def room_left() -> Room:
    """Return how many units lie in shelves and boxes and how many would fit, benches and sealed boxes apart."""
    kinds = [Place.Kind.SHELF, Place.Kind.BOX]
    capacity = sum(Place.objects.filter(kind__in=kinds, retired_at=None).values_list("capacity", flat=True))
    return Room(Unit.objects.filter(outcome="", place__kind__in=kinds).count(), capacity)


def waiting_list() -> QuerySet[Waiting]:
    """Return who waits for room, longest first."""
    return Waiting.objects.filter(ended_at=None).select_related("customer")


def open_announcements() -> QuerySet[Announcement]:
    """Return announced parcels that have not arrived, oldest first."""
    return Announcement.objects.filter(unit=None)


def stage_counts() -> dict[str, int]:
    """Return how many present units are in each stage."""
    counts = dict.fromkeys(Stage.values, 0)
    for stage in Unit.objects.filter(outcome="").values_list("stage", flat=True):
        counts[stage] += 1
    return counts


def units_in(place: Place) -> int:
    """Return how many units lie in a place now. One query."""
    return Unit.objects.filter(place=place, outcome="").count()
