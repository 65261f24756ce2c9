"""Services: the work that the shop offers. Money is minor units before tax."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.fields import Given, GivenRow, IdOf, Taken, Text, YesNo, minor, text, whole
from api.operation import Call, Endpoint, operation
from api.paging import Order
from shop.boards import queries, service_actions
from shop.boards.models import Service
from shop.core.rows import existing
from shop.parts.models import Part


class ServicePartOut(Given):
    """A part that a service brings."""

    part = serializers.UUIDField(source="part_id")
    code = serializers.CharField(source="part.code")
    quantity = serializers.IntegerField()


class ServiceWireOut(Given):
    """A wire that a service brings, and the points it runs between."""

    colour = serializers.CharField()
    length_mm = serializers.IntegerField()
    start, end = serializers.CharField(), serializers.CharField()


class ServiceOut(GivenRow):
    """Work that the shop offers."""

    steps = serializers.ListField(child=serializers.CharField())
    selects = serializers.ListField(child=serializers.CharField())
    cuts = serializers.ListField(child=serializers.CharField())
    wires = ServiceWireOut(many=True)
    equipment = serializers.ListField(child=serializers.CharField())
    parts = ServicePartOut(many=True)

    class Meta:
        model = Service
        fields = [
            "id", "version", "code", "name", "says", "minutes", "minutes_spread", "price_minor", "asks_video",
            "optional_extra", "steps", "nature", "selects", "cuts", "wires", "skill", "equipment", "cautions", "parts",
        ]  # fmt: skip


class ServicePartIn(Taken):
    """A part and how many of it."""

    part = IdOf(Part)
    quantity = whole(1, 1000)


class ServiceWireIn(Taken):
    """A wire: its colour, its length, and the points it runs between."""

    colour = text(30, required=True)
    length_mm = whole(1, 2000)
    start, end = text(60, required=True), text(60, required=True)


def _listed(limit: int, **kwargs: Any) -> serializers.ListField:
    return serializers.ListField(child=text(limit, required=True), max_length=100, required=False, **kwargs)


class ServiceIn(Taken):
    """Work to offer; code is what programs call it, minutes is hands-on time, minutes_spread how far that may be out.

    steps are the work in order; selects are the placements it is about, each a kind or a designator in which * stands
    for any signs; cuts are designators whose leg it shortens; skill and equipment are what it needs.
    """

    code = text(30, required=True)
    name = text(80, required=True)
    says = text(2000)
    minutes = whole(1, 10_000, required=False, default=30)
    price_minor = minor(required=False, default=0)
    asks_video = YesNo(required=False, default=False)
    optional_extra = YesNo(required=False, default=False)
    minutes_spread = whole(0, 10_000, required=False, default=0)
    steps, equipment = _listed(200, default=list), _listed(60, default=list)
    nature = serializers.ChoiceField(Service.Nature.choices, required=False, default=Service.Nature.OTHER.value)
    selects, cuts = _listed(60, default=list), _listed(60, default=list)
    wires = ServiceWireIn(many=True, required=False, default=list)
    skill, cautions = text(60), text(300)
    parts = ServicePartIn(many=True, required=False, default=list)


class PartsIn(Taken):
    """All parts that a service brings."""

    parts = ServicePartIn(many=True)


def _brought(listed: list[dict[str, Any]]) -> dict[UUID | str, int]:
    return {each["part"]: each["quantity"] for each in listed}


class Services(Endpoint):
    """Services."""

    @operation("list_services", verb="boards.see", gives=ServiceOut, page=Order("name"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the services offered, by name."""
        return queries.services()

    @operation("add_service", verb="boards.change", takes=ServiceIn, gives=ServiceOut, status=201)
    def post(self, call: Call) -> Service:
        """Add work that the shop offers."""
        said = call.data | {"parts": _brought(call.data["parts"])}
        return service_actions.add_service(actor=call.actor, **said)


class ServiceChange(Taken):
    """What is to be changed; the code stays."""

    name = Text(max_length=80, required=False)
    says = Text(max_length=2000, required=False, allow_blank=True)
    minutes = whole(1, 10_000, required=False)
    price_minor = minor(required=False)
    asks_video = YesNo(required=False)
    optional_extra = YesNo(required=False)
    minutes_spread = whole(0, 10_000, required=False)
    steps, equipment = _listed(200), _listed(60)
    nature = serializers.ChoiceField(Service.Nature.choices, required=False)
    selects, cuts = _listed(60), _listed(60)
    wires = ServiceWireIn(many=True, required=False)
    skill = Text(max_length=60, required=False, allow_blank=True)
    cautions = Text(max_length=300, required=False, allow_blank=True)


class OneService(Endpoint):
    """One service."""

    @operation("get_service", verb="boards.see", gives=ServiceOut)
    def get(self, call: Call, service_id: UUID) -> Service:  # noqa: ARG002
        """Show a service."""
        return existing(Service, service_id)

    @operation("change_service", verb="boards.change", takes=ServiceChange, gives=ServiceOut, if_match=True)
    def patch(self, call: Call, service_id: UUID) -> Service:
        """Change a service; what was quoted keeps its words and prices."""
        return service_actions.change_service(
            actor=call.actor, service_id=service_id, version=call.version, **call.data
        )


class RetireService(Endpoint):
    """A service no longer offered."""

    @operation("retire_service", verb="boards.change", gives=ServiceOut, if_match=True)
    def post(self, call: Call, service_id: UUID) -> Service:
        """Take a service off the list; units that have it keep it."""
        return service_actions.retire_service(actor=call.actor, service_id=service_id, version=call.version)


class ServiceParts(Endpoint):
    """The parts of a service."""

    @operation("set_service_parts", verb="boards.change", takes=PartsIn, gives=ServiceOut, if_match=True)
    def post(self, call: Call, service_id: UUID) -> Service:
        """Say which parts a service brings, in place of what was said before."""
        brought = _brought(call.data["parts"])
        return service_actions.set_service_parts(
            actor=call.actor, service_id=service_id, version=call.version, parts=brought
        )
