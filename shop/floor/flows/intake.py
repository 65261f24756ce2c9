"""From the first word of a unit to its place in the queue."""

from dataclasses import dataclass, field
from uuid import UUID

from django.db import transaction
from django.utils.translation import get_language
from django.utils.translation import gettext as _

from shop.boards.models import DeviceModel, Service
from shop.core import duework, money, trail
from shop.core.actor import Actor, permit
from shop.core.numbering import next_number
from shop.core.profile import profile
from shop.core.reasons import Missing, Reason, Refused
from shop.core.tagcode import tidy
from shop.core.text import choice, words
from shop.floor.flows.common import put_aside, reason_words, tell_ready
from shop.floor.gates import insist
from shop.floor.stages import Move
from shop.notices import steps as notices
from shop.people import steps as people
from shop.people.models import Customer
from shop.units import links, steps
from shop.units.actions import present
from shop.units.models import Announcement, Stage, Unit


def announce(*, actor: Actor, name: str, email: str, phone: str, device: str, complaint: str) -> Announcement:
    """Note a unit that somebody means to send, and tell them how to pack it and which code to put in.

    Raises Refused naming the field that is missing or malformed.
    """
    permit(actor, "units.announce")
    row = Announcement(
        name=words(name, label=_("Name"), field="name", limit=120),
        email=people.checked_email(email),
        phone=people.checked_phone(phone) if phone.strip() else "",
        device=words(device, label=_("Device"), field="device", limit=120),
        complaint=words(complaint, label=_("What is wrong, or wished for"), field="complaint"),
    )
    with transaction.atomic():
        row.save(force_insert=True)
        facts: dict[str, object] = {"code": row.code, "device": row.device, "name": row.name}
        notices.tell_address(
            event="announced", address=row.email, language=get_language() or "en", key=str(row.id), facts=facts
        )
    return row


@dataclass(frozen=True, slots=True, kw_only=True)
class WriteUp:
    """What is written up at intake. Money is minor units; customer_id None means the shop's own unit."""

    customer_id: UUID | None
    model_id: UUID
    serial: str = ""
    complaint: str = ""
    came_with: str = ""
    condition: str = ""
    service_ids: tuple[UUID, ...] = ()
    by_mail: bool = False
    agreed: str = "nothing"
    spending_limit_minor: int = 0
    cable: str = ""
    display: str = ""
    region: str = ""
    earlier_unit_id: UUID | None = None
    announcement_code: str = ""
    consents: dict[str, bool] = field(default_factory=dict)


def write_up(*, actor: Actor, given: WriteUp) -> Unit:
    """Write up a unit: it gets its number, its tag, the customer's link, and a notice goes out.

    Raises Refused naming the field. Nothing is written unless everything is right.
    """
    permit(actor, "units.write_up")
    shop = profile()
    unit = _unit_of(given)
    with transaction.atomic():
        unit.earlier_unit = _earlier(given.earlier_unit_id)
        unit.number = next_number("unit")
        unit.agreed_fee_minor = shop.diagnosis_fee_minor if unit.agreed == Unit.Agreed.FEE else 0
        unit.save(force_insert=True)
        unit.services.set(Service.objects.filter(pk__in=given.service_ids, retired_at=None))
        facts: dict[str, object] = {"number": unit.number, "model": given.model_id, "by_mail": unit.by_mail}
        if unit.earlier_unit:
            facts["earlier_unit"] = unit.earlier_unit.number
        trail.write(unit, actor, "written_up", after=Stage.INTAKE, facts=facts)
        steps.give_tag(unit)
        if unit.customer_id:
            steps.record_consents(unit, actor, shop, given.consents)
            links.make_link(unit)
            notices.tell(event="received", unit=unit, key=str(unit.id))
        if given.announcement_code.strip():
            _meet_announcement(unit, actor, given.announcement_code)
        duework.plan_anew()
    return unit


