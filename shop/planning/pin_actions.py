"""The owner's word on one unit: who it stays with, and that it goes first. Faces call these through `actions`."""

from uuid import UUID

from django.db import transaction

from shop.core import clock, duework, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock, save
from shop.core.reasons import Reason, Refused
from shop.core.text import words
from shop.people.models import User
from shop.planning.models import Pin, Precedence
from shop.units.actions import present
from shop.units.models import Unit


def pin_unit(*, actor: Actor, unit_id: UUID, version: int | None, technician_id: UUID, text: str = "") -> Unit:
    """Keep a unit with somebody: every step that they are able to do. A pin that is there gives way to it.

    Raises Stale for an old page, Refused: `unit_left`, `not_at_bench_role`, `too_long`; Missing.
    """
    permit(actor, "planning.change")
    said = words(text, label="Why", field="words", limit=200, required=False)
    with transaction.atomic():
        unit = present(unit_id, version=version)
        technician = lock(User, pk=technician_id)
        if technician.retired_at is not None or technician.role == User.Role.COUNTER:
            raise Refused(Reason("not_at_bench_role", {"name": technician.name}, "technician"))
        Pin.objects.filter(unit=unit, retired_at=None).update(retired_at=clock.now())
        Pin.objects.create(unit=unit, technician=technician, words=said)
        save(unit)
        trail.write(unit, actor, "pinned", after=technician.name, facts={"technician": technician.pk}, note=said)
        duework.plan_anew()
    return unit


def unpin_unit(*, actor: Actor, unit_id: UUID, version: int | None) -> Unit:
    """Let anybody do a unit again. Raises Stale, Refused: `unit_left`, `not_pinned`; Missing."""
    permit(actor, "planning.change")
    with transaction.atomic():
        unit = present(unit_id, version=version)
        pin = Pin.objects.filter(unit=unit, retired_at=None).select_related("technician").first()
        if pin is None:
            raise Refused(Reason("not_pinned", {"number": str(unit)}))
        pin.retired_at = clock.now()
        pin.save(update_fields=["retired_at"])
        save(unit)
        trail.write(unit, actor, "unpinned", before=pin.technician.name)
        duework.plan_anew()
    return unit


def put_first(*, actor: Actor, unit_id: UUID, version: int | None, text: str = "") -> Unit:
    """Let a unit go before the others, whatever that costs them. Twice is once.

    Raises Stale, Refused: `unit_left`, `too_long`; Missing.
    """
    permit(actor, "planning.change")
    said = words(text, label="Why", field="words", limit=200, required=False)
    with transaction.atomic():
        unit = present(unit_id, version=version)
        if Precedence.objects.filter(unit=unit, retired_at=None).exists():
            return unit
        Precedence.objects.create(unit=unit, words=said)
        save(unit)
        trail.write(unit, actor, "put_first", note=said)
        duework.plan_anew()
    return unit


def put_back(*, actor: Actor, unit_id: UUID, version: int | None) -> Unit:
    """Let a unit wait its turn again. Raises Stale, Refused: `unit_left`, `not_first`; Missing."""
    permit(actor, "planning.change")
    with transaction.atomic():
        unit = present(unit_id, version=version)
        ended = Precedence.objects.filter(unit=unit, retired_at=None).update(retired_at=clock.now())
        if not ended:
            raise Refused(Reason("not_first", {"number": str(unit)}))
        save(unit)
        trail.write(unit, actor, "put_back")
        duework.plan_anew()
    return unit
