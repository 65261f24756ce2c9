"""At the test bench: readings, how far a procedure has come, and what procedures ask for."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.fields import Given, GivenRow, IdOf, Taken, YesNo, measured, text, whole
from api.operation import Call, Endpoint, operation
from api.paging import Order
from api.resources.common import Named
from shop.boards.models import DeviceModel, Service
from shop.core.models import Photo
from shop.floor.flows.testing import take_reading
from shop.testing import actions, queries
from shop.testing.models import Phase, Reading, TestPoint
from shop.units import queries as units


class ReadingOut(GivenRow):
    """A measured value or an answer, with its verdict."""

    by = Named()

    class Meta:
        model = Reading
        fields = [
            "id", "seq", "round", "phase", "point", "name", "quantity", "value", "uncertainty", "answer", "instrument",
            "verdict", "words", "photo", "by", "created_at",
        ]  # fmt: skip


class ReadingIn(Taken):
    """What a test point showed, or, without a point, any measurement with its name, quantity and limits.

    value and uncertainty (expanded, k = 2) are in the point's quantity; a yes-or-no point takes answer instead.
    """

    point = IdOf(TestPoint, allow_null=True, required=False, default=None)
    name, quantity = text(80), text(10)
    value, uncertainty, low, high = measured(), measured(), measured(), measured()
    answer = YesNo(allow_null=True, required=False, default=None)
    instrument, words = text(80), text(200)
    photo = IdOf(Photo, allow_null=True, required=False, default=None)


class Readings(Endpoint):
    """A unit's readings."""

    @operation("list_readings", verb="units.see", gives=ReadingOut, page=Order("seq"))
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List all readings of a unit in the order they were taken."""
        return queries.readings(units.one(unit_id))

    @operation("record_reading", verb="testing.measure", takes=ReadingIn, gives=ReadingOut, status=201)
    def post(self, call: Call, unit_id: UUID) -> Reading:
        """Record a reading; its verdict is judged here."""
        said: dict[str, Any] = dict(call.data)
        point_id, name, quantity = said.pop("point"), said.pop("name"), said.pop("quantity")
        limits = {"low": said.pop("low"), "high": said.pop("high")}
        answer, photo_id = said.pop("answer"), said.pop("photo")
        common = {"actor": call.actor, "unit_id": unit_id, "photo_id": photo_id, **said}
        if point_id:
            return take_reading(point_id=point_id, answer=answer, **common)
        return actions.record_free_reading(name=name, quantity=quantity, **limits, **common)


class PointOut(GivenRow):
    """One thing that is to be measured or tried."""

    class Meta:
        model = TestPoint
        fields = [
            "id", "phase", "name", "how", "quantity", "low", "high", "caution", "model", "services", "position"
        ]  # fmt: skip


class StandingOut(Given):
    """How far the procedure of a phase has come; the lists name points."""

    phase = serializers.CharField()
    passed = serializers.BooleanField(source="standing.passed")
    missing = serializers.ListField(child=serializers.CharField(), source="standing.missing")
    failed = serializers.ListField(child=serializers.CharField(), source="standing.failed")
    undecided = serializers.ListField(child=serializers.CharField(), source="standing.undecided")
    done = serializers.IntegerField(source="standing.done")
    wanted = serializers.IntegerField(source="standing.wanted")
    points = PointOut(many=True)


class Procedure(Endpoint):
    """What is to be measured and tried on a unit."""

    @operation("get_procedure", verb="units.see", gives=StandingOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """Show for each phase what is to be measured and tried, and how far that has come."""
        unit = units.one(unit_id)
        return [
            {
                "phase": phase.value,
                "standing": queries.standing(unit, phase),
                "points": queries.points_for(unit).filter(phase=phase).prefetch_related("services"),
            }
            for phase in Phase
        ]


class PointIn(Taken):
    """Something to be tried from now on: a quantity with limits, or a yes or no.

    Without a model it is for every model, without services for all work.
    """

    phase = serializers.ChoiceField(Phase.choices)
    name = text(80, required=True)
    how, quantity, caution = text(2000), text(10), text(300)
    low, high = measured(), measured()
    model = IdOf(DeviceModel, allow_null=True, required=False, default=None)
    services = serializers.ListField(child=IdOf(Service), max_length=30, required=False, default=list)
    position = whole(0, 32767, required=False, default=100)


class Points(Endpoint):
    """Everything that procedures ask for."""

    @operation("list_test_points", verb="boards.see", gives=PointOut, page=Order("created_at"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the test points in use."""
        return queries.points_in_use()

    @operation("add_test_point", verb="testing.change", takes=PointIn, gives=PointOut, status=201)
    def post(self, call: Call) -> TestPoint:
        """Add something to be measured or tried from now on."""
        said = dict(call.data)
        model_id, service_ids = said.pop("model"), said.pop("services")
        return actions.add_test_point(actor=call.actor, model_id=model_id, service_ids=service_ids, **said)


class RetirePoint(Endpoint):
    """The end of a test point."""

    @operation("retire_test_point", verb="testing.change", gives=PointOut)
    def post(self, call: Call, point_id: UUID) -> TestPoint:
        """Take a test point out of every procedure; its readings stay."""
        return actions.retire_test_point(actor=call.actor, point_id=point_id)
