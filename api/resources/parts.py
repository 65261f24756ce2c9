"""Parts as the shop stocks and sells them, and their suppliers. Money is minor units before tax."""

from typing import Any
from uuid import UUID

from api.fields import GivenRow, IdOf, Taken, Text, minor, text, whole
from api.operation import Call, Endpoint, operation
from api.paging import Order
from api.resources.common import Named
from shop.core.rows import existing
from shop.parts import actions, queries
from shop.parts.models import Part, Supplier


class PartOut(GivenRow):
    """A part as the shop stocks and sells it."""

    supplier = Named(allow_null=True)

    class Meta:
        model = Part
        fields = ["id", "version", "code", "name", "supplier", "cost_minor", "price_minor", "reorder_at"]


class PartIn(Taken):
    """A new part; reorder_at is the number of pieces at which to order more."""

    code = text(40, required=True)
    name = text(120, required=True)
    supplier = IdOf(Supplier, allow_null=True, required=False, default=None)
    cost_minor = minor(required=False, default=0)
    price_minor = minor(required=False, default=0)
    reorder_at = whole(0, 1_000_000, required=False, default=0)


class PartChange(Taken):
    """What is to be changed; the code stays."""

    name = Text(max_length=120, required=False)
    supplier = IdOf(Supplier, allow_null=True, required=False)
    cost_minor = minor(required=False)
    price_minor = minor(required=False)
    reorder_at = whole(0, 1_000_000, required=False)


def _part_fields(data: dict[str, Any]) -> dict[str, Any]:
    return {("supplier_id" if name == "supplier" else name): value for name, value in data.items()}


class Parts(Endpoint):
    """Parts."""

    @operation("list_parts", verb="boards.see", gives=PartOut, page=Order("code"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the parts, by code."""
        return queries.parts()

    @operation("add_part", verb="parts.change", takes=PartIn, gives=PartOut, status=201, location="api:part")
    def post(self, call: Call) -> Part:
        """Add a part."""
        return actions.add_part(actor=call.actor, **_part_fields(call.data))


class OnePart(Endpoint):
    """One part."""

    @operation("get_part", verb="boards.see", gives=PartOut)
    def get(self, call: Call, part_id: UUID) -> Part:  # noqa: ARG002
        """Show a part."""
        return existing(Part, part_id)

    @operation("change_part", verb="parts.change", takes=PartChange, gives=PartOut, if_match=True)
    def patch(self, call: Call, part_id: UUID) -> Part:
        """Change a part; what was quoted or billed keeps its price."""
        return actions.change_part(actor=call.actor, part_id=part_id, version=call.version, **_part_fields(call.data))


class RetirePart(Endpoint):
    """A part no longer kept."""

    @operation("retire_part", verb="parts.change", gives=PartOut, if_match=True)
    def post(self, call: Call, part_id: UUID) -> Part:
        """Take a part off the list; lots and quotes keep it."""
        return actions.retire_part(actor=call.actor, part_id=part_id, version=call.version)


class SupplierOut(GivenRow):
    """Where parts come from."""

    class Meta:
        model = Supplier
        fields = ["id", "name", "lead_days"]


class SupplierIn(Taken):
    """A new supplier, and within how many days it delivers."""

    name = text(80, required=True)
    lead_days = whole(0, 365, required=False, default=7)


class Suppliers(Endpoint):
    """Suppliers."""

    @operation("list_suppliers", verb="boards.see", gives=SupplierOut, page=Order("name"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the suppliers, by name."""
        return queries.suppliers()

    @operation("add_supplier", verb="parts.change", takes=SupplierIn, gives=SupplierOut, status=201)
    def post(self, call: Call) -> Supplier:
        """Add a supplier."""
        return actions.add_supplier(actor=call.actor, **call.data)
