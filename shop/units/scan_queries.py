"""Finding what a scan names. At most three queries, and one for a printed label."""

from collections.abc import Sequence
from typing import TypeVar

from shop.core.reasons import Missing, Reason, Refused
from shop.core.rows import no_such
from shop.core.tagcode import printed
from shop.people.models import Place, User
from shop.units.models import Bag, Unit
from shop.units.scanning import Kind, Scan

Found = Bag | Place | User
F = TypeVar("F", Bag, Place, User)
_BAGS = Bag.objects.select_related("unit__model", "unit__customer", "unit__place", "unit__technician")


def resolve(scan: Scan) -> Found:
    """Return the bag, place or person that a scan names; a unit's number gives the unit's own tag.

    The bag comes with its unit, also of a unit that has left (its gates say so). Raises Missing: `tag_unknown`,
    `missing`, `place_retired`, `badge_retired`; Refused: `tag_two_readings`.
    """
    if scan.kind == Kind.NUMBER:
        return _bag_by_number(int(scan.code))
    found: Found | None = None
    if scan.kind in (Kind.BAG, Kind.CODE):
        found = _one(list(_BAGS.filter(code__in=scan.codes)), scan)
    if scan.kind == Kind.PLACE or (scan.kind == Kind.CODE and found is None):
        found = _one(list(Place.objects.filter(code__in=scan.codes)), scan)
    if scan.kind == Kind.BADGE or (scan.kind == Kind.CODE and found is None):
        found = _one(list(User.objects.filter(badge_code__in=scan.codes)), scan)
    if found is None:
        raise Missing(Reason("tag_unknown", {"code": printed(scan.code)}, "scan"))
    return _in_use(found)


def _one(rows: Sequence[F], scan: Scan) -> F | None:
    if len(rows) > 1:
        facts = {"first": printed(scan.code), "second": printed(scan.also)}
        raise Refused(Reason("tag_two_readings", facts, "scan"))
    return rows[0] if rows else None


def _bag_by_number(number: int) -> Bag:
    bag = _BAGS.filter(unit__number=number, kind=Bag.Kind.UNIT).first()
    if bag is None:
        raise no_such(Unit, f"{number:04d}", "scan")
    return bag


def _in_use(found: Found) -> Found:
    if isinstance(found, Place) and found.retired_at:
        raise Missing(Reason("place_retired", {"place": found.name}, "scan"))
    if isinstance(found, User) and found.retired_at:
        raise Missing(Reason("badge_retired", {"name": found.name}, "scan"))
    return found