def _unit_of(given: WriteUp) -> Unit:
    """Return an unsaved unit with checked words and figures."""
    if not DeviceModel.objects.filter(pk=given.model_id, retired_at=None).exists():
        raise Refused(Reason("model_unknown", {}, "model"))
    if given.customer_id and not Customer.objects.filter(pk=given.customer_id, retired_at=None).exists():
        raise Missing(Reason("missing", {"thing": "customer", "sought": given.customer_id}, "customer"))
    agreed = choice(given.agreed, list(Unit.Agreed.values), label="What was agreed", field="agreed")
    limit = money.checked(given.spending_limit_minor, label="Spending limit", field="spending_limit")
    if agreed == Unit.Agreed.LIMIT and not limit:
        raise Refused(Reason("limit_needs_amount", {}, "spending_limit"))
    own = given.customer_id is None
    return Unit(
        customer_id=given.customer_id,
        model_id=given.model_id,
        serial=words(given.serial, label="Serial number", field="serial", limit=60, required=False),
        complaint=words(given.complaint, label="Complaint", field="complaint", required=not own),
        came_with=words(given.came_with, label="What came with it", field="came_with", limit=1000, required=False),
        condition=words(given.condition, label="Condition", field="condition", required=False),
        cable=words(given.cable, label="Cable", field="cable", limit=80, required=False),
        display=words(given.display, label="Display", field="display", limit=80, required=False),
        region=words(given.region, label="Region", field="region", limit=40, required=False),
        by_mail=given.by_mail,
        agreed=agreed,
        spending_limit_minor=limit,
    )


def _earlier(unit_id: UUID | None) -> Unit | None:
    if unit_id is None:
        return None
    earlier = Unit.objects.filter(pk=unit_id).first()
    if earlier is None:
        raise Missing(Reason("missing", {"thing": "unit", "sought": unit_id}))
    return earlier


def _meet_announcement(unit: Unit, actor: Actor, code: str) -> None:
    """Tie the announced parcel to the unit; the code is taken with or without its check symbol."""
    known = Announcement.objects.filter(code=tidy(code)[:7]).first()
    if known is None:
        raise Refused(Reason("announcement_unknown", {"given": code[:40]}, "announcement"))
    steps.claim_announcement(unit, actor, known.id)


def take_in(*, actor: Actor, unit_id: UUID, version: int | None = None, place_id: UUID | None = None) -> Unit:
    """Move a written-up unit to the queue and put it on a shelf: the one scanned, or the first with room."""
    permit(actor, "units.move")
    with transaction.atomic():
        unit = present(unit_id, version=version)
        if unit.place is None or place_id:
            put_aside(unit, actor, place_id)
        insist(unit, Move.TAKE_IN)
        steps.move(unit, actor, to=Stage.QUEUE)
        duework.plan_anew()
    return unit


def refuse(*, actor: Actor, unit_id: UUID, text: str, version: int | None = None) -> Unit:
    """Refuse a unit at intake, with the reason; it goes to pickup to be given back."""
    permit(actor, "units.move")
    said = reason_words(Move.REFUSE, text)
    with transaction.atomic():
        unit = present(unit_id, version=version)
        insist(unit, Move.REFUSE)
        unit.ending = Unit.Ending.REFUSED
        unit.save(update_fields=["ending"])
        steps.move(unit, actor, to=Stage.PICKUP, what="refused", note=said)
        tell_ready(unit, f"{unit.id}:refused")
        duework.plan_anew()
    return unit


def record_arrival(*, actor: Actor, unit_id: UUID, carrier: str, tracking: str, declared_minor: int) -> Unit:
    """Record the parcel that a unit came in; its pictures are unit photos of the purpose packing_in."""
    return _parcel(actor, unit_id, direction="in", carrier=carrier, tracking=tracking, declared_minor=declared_minor)


def record_departure(*, actor: Actor, unit_id: UUID, carrier: str, tracking: str, declared_minor: int) -> Unit:
    """Record the parcel that a unit leaves in; its pictures are unit photos of the purpose packing_out."""
    return _parcel(actor, unit_id, direction="out", carrier=carrier, tracking=tracking, declared_minor=declared_minor)


def _parcel(actor: Actor, unit_id: UUID, *, direction: str, carrier: str, tracking: str, declared_minor: int) -> Unit:
    permit(actor, "units.ship")
    named = words(carrier, label="Carrier", field="carrier", limit=60)
    number = words(tracking, label="Tracking number", field="tracking", limit=60, required=False)
    value = money.checked(declared_minor, label="Declared value", field="declared")
    with transaction.atomic():
        unit = present(unit_id)
        steps.record_parcel(
            unit, actor, direction=direction, carrier=named, tracking=number, declared_minor=value
        )  # fmt: skip
    return unit
