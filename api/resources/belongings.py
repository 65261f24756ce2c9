"""What belongs to a unit: bags, findings, parcels, incidents, costs."""

from uuid import UUID

from rest_framework import serializers

from api.fields import GivenRow, IdOf, Taken, millimetres, minor, text, whole
from api.operation import Call, Endpoint, operation
from api.resources.board_entries import SIDES
from shop.core.models import Photo
from shop.floor.flows import intake
from shop.units import actions, queries
from shop.units.models import Bag, Cost, Finding, Incident, Parcel

BAGS = [(kind.value, kind.label) for kind in Bag.Kind if kind != Bag.Kind.UNIT]


class BagOut(GivenRow):
    """A labelled bag; printed_code has the check symbol."""

    printed_code = serializers.CharField()

    class Meta:
        model = Bag
        fields = ["id", "kind", "code", "printed_code", "contents", "created_at"]


class BagIn(Taken):
    """A bag for fasteners, removed parts or accessories."""

    kind = serializers.ChoiceField(BAGS)
    contents = text(200)


class Bags(Endpoint):
    """Bags of a unit."""

    @operation("list_bags", verb="units.see", gives=BagOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List a unit's bags, its own tag among them."""
        return queries.one(unit_id).bags.order_by("created_at")

    @operation("add_bag", verb="units.change_intake", takes=BagIn, gives=BagOut, status=201)
    def post(self, call: Call, unit_id: UUID) -> Bag:
        """Add a labelled bag."""
        return actions.add_bag(actor=call.actor, unit_id=unit_id, **call.data)


class FindingOut(GivenRow):
    """Something that was seen, and where on the board, when that was said; x and y from its lower left corner."""

    class Meta:
        model = Finding
        fields = [
            "id", "unit", "kind", "words", "photo", "x_mm", "y_mm", "side", "repair", "repair_minutes", "repair_minor",
            "settled_at", "created_at",
        ]  # fmt: skip


class FindingIn(Taken):
    """Something that was seen; words are needed for the kind other.

    x_mm and y_mm are from the board's lower left corner, seen from the top side; repair says what is to become of it,
    the other two how many minutes that takes and what it costs before tax.
    """

    kind = serializers.ChoiceField(Finding.Kind.choices)
    words = text(1000)
    photo = IdOf(Photo, allow_null=True, required=False, default=None)
    x_mm, y_mm = millimetres(), millimetres()
    side = serializers.ChoiceField(SIDES, allow_blank=True, required=False, default="")
    repair = serializers.ChoiceField(Finding.Repair.choices, allow_blank=True, required=False, default="")
    repair_minutes = whole(0, 2000, required=False, default=0)
    repair_minor = minor(required=False, default=0)


class Findings(Endpoint):
    """Findings on a unit."""

    @operation("list_findings", verb="units.see", gives=FindingOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List what was found on a unit."""
        return queries.one(unit_id).findings.order_by("created_at")

    @operation("add_finding", verb="units.find", takes=FindingIn, gives=FindingOut, status=201)
    def post(self, call: Call, unit_id: UUID) -> Finding:
        """Record something that was seen."""
        said = call.data
        spotted = actions.Spotted(
            **{name: said[name] for name in ("x_mm", "y_mm", "side", "repair")},
            minutes=said["repair_minutes"],
            price_minor=said["repair_minor"],
        )
        return actions.add_finding(
            actor=call.actor,
            unit_id=unit_id,
            kind=said["kind"],
            text=said["words"],
            photo_id=said["photo"],
            spotted=spotted,
        )


class SettleIn(Taken):
    """What was done about it."""

    words = text(500, required=True)


class SettleFinding(Endpoint):
    """The end of a finding."""

    @operation("settle_finding", verb="units.find", takes=SettleIn, gives=FindingOut)
    def post(self, call: Call, finding_id: UUID) -> Finding:
        """Record that a finding was dealt with."""
        return actions.settle_finding(actor=call.actor, finding_id=finding_id, text=call.data["words"])


class ParcelOut(GivenRow):
    """A parcel that came or went."""

    class Meta:
        model = Parcel
        fields = ["id", "direction", "carrier", "tracking", "declared_minor", "created_at"]


class ParcelIn(Taken):
    """A parcel; direction is in or out, the declared value is in minor units."""

    direction = serializers.ChoiceField(Parcel.Direction.choices)
    carrier = text(60, required=True)
    tracking = text(60)
    declared_minor = minor(required=False, default=0)


class Parcels(Endpoint):
    """Parcels of a unit."""

    @operation("list_parcels", verb="units.see", gives=ParcelOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List the parcels that a unit came and went in."""
        return queries.one(unit_id).parcels.order_by("created_at")

    @operation("record_parcel", verb="units.ship", takes=ParcelIn, gives=ParcelOut, many=True, status=201)
    def post(self, call: Call, unit_id: UUID) -> object:
        """Record a parcel, and list the unit's parcels."""
        said = dict(call.data)
        arrived = said.pop("direction") == Parcel.Direction.IN
        flow = intake.record_arrival if arrived else intake.record_departure
        return flow(actor=call.actor, unit_id=unit_id, **said).parcels.order_by("created_at")


class IncidentOut(GivenRow):
    """Something that the shop broke or lost."""

    class Meta:
        model = Incident
        fields = ["id", "words", "offer", "cost_minor", "photo", "created_at"]


class IncidentIn(Taken):
    """What happened, what was offered for it, and what that costs in minor units."""

    words = text(2000, required=True)
    offer = text(2000, required=True)
    cost_minor = minor(required=False, default=0)
    photo = IdOf(Photo, allow_null=True, required=False, default=None)


class Incidents(Endpoint):
    """Incidents with a unit."""

    @operation("list_incidents", verb="units.see", gives=IncidentOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List the incidents with a unit."""
        return queries.one(unit_id).incidents.order_by("created_at")

    @operation("record_incident", verb="units.incident", takes=IncidentIn, gives=IncidentOut, status=201)
    def post(self, call: Call, unit_id: UUID) -> Incident:
        """Record that the shop broke or lost something."""
        said = call.data
        return actions.record_incident(
            actor=call.actor,
            unit_id=unit_id,
            text=said["words"],
            offer=said["offer"],
            cost_minor=said["cost_minor"],
            photo_id=said["photo"],
        )


class CostOut(GivenRow):
    """What was spent on a unit of the shop's own."""

    class Meta:
        model = Cost
        fields = ["id", "words", "amount_minor", "created_at"]


class CostIn(Taken):
    """What was spent, in minor units."""

    words = text(120, required=True)
    amount_minor = minor()


class Costs(Endpoint):
    """What the shop's own unit cost."""

    @operation("list_costs", verb="books.see", gives=CostOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List what was spent on a unit of the shop's own."""
        return queries.one(unit_id).costs.order_by("created_at")

    @operation("add_cost", verb="units.add_cost", takes=CostIn, gives=CostOut, status=201)
    def post(self, call: Call, unit_id: UUID) -> Cost:
        """Add to what was spent on a unit of the shop's own."""
        said = call.data
        return actions.add_cost(
            actor=call.actor, unit_id=unit_id, text=said["words"], amount_minor=said["amount_minor"]
        )
