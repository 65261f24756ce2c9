"""The library: models, board revisions, services, parts; and the places of the shop."""

from uuid import UUID

from rest_framework import serializers

from api.fields import GivenRow, Taken, Text, text, whole
from api.operation import Call, Endpoint, operation
from api.paging import Order
from api.resources.common import existing
from shop.boards import queries as boards
from shop.boards.models import BoardRevision, DeviceModel, Service
from shop.core.tagcode import printed
from shop.parts import queries as parts
from shop.parts.models import Part
from shop.people import actions, queries
from shop.people.models import Place


class ModelOut(GivenRow):
    """A maker's model, and what is inside that can hurt."""

    class Meta:
        model = DeviceModel
        fields = ["id", "maker", "name", "mains_inside", "tube_inside", "battery_inside", "fastener_count"]


class Models(Endpoint):
    """Device models."""

    @operation("list_models", verb="boards.see", gives=ModelOut, page=Order("name"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the device models in use, by name."""
        return boards.models()


class RevisionOut(GivenRow):
    """A board revision and how to tell it."""

    class Meta:
        model = BoardRevision
        fields = ["id", "marking", "how_to_tell"]


class Revisions(Endpoint):
    """Board revisions of a model."""

    @operation("list_revisions", verb="boards.see", gives=RevisionOut, many=True)
    def get(self, call: Call, model_id: UUID) -> object:  # noqa: ARG002
        """List a model's board revisions."""
        return boards.revisions_of(existing(DeviceModel, model_id))


class ServiceOut(GivenRow):
    """Work that the shop offers; the price is in minor units before tax."""

    steps = serializers.ListField(child=serializers.CharField())

    class Meta:
        model = Service
        fields = ["id", "code", "name", "says", "minutes", "price_minor", "asks_video", "optional_extra", "steps"]


class Services(Endpoint):
    """Services."""

    @operation("list_services", verb="boards.see", gives=ServiceOut, page=Order("name"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the services on offer, by name."""
        return boards.services()


class PartOut(GivenRow):
    """A part as the shop sells it; prices are in minor units before tax."""

    class Meta:
        model = Part
        fields = ["id", "code", "name", "cost_minor", "price_minor", "reorder_at"]


class Parts(Endpoint):
    """Parts."""

    @operation("list_parts", verb="boards.see", gives=PartOut, page=Order("code"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the parts in use, by code."""
        return parts.parts()


class PlaceOut(GivenRow):
    """A shelf, a box or a bench; code is what its label shows, with the check symbol."""

    code = serializers.SerializerMethodField()
    equipment = serializers.ListField(child=serializers.CharField())

    class Meta:
        model = Place
        fields = ["id", "name", "kind", "code", "capacity", "equipment"]

    def get_code(self, place: Place) -> str:
        """Return the code as printed."""
        return printed(place.code)


class NewPlaceIn(Taken):
    """A new place."""

    name = text(40, required=True)
    kind = serializers.ChoiceField(Place.Kind.choices)
    capacity = whole(1, 10_000)
    equipment = serializers.ListField(child=Text(max_length=60), required=False, default=list, max_length=50)


class Places(Endpoint):
    """Where units lie."""

    @operation("list_places", verb="floor.see", gives=PlaceOut, page=Order("name"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the places in use, by name."""
        return queries.places()

    @operation("add_place", verb="people.change_places", takes=NewPlaceIn, gives=PlaceOut, status=201)
    def post(self, call: Call) -> Place:
        """Add a shelf, a box or a bench."""
        return actions.add_place(actor=call.actor, **call.data)
