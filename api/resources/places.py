"""Shelves, boxes and benches."""

from uuid import UUID

from rest_framework import serializers

from api.fields import GivenRow, Taken, Text, text, whole
from api.operation import Call, Endpoint, operation
from api.paging import Order
from shop.core.rows import existing
from shop.core.tagcode import printed
from shop.people import actions, queries
from shop.people.models import Place
from shop.units.queries import units_in


class PlaceOut(GivenRow):
    """A shelf, a box or a bench; code is what its label shows, with the check symbol."""

    code = serializers.SerializerMethodField()
    equipment = serializers.ListField(child=serializers.CharField())

    class Meta:
        model = Place
        fields = ["id", "version", "name", "kind", "code", "capacity", "equipment", "retired_at"]

    def get_code(self, place: Place) -> str:
        """Return the code as printed."""
        return printed(place.code)


def _equipment(**kwargs: object) -> serializers.ListField:
    return serializers.ListField(child=text(60, required=True), max_length=20, required=False, **kwargs)  # type: ignore[arg-type]


class NewPlaceIn(Taken):
    """A new place, and how many units it has room for."""

    name = text(40, required=True)
    kind = serializers.ChoiceField(Place.Kind.choices)
    capacity = whole(1, 500)
    equipment = _equipment(default=list)


class PlaceChange(Taken):
    """What is to be changed; the kind stays."""

    name = Text(max_length=40, required=False)
    capacity = whole(1, 500, required=False)
    equipment = _equipment()


class Places(Endpoint):
    """All places."""

    @operation("list_places", verb="floor.see", gives=PlaceOut, page=Order("name"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the places in use, by name."""
        return queries.places()

    @operation(
        "add_place", verb="people.change_places", takes=NewPlaceIn, gives=PlaceOut, status=201, location="api:place-one"
    )
    def post(self, call: Call) -> Place:
        """Add a place."""
        return actions.add_place(actor=call.actor, **call.data)


class OnePlace(Endpoint):
    """One place."""

    @operation("get_place", verb="floor.see", gives=PlaceOut)
    def get(self, call: Call, place_id: UUID) -> Place:  # noqa: ARG002
        """Show a place."""
        return existing(Place, place_id)

    @operation("change_place", verb="people.change_places", takes=PlaceChange, gives=PlaceOut, if_match=True)
    def patch(self, call: Call, place_id: UUID) -> Place:
        """Change a place."""
        return actions.change_place(actor=call.actor, place_id=place_id, version=call.version, **call.data)


class RetirePlace(Endpoint):
    """The end of a place."""

    @operation("retire_place", verb="people.change_places", gives=PlaceOut, if_match=True)
    def post(self, call: Call, place_id: UUID) -> Place:
        """Take an empty place out of use."""
        return actions.retire_place(actor=call.actor, place_id=place_id, version=call.version, units_there=units_in)
