"""What a flow needs of the stock inside its transaction. The unit is handed in locked; lots are locked here."""

from collections import Counter
from collections.abc import Iterable
from uuid import UUID

from shop.core import trail
from shop.core.actor import Actor
from shop.core.reasons import Reason, Refused
from shop.core.rows import no_such
from shop.parts.models import Part
from shop.stock import queries
from shop.stock.models import Lot, Movement
from shop.units.models import Unit

Kind = Movement.Kind
# The sign with which a movement counts in a lot's columns; `queries` sums by the same rule.
_ON_HAND = {Kind.ISSUED: -1}
_RESERVED = {Kind.RESERVED: 1, Kind.RELEASED: -1, Kind.ISSUED: -1}


def reserve(*, actor: Actor, unit: Unit, parts: Iterable[tuple[UUID, int]]) -> list[Movement]:
    """Bring the unit's kit up to the given parts, from the oldest lots first: all of it or nothing.

    parts are (part id, how many the unit needs in all); what the kit has, or had fitted, counts, so that asking twice
    is asking once. Returns the new movements. Raises Refused with one `part_short` for each part there is too little
    of, Missing for an unknown part.
    """
    wanted = wanted_in_all(parts)
    lots = _locked(part_id__in=wanted)
    lacking = queries.lacking(unit, wanted)
    short = queries.shortages(lacking, {part_id: _free(lots, part_id) for part_id in wanted})
    if short:
        raise Refused(*[Reason("part_short", one.facts(), "parts") for one in short])
    taken = [(lot, quantity) for part_id, count in lacking.items() for lot, quantity in _oldest(lots, part_id, count)]
    return _move(actor, unit, Kind.RESERVED, taken)


def release(*, actor: Actor, unit: Unit) -> list[Movement]:
    """Give back to the shelf whatever is still reserved for the unit. An empty kit is left alone."""
    return _move(actor, unit, Kind.RELEASED, _reserved_by(unit))


def issue(*, actor: Actor, unit: Unit) -> list[Movement]:
    """Take the reserved parts off the stock, into the unit. An empty kit is left alone.

    Each movement's lot carries what one piece cost, for the books.
    """
    return _move(actor, unit, Kind.ISSUED, _reserved_by(unit))


def wanted_in_all(parts: Iterable[tuple[UUID, int]]) -> dict[UUID, int]:
    """Add up (part id, quantity) pairs by part. Raises Refused with `out_of_range`, Missing for an unknown part."""
    wanted: Counter[UUID] = Counter()
    for part_id, quantity in parts:
        checked(quantity)
        wanted[part_id] += quantity
    unknown = wanted.keys() - set(Part.objects.filter(pk__in=wanted).values_list("pk", flat=True))
    if unknown:
        raise no_such(Part, sorted(unknown)[0], "parts")
    return dict(wanted)


def checked(quantity: int) -> int:
    """Return a quantity that a shelf can hold, or raise Refused with `out_of_range`."""
    if not 1 <= quantity <= queries.MOST:
        raise Refused(Reason("out_of_range", {"label": "Quantity", "low": 1, "high": queries.MOST}, "quantity"))
    return quantity


def _locked(**lookup: object) -> list[Lot]:
    """Lock lots by primary key, which rules out a deadlock, and return them oldest first."""
    lots = list(Lot.objects.select_for_update(of=("self",)).filter(**lookup).order_by("pk"))
    return sorted(lots, key=lambda lot: (lot.created_at, lot.pk))


def _free(lots: list[Lot], part_id: UUID) -> int:
    return sum(lot.on_hand - lot.reserved for lot in lots if lot.part_id == part_id)


def _oldest(lots: list[Lot], part_id: UUID, count: int) -> list[tuple[Lot, int]]:
    """Split a count over the part's lots, which come oldest first and are known to hold enough."""
    taken = []
    for lot in lots:
        quantity = min(count, lot.on_hand - lot.reserved) if lot.part_id == part_id else 0
        if quantity:
            taken.append((lot, quantity))
            count -= quantity
    return taken


def _reserved_by(unit: Unit) -> list[tuple[Lot, int]]:
    held = {line.lot_id: line.reserved for line in queries.kit(unit) if line.reserved}
    return [(lot, held[lot.pk]) for lot in _locked(pk__in=held)]


def _move(actor: Actor, unit: Unit, kind: Movement.Kind, taken: list[tuple[Lot, int]]) -> list[Movement]:
    """Write the movements and change the lots' columns with them."""
    if not taken:
        return []
    for lot, quantity in taken:
        lot.on_hand += _ON_HAND.get(kind, 0) * quantity
        lot.reserved += _RESERVED[kind] * quantity
    Lot.objects.bulk_update([lot for lot, _quantity in taken], ["on_hand", "reserved"])
    rows = [Movement(lot=lot, kind=kind, quantity=quantity, unit=unit) for lot, quantity in taken]
    made = Movement.objects.bulk_create(rows)
    facts = {"lots": [{"lot": str(lot.pk), "quantity": quantity} for lot, quantity in taken]}
    trail.write(unit, actor, f"kit_{kind.value}", facts=facts)
    return made
