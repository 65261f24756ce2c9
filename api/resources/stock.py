"""Lots of parts that came in, and the kit of parts of one unit."""

from uuid import UUID

from rest_framework import serializers

from api.fields import Given, GivenRow, IdOf, Taken, minor, text, whole
from api.operation import Call, Endpoint, operation
from api.paging import Order
from shop.parts.models import Part
from shop.stock import actions
from shop.stock.models import Lot
from shop.stock.queries import KitLine, kit
from shop.units import queries


class LotOut(GivenRow):
    """Parts that were bought together."""

    class Meta:
        model = Lot
        fields = ["id", "part", "marking", "on_hand", "reserved", "cost_minor", "created_at"]


class LotIn(Taken):
    """Parts that came in; cost_minor is what one cost."""

    part = IdOf(Part)
    quantity = whole(1, 1_000_000)
    cost_minor = minor(required=False, default=0)
    marking = text(60)


class Lots(Endpoint):
    """Lots of parts."""

    @operation("list_lots", verb="boards.see", gives=LotOut, page=Order("created_at"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the lots that came in, oldest first."""
        return Lot.objects.all()

    @operation("receive_lot", verb="stock.change", takes=LotIn, gives=LotOut, status=201)
    def post(self, call: Call) -> Lot:
        """Take in parts that were bought together."""
        said = dict(call.data)
        return actions.receive_lot(actor=call.actor, part_id=said.pop("part"), **said)


class KitOut(Given):
    """What a unit's kit holds of one lot."""

    lot_id = serializers.UUIDField()
    part_id = serializers.UUIDField()
    code = serializers.CharField()
    name = serializers.CharField()
    reserved = serializers.IntegerField()
    issued = serializers.IntegerField()


class KitPartIn(Taken):
    """A part, and how many the unit needs in all."""

    part = IdOf(Part)
    quantity = whole(1, 1_000_000)


class KitIn(Taken):
    """What a unit needs."""

    parts = KitPartIn(many=True, allow_empty=False)


class Kit(Endpoint):
    """The parts of one unit."""

    @operation("get_kit", verb="units.see", gives=KitOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> list[KitLine]:  # noqa: ARG002
        """List the parts set aside and fitted for a unit."""
        return kit(queries.one(unit_id))

    @operation("reserve_kit", verb="stock.change", takes=KitIn, gives=KitOut, many=True)
    def post(self, call: Call, unit_id: UUID) -> list[KitLine]:
        """Set parts aside for a unit, all or none."""
        unit = queries.one(unit_id)
        wanted = [(said["part"], said["quantity"]) for said in call.data["parts"]]
        actions.reserve_kit(actor=call.actor, unit_id=unit_id, parts=wanted)
        return kit(unit)
