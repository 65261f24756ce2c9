"""What a face may do to a unit within this room. What touches other rooms as well is a flow in `shop.floor`."""

from dataclasses import dataclass
from uuid import UUID

from django.db import transaction

from shop.boards.checking import millimetres
from shop.core import clock, duework, money, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock, save
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.core.rows import existing
from shop.core.text import choice, whole, words
from shop.people.models import Customer
from shop.units import steps
from shop.units.models import Bag, Cost, Finding, Incident, Unit, UnitPhoto, Waiting

_FAR_MM = 1000
_LABELS = {
    "serial": ("Serial number", 60),
    "complaint": ("Complaint", 2000),
    "came_with": ("What came with it", 1000),
    "condition": ("Condition", 2000),
    "cable": ("Cable", 80),
    "display": ("Display", 80),
    "region": ("Region", 40),
}


def change_written_up(*, actor: Actor, unit_id: UUID, version: int | None = None, **changes: str) -> Unit:
    """Change words of the write-up: serial, complaint, came_with, condition, cable, display, region.

    Raises Stale for an old version, Refused with `unit_left`, `too_long`, ValueError for another field.
    """
    permit(actor, "units.change_intake")
    if unknown := set(changes) - set(_LABELS):
        raise ValueError(f"not a field of the write-up: {sorted(unknown)}")
    tidy = {
        name: words(given, label=_LABELS[name][0], field=name, limit=_LABELS[name][1], required=False)
        for name, given in changes.items()
    }
    with transaction.atomic():
        unit = present(unit_id, version=version)
        changed = sorted(name for name, text in tidy.items() if getattr(unit, name) != text)
        if not changed:
            return unit
        for name in changed:
            setattr(unit, name, tidy[name])
        save(unit, *changed)
        trail.write(unit, actor, "write_up_changed", facts={"fields": changed})
    return unit


def present(unit_id: UUID, *, version: int | None = None) -> Unit:
    """Lock a unit that is still in the shop. Raises Missing, Stale, or Refused with `unit_left`."""
    unit = lock(Unit, pk=unit_id, version=version)
    if unit.outcome:
        raise Refused(Reason("unit_left", {"number": str(unit), "outcome": unit.get_outcome_display()}))
    return unit


@dataclass(frozen=True, slots=True, kw_only=True)
class Spotted:
    """Where on the board a finding is, and what is to become of it.

    x_mm and y_mm are from the board's lower left corner, seen from the top side; repair is a value of
    `Finding.Repair`; minutes and price_minor (before tax) are what mending it takes.
    """

    x_mm: float | None = None
    y_mm: float | None = None
    side: str = ""
    repair: str = ""
    minutes: int = 0
    price_minor: int = 0


def add_finding(
    *,
    actor: Actor,
    unit_id: UUID,
    kind: str,
    text: str = "",
    photo_id: UUID | None = None,
    spotted: Spotted | None = None,
) -> Finding:
    """Record something seen that the customer did not report. Insects ask for a sealed place (see the gates).

    Raises Missing, Refused: `unit_left`, `not_a_choice`, `blank`, `too_long`, `out_of_range`, `negative_money`,
    `finding_half_placed`.
    """
    permit(actor, "units.find")
    choice(kind, Finding.Kind.values, label="Finding", field="kind")
    needs_words = kind == Finding.Kind.OTHER
    said = words(text, label="Words of the finding", field="text", limit=1000, required=needs_words)
    where = _spotted(spotted or Spotted())
    with transaction.atomic():
        unit = present(unit_id)
        finding = Finding.objects.create(unit=unit, kind=kind, words=said, photo_id=photo_id, **where)
        facts = {"kind": kind, "finding": finding.id, "repair": finding.repair}
        trail.write(unit, actor, "finding_added", facts=facts, note=said)
        if finding.repair == Finding.Repair.NOW:
            duework.plan_anew()
    return finding


def _spotted(given: Spotted) -> dict[str, object]:
    if (given.x_mm is None) != (given.y_mm is None):
        raise Refused(Reason("finding_half_placed", {}, "x_mm"))
    for name, place in (("x_mm", given.x_mm), ("y_mm", given.y_mm)):
        if place is not None:
            millimetres(place, low=-_FAR_MM, high=_FAR_MM, label="Place of the finding", field=name)
    return {
        "x_mm": given.x_mm,
        "y_mm": given.y_mm,
        "side": choice(given.side, ["", "top", "bottom"], label="Side", field="side"),
        "repair": choice(given.repair, Finding.Repair.values, label="What becomes of it", field="repair"),
        "repair_minutes": whole(given.minutes, low=0, high=2000, label="Minutes", field="minutes"),
        "repair_minor": money.checked(given.price_minor, label="Price", field="price"),
    }


