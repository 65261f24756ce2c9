"""What flows need of this room inside their transaction. The unit handed in is locked."""

from datetime import date
from uuid import UUID

from django.db.models import Count, Q

from shop.core import clock, duework, trail
from shop.core.actor import Actor
from shop.core.locks import lock, save
from shop.core.models import ShopProfile
from shop.core.reasons import Reason, Refused
from shop.people.models import Place
from shop.units.models import Announcement, Bag, Consent, Finding, Hold, Parcel, Stage, Unit, Visit


def give_tag(unit: Unit) -> Bag:
    """Make the unit's own tag, the bag of kind unit."""
    return Bag.objects.create(unit=unit, kind=Bag.Kind.UNIT)


def record_consents(unit: Unit, actor: Actor, profile: ShopProfile, given: dict[str, bool]) -> list[Consent]:
    """Record each consent with the terms as they were shown. given maps `Consent.Kind` values to yes or no."""
    terms = {
        Consent.Kind.SAVE_DATA: profile.terms_save_data,
        Consent.Kind.PICTURES: profile.terms_pictures,
        Consent.Kind.WORK: profile.terms_work,
    }
    rows = [
        Consent(unit=unit, kind=kind, terms=terms[Consent.Kind(kind)], given=yes, by_role=actor.role.value)
        for kind, yes in given.items()
    ]
    made = Consent.objects.bulk_create(rows)
    trail.write(unit, actor, "consents_recorded", facts={row.kind: row.given for row in made})
    return made


def settle(unit: Unit, actor: Actor, finding: Finding, said: str) -> None:
    """Record that a finding was dealt with, and how. What was to be mended is planned no more."""
    finding.settled_at = clock.now()
    finding.save(update_fields=["settled_at"])
    trail.write(unit, actor, "finding_settled", facts={"finding": finding.id, "kind": finding.kind}, note=said)
    if finding.repair:
        duework.plan_anew()


def unsettle(unit: Unit, actor: Actor, finding: Finding) -> None:
    """Record that a finding that was settled is open again, and to be planned where it is to be mended."""
    finding.settled_at = None
    finding.save(update_fields=["settled_at"])
    trail.write(unit, actor, "finding_open_again", facts={"finding": finding.id, "kind": finding.kind})
    if finding.repair:
        duework.plan_anew()


def move(unit: Unit, actor: Actor, *, to: str, visit: str = Visit.NONE, what: str = "moved", note: str = "") -> None:
    """Write the new stage. The gates have been asked by the flow."""
    before = unit.stage
    unit.stage, unit.visit, unit.stage_since = Stage(to), Visit(visit), clock.now()
    save(unit, "stage", "visit", "stage_since")
    trail.write(unit, actor, what, before=before, after=to, facts={"visit": visit} if visit else None, note=note)


def put(unit: Unit, actor: Actor, place_id: UUID) -> Place:
    """Put a unit into a place with room for it. Raises Refused with `place_full` or `place_retired`.

    The place is locked, so that two units cannot both take its last room.
    """
    place = lock(Place, pk=place_id)
    if place.retired_at:
        raise Refused(Reason("place_retired", {"place": place.name}, "place"))
    if unit.place_id == place.id:
        return place
    inside = Unit.objects.filter(place=place, outcome="").count()
    if inside >= place.capacity:
        raise Refused(Reason("place_full", {"place": place.name, "inside": inside}, "place"))
    before = unit.place.name if unit.place else ""
    unit.place = place
    save(unit, "place")
    trail.write(unit, actor, "placed", before=before, after=place.name, facts={"place": place.code})
    return place


def free_place(*, kinds: list[str]) -> Place | None:
    """Return a place of one of the kinds that has room, the emptiest kind first in the given order, or None."""
    inside = Count("units", filter=Q(units__outcome=""))
    rooms = Place.objects.filter(kind__in=kinds, retired_at=None).annotate(inside=inside)
    with_room = [place for place in rooms if place.inside < place.capacity]
    return min(with_room, key=lambda place: (kinds.index(place.kind), place.name), default=None)


def open_hold(unit: Unit, actor: Actor, *, kind: str, text: str = "", due_on: date | None = None) -> Hold:
    """Record why the unit waits; an open hold of the same kind gets the new words instead."""
    held = Hold.objects.filter(unit=unit, kind=kind, lifted_at=None).first()
    if held:
        held.words, held.due_on = text, due_on
        held.save(update_fields=["words", "due_on"])
    else:
        held = Hold.objects.create(unit=unit, kind=kind, words=text, due_on=due_on)
    facts = {"kind": kind, "due_on": due_on} if due_on else {"kind": kind}
    trail.write(unit, actor, "held", after=kind, facts=facts, note=text)
    return held


def lift_holds(unit: Unit, actor: Actor, *, kinds: list[str]) -> int:
    """Lift the open holds of the given kinds and return how many there were."""
    held = list(Hold.objects.filter(unit=unit, kind__in=kinds, lifted_at=None))
    for hold in held:
        hold.lifted_at = clock.now()
        hold.save(update_fields=["lifted_at"])
        trail.write(unit, actor, "hold_lifted", before=hold.kind)
    return len(held)


def record_parcel(
    unit: Unit, actor: Actor, *, direction: str, carrier: str, tracking: str, declared_minor: int
) -> Parcel:
    """Record a parcel that came or went; declared_minor is its declared value in minor units."""
    parcel = Parcel.objects.create(
        unit=unit, direction=direction, carrier=carrier, tracking=tracking, declared_minor=declared_minor
    )
    what = "parcel_arrived" if direction == Parcel.Direction.IN else "parcel_sent"
    trail.write(unit, actor, what, facts={"parcel": parcel.id, "declared_minor": declared_minor})
    return parcel


def claim_announcement(unit: Unit, actor: Actor, announcement_id: UUID) -> Announcement:
    """Tie an announced parcel to the unit that came in it. Raises Refused with `announcement_used`."""
    row = lock(Announcement, pk=announcement_id)
    if row.unit_id and row.unit_id != unit.id:
        raise Refused(Reason("announcement_used", {"number": str(row.unit)}, "announcement"))
    row.unit = unit
    row.save(update_fields=["unit"])
    trail.write(unit, actor, "announcement_met", facts={"code": row.code})
    return row


def leave(unit: Unit, actor: Actor, outcome: str) -> None:
    """Write how the unit left. It frees its place; every open hold is lifted."""
    lift_holds(unit, actor, kinds=list(Hold.Kind.values))
    unit.outcome, unit.left_at, unit.place = outcome, clock.now(), None
    save(unit, "outcome", "left_at", "place")
    trail.write(unit, actor, "left", before=unit.stage, after=outcome)
