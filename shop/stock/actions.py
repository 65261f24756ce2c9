"""What somebody does in the stock room: take a lot in, put a kit together, give it back, use it up."""

from collections.abc import Iterable
from uuid import UUID

from django.db import transaction

from shop.core import money, trail
from shop.core.actor import Actor, permit
from shop.core.rows import existing
from shop.core.text import words
from shop.parts.models import Part, Supplier
from shop.stock import steps
from shop.stock.models import Lot, Movement
from shop.units.actions import present


def receive_lot(
    *, actor: Actor, part_id: UUID, quantity: int, cost_minor: int = 0, supplier_id: UUID | None = None,
    marking: str = "",
) -> Lot:  # fmt: skip
    """Take in parts that were bought together; cost_minor is what one piece cost, in minor units.

    The supplier is the part's own unless another is named. Raises Refused: `out_of_range`, `negative_money`,
    `too_long`; Missing for an unknown part or supplier.
    """
    permit(actor, "stock.change")
    steps.checked(quantity)
    money.checked(cost_minor, label="Cost of one", field="cost_minor")
    marked = words(marking, label="Marking", field="marking", limit=60, required=False)
    with transaction.atomic():
        part = existing(Part, part_id, field="part")
        if supplier_id:
            existing(Supplier, supplier_id, field="supplier")
        lot = Lot.objects.create(
            part=part, supplier_id=supplier_id or part.supplier_id, marking=marked, on_hand=quantity,
            cost_minor=cost_minor,
        )  # fmt: skip
        Movement.objects.create(lot=lot, kind=Movement.Kind.RECEIVED, quantity=quantity)
        facts = {"part": part.code, "quantity": quantity, "cost_minor": cost_minor}
        trail.write(lot, actor, "lot_received", facts=facts)
    return lot


def reserve_kit(*, actor: Actor, unit_id: UUID, parts: Iterable[tuple[UUID, int]]) -> list[Movement]:
    """Set the given parts aside for a unit, oldest lots first: all of them or nothing.

    parts are (part id, how many the unit needs in all); what its kit has already counts. Raises Refused with a
    `part_short` for each part there is too little of, `out_of_range`, `unit_left`; Missing.
    """
    permit(actor, "stock.change")
    with transaction.atomic():
        return steps.reserve(actor=actor, unit=present(unit_id), parts=parts)


def release_kit(*, actor: Actor, unit_id: UUID) -> list[Movement]:
    """Give back what is still reserved for a unit; what was fitted stays. Raises Refused `unit_left`, Missing."""
    permit(actor, "stock.change")
    with transaction.atomic():
        return steps.release(actor=actor, unit=present(unit_id))


def issue_kit(*, actor: Actor, unit_id: UUID) -> list[Movement]:
    """Take what is reserved for a unit off the stock, to be fitted. Raises Refused `unit_left`, Missing."""
    permit(actor, "stock.change")
    with transaction.atomic():
        return steps.issue(actor=actor, unit=present(unit_id))