def settle_finding(*, actor: Actor, finding_id: UUID, text: str) -> Finding:
    """Record that a finding was dealt with, and how (insects treated, liquid washed out). Twice is once."""
    permit(actor, "units.find")
    said = words(text, label="What was done", field="text", limit=500)
    found = existing(Finding, finding_id)
    with transaction.atomic():
        unit = present(found.unit_id)
        found = lock(Finding, pk=finding_id)
        if found.settled_at:
            return found
        steps.settle(unit, actor, found, said)
    return found


def add_unit_photo(
    *, actor: Actor, unit_id: UUID, photo_id: UUID, purpose: str, caption: str = "", for_customer: bool = True
) -> UnitPhoto:
    """Put a stored picture with a unit. Purposes are those of `UnitPhoto.Purpose`."""
    permit(actor, "units.find")
    choice(purpose, UnitPhoto.Purpose.values, label="What the picture shows", field="purpose")
    said = words(caption, label="Caption", field="caption", limit=120, required=False)
    with transaction.atomic():
        unit = present(unit_id)
        kept = UnitPhoto.objects.create(
            unit=unit, photo_id=photo_id, purpose=purpose, caption=said, for_customer=for_customer
        )
        trail.write(unit, actor, "photo_added", facts={"purpose": purpose, "photo": photo_id})
    return kept


def add_bag(*, actor: Actor, unit_id: UUID, kind: str, contents: str = "") -> Bag:
    """Add a labelled bag for fasteners, removed parts or accessories; its code resolves to the unit."""
    permit(actor, "units.change_intake")
    kinds = [value for value in Bag.Kind.values if value != Bag.Kind.UNIT]
    choice(kind, kinds, label="Kind of bag", field="kind")
    said = words(contents, label="Contents", field="contents", limit=200, required=False)
    with transaction.atomic():
        unit = present(unit_id)
        bag = Bag.objects.create(unit=unit, kind=kind, contents=said)
        trail.write(unit, actor, "bag_added", facts={"kind": kind, "code": bag.code})
    return bag


def record_incident(
    *, actor: Actor, unit_id: UUID, text: str, offer: str, cost_minor: int, photo_id: UUID | None = None
) -> Incident:
    """Record that the shop broke or lost something, what it offered, and what that costs in minor units."""
    permit(actor, "units.incident")
    said = words(text, label="What happened", field="text")
    offered = words(offer, label="What is offered", field="offer")
    money.checked(cost_minor, label="Cost", field="cost")
    with transaction.atomic():
        unit = present(unit_id)
        incident = Incident.objects.create(
            unit=unit, words=said, offer=offered, cost_minor=cost_minor, photo_id=photo_id
        )
        facts = {"incident": incident.id, "cost_minor": cost_minor}
        trail.write(unit, actor, "incident_recorded", facts=facts, note=f"{said}\n{offered}")
    return incident


def decide_comeback(*, actor: Actor, unit_id: UUID, free: bool, reason: str) -> Unit:
    """Record whether a comeback is done free of charge, and why. Raises Refused with `not_a_comeback`."""
    permit(actor, "units.decide_comeback")
    said = words(reason, label="Reason", field="reason", limit=500)
    with transaction.atomic():
        unit = present(unit_id)
        if unit.earlier_unit_id is None:
            raise Refused(Reason("not_a_comeback", {"number": str(unit)}))
        unit.free_of_charge = free
        save(unit, "free_of_charge")
        trail.write(unit, actor, "comeback_decided", after="free" if free else "charged", note=said)
        duework.plan_anew()
    return unit


def add_cost(*, actor: Actor, unit_id: UUID, text: str, amount_minor: int) -> Cost:
    """Add to what the shop spent on a unit of its own. Raises Refused with `not_our_own` for a customer's unit."""
    permit(actor, "units.add_cost")
    said = words(text, label="What it was for", field="text", limit=120)
    money.checked(amount_minor, label="Amount", field="amount")
    with transaction.atomic():
        unit = present(unit_id)
        if not unit.own:
            raise Refused(Reason("not_our_own", {"number": str(unit)}))
        cost = Cost.objects.create(unit=unit, words=said, amount_minor=amount_minor)
        trail.write(unit, actor, "cost_added", facts={"amount_minor": amount_minor, "currency": profile().currency})
    return cost


def put_on_waiting_list(*, actor: Actor, customer_id: UUID, device: str, text: str = "") -> Waiting:
    """Note a customer who waits for room in the shop. Raises Missing."""
    permit(actor, "units.write_up")
    named = words(device, label="Device", field="device", limit=120)
    said = words(text, label="Words", field="text", limit=1000, required=False)
    customer = existing(Customer.objects.filter(retired_at=None), customer_id, field="customer")
    return Waiting.objects.create(customer=customer, device=named, words=said)


def end_waiting(*, actor: Actor, waiting_id: UUID) -> Waiting:
    """Take a customer off the waiting list. Ending it twice is ending it once."""
    permit(actor, "units.write_up")
    with transaction.atomic():
        row = lock(Waiting, pk=waiting_id)
        if row.ended_at is None:
            row.ended_at = clock.now()
            save(row, "ended_at")
    return row
