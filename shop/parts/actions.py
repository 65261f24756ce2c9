"""What can be bought and fitted, and from whom. Prices are minor units of the shop's currency, before tax."""

from typing import Any, TypedDict, Unpack
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from shop.core import trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock, save, unique
from shop.core.money import checked
from shop.core.reasons import Reason
from shop.core.retiring import retire
from shop.core.rows import no_such
from shop.core.text import line, whole
from shop.parts.models import Part, Supplier

_LONGEST_LEAD_DAYS = 365
_MOST_PIECES = 1_000_000


class PartFields(TypedDict, total=False):
    """What can be changed of a part. Its code stays: lots and quotes are known by it."""

    name: str
    supplier_id: UUID | str | None
    cost_minor: int
    price_minor: int
    reorder_at: int


def add_supplier(*, actor: Actor, name: str, lead_days: int = 7) -> Supplier:
    """Add a supplier that delivers within lead_days (0 to 365) and return it.

    Raises Refused: `supplier_name_taken`, `out_of_range`, `blank`, `too_long`, `hidden_character`.
    """
    permit(actor, "parts.change")
    supplier = Supplier(
        name=line(name, label=_("Name of the supplier"), field="name", limit=80),
        lead_days=whole(lead_days, low=0, high=_LONGEST_LEAD_DAYS, label=_("Days to deliver"), field="lead_days"),
    )
    with transaction.atomic():
        with unique(Reason("supplier_name_taken", {"name": supplier.name}, "name")):
            supplier.save(force_insert=True)
        trail.write(supplier, actor, "supplier_added", facts={"lead_days": lead_days})
    return supplier


def add_part(
    *,
    actor: Actor,
    code: str,
    name: str,
    supplier_id: UUID | str | None = None,
    cost_minor: int = 0,
    price_minor: int = 0,
    reorder_at: int = 0,
) -> Part:
    """Add a part and return it. reorder_at is the number of pieces at which to order more.

    Raises Missing for an unknown supplier, Refused: `part_code_taken`, `negative_money`, `out_of_range`, `blank`,
    `too_long`, `hidden_character`.
    """
    permit(actor, "parts.change")
    part = Part(code=line(code, label=_("Code of the part"), field="code", limit=40))
    with transaction.atomic():
        _apply(
            part,
            {
                "name": name,
                "supplier_id": supplier_id,
                "cost_minor": cost_minor,
                "price_minor": price_minor,
                "reorder_at": reorder_at,
            },
        )
        with unique(Reason("part_code_taken", {"code": part.code}, "code")):
            part.save(force_insert=True)
        trail.write(part, actor, "part_added", after=part.code, facts=_figures(part))
    return part


def change_part(*, actor: Actor, part_id: UUID | str, version: int, **fields: Unpack[PartFields]) -> Part:
    """Change the given fields of a part and return it. Raises Missing, Stale, and Refused as `add_part` does.

    Quotes and bills that were issued keep the prices they were issued with.
    """
    permit(actor, "parts.change")
    with transaction.atomic():
        part = lock(Part, pk=part_id, version=version)
        if changed := _apply(part, fields):
            save(part, *changed)
            trail.write(part, actor, "part_changed", facts={"fields": sorted(changed), **_figures(part)})
    return part


def retire_part(*, actor: Actor, part_id: UUID | str, version: int) -> Part:
    """Take a part off the list and return it; lots and quotes keep it. Twice is once. Raises Missing, Stale."""
    permit(actor, "parts.change")
    with transaction.atomic():
        part = lock(Part, pk=part_id, version=version)
        retire(part, actor, "part_retired", before=part.code)
    return part


def _apply(part: Part, fields: PartFields) -> list[str]:
    """Put checked fields on a part, unsaved, and return those that differ now."""
    columns: dict[str, Any] = {}
    if "name" in fields:
        columns["name"] = line(fields["name"], label=_("Name of the part"), field="name", limit=120)
    if "supplier_id" in fields:
        columns["supplier_id"] = _supplier_id(fields["supplier_id"])
    if "cost_minor" in fields:
        columns["cost_minor"] = checked(fields["cost_minor"], label=_("Cost"), field="cost_minor")
    if "price_minor" in fields:
        columns["price_minor"] = checked(fields["price_minor"], label=_("Price"), field="price_minor")
    if "reorder_at" in fields:
        columns["reorder_at"] = whole(
            fields["reorder_at"], low=0, high=_MOST_PIECES, label=_("Reorder at"), field="reorder_at"
        )
    changed = [column for column, value in columns.items() if getattr(part, column) != value]
    for column in changed:
        setattr(part, column, columns[column])
    return changed


def _supplier_id(given: UUID | str | None) -> UUID | None:
    """Return the id of a supplier in use, or None for none."""
    if given is None:
        return None
    supplier = lock(Supplier, pk=given)
    if supplier.retired_at is not None:
        raise no_such(Supplier, supplier.name)
    return supplier.id


def _figures(part: Part) -> dict[str, int]:
    return {"cost_minor": part.cost_minor, "price_minor": part.price_minor, "reorder_at": part.reorder_at}
