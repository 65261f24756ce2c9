"""At the bench: the job sheet, the fasteners' account, readings and how far a procedure has come."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.fields import Given, GivenRow, IdOf, Taken, YesNo, text, whole
from api.operation import Call, Endpoint, operation
from api.paging import Order
from api.resources.common import Named
from shop.boards.models import DeviceModel, Service
from shop.core.models import Photo
from shop.floor.flows import inside
from shop.floor.flows.testing import take_reading
from shop.testing import actions as testing
from shop.testing import queries as tests
from shop.testing.models import Phase, Reading, TestPoint
from shop.units import queries as units
from shop.work import actions, fastener_actions, queries
from shop.work.models import FastenerGroup, JobStep


def _figure() -> serializers.DecimalField:
    return serializers.DecimalField(max_digits=12, decimal_places=4, allow_null=True, required=False, default=None)


class StepOut(GivenRow):
    """One step of a job sheet."""

    done_by = Named(allow_null=True)

    class Meta:
        model = JobStep
        fields = [
            "id", "position", "code", "words", "refs", "tool", "minutes", "evidence", "caution", "hold_point",
            "service", "done_at", "done_by", "photo",
        ]  # fmt: skip


class Steps(Endpoint):
    """A unit's job sheet."""

    @operation("list_steps", verb="units.see", gives=StepOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List the steps of a unit's job sheet in working order."""
        return queries.sheet(units.one(unit_id))


class StepsAgain(Endpoint):
    """A job sheet laid out again."""

    @operation("lay_out_steps_again", verb="work.do", gives=StepOut, many=True)
    def post(self, call: Call, unit_id: UUID) -> list[JobStep]:
        """Lay the job sheet out again from what is known now, and list the steps that are still to be done."""
        return queries.open_steps(inside.lay_out_again(actor=call.actor, unit_id=unit_id))


class TickIn(Taken):
    """What comes with a tick: the picture that shows it, or the reading in volts or ohms, where it is asked for."""

    photo = IdOf(Photo, allow_null=True, required=False, default=None)
    value = _figure()


class Tick(Endpoint):
    """A tick."""

    @operation("tick_step", verb="work.do", takes=TickIn, gives=StepOut)
    def post(self, call: Call, unit_id: UUID, step_id: UUID) -> JobStep:
        """Record that a step was done."""
        photo_id, value = call.data["photo"], call.data["value"]
        return inside.tick_step(actor=call.actor, unit_id=unit_id, step_id=step_id, photo_id=photo_id, value=value)


class Untick(Endpoint):
    """A tick taken back."""

    @operation("untick_step", verb="work.do", gives=StepOut)
    def post(self, call: Call, unit_id: UUID, step_id: UUID) -> JobStep:
        """Take a tick back."""
        return actions.untick(actor=call.actor, unit_id=unit_id, step_id=step_id)


class FastenersOut(GivenRow):
    """Fasteners of one kind from one place."""

    class Meta:
        model = FastenerGroup
        fields = [
            "id", "label", "where", "kind", "length_mm", "warning", "missing_on_arrival", "out", "back", "written_off",
            "created_at",
        ]  # fmt: skip


class FastenersIn(Taken):
    """How many fasteners came out, of which kind (drive, thread, length) and from where."""

    where = text(60, required=True)
    kind = text(60)
    count = whole(1, 500)


class Fasteners(Endpoint):
    """A unit's fasteners."""

    @operation("list_fasteners", verb="units.see", gives=FastenersOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List how many fasteners are out and back."""
        return queries.fasteners(units.one(unit_id))

    @operation("fasteners_out", verb="work.do", takes=FastenersIn, gives=FastenersOut)
    def post(self, call: Call, unit_id: UUID) -> FastenerGroup:
        """Record that fasteners came out."""
        return inside.take_fasteners_out(actor=call.actor, unit_id=unit_id, **call.data)


class GroupOutIn(Taken):
    """The label of a group that the library knows, and how many of it were not there on arrival."""

    label = text(20, required=True)  # type: ignore[assignment]
    missing = whole(0, 500, required=False, default=0)


class GroupOut(Endpoint):
    """A group of fasteners that came out."""

    @operation("fastener_group_out", verb="work.do", takes=GroupOutIn, gives=FastenersOut)
    def post(self, call: Call, unit_id: UUID) -> FastenerGroup:
        """Record that a group of fasteners came out that the library knows."""
        return inside.take_group_out(actor=call.actor, unit_id=unit_id, **call.data)


class BackIn(Taken):
    """How many went back, and the group that the hand took them from, where that is to be checked."""

    count = whole(1, 500)
    held = IdOf(FastenerGroup, allow_null=True, required=False, default=None)


class FastenersBack(Endpoint):
    """Fasteners that went back."""

    @operation("fasteners_back", verb="work.do", takes=BackIn, gives=FastenersOut)
    def post(self, call: Call, unit_id: UUID, group_id: UUID) -> FastenerGroup:
        """Record that fasteners of a group went back where they came from."""
        count, held_id = call.data["count"], call.data["held"]
        return fastener_actions.fasteners_back(
            actor=call.actor, unit_id=unit_id, group_id=group_id, count=count, held_id=held_id
        )


class WriteOffIn(Taken):
    """How many stay away, and why."""

    count = whole(1, 500)
    reason = text(500, required=True)


class FastenersWrittenOff(Endpoint):
    """Fasteners that stay away."""

    @operation("write_off_fasteners", verb="work.write_off", takes=WriteOffIn, gives=FastenersOut)
    def post(self, call: Call, unit_id: UUID, group_id: UUID) -> FastenerGroup:
        """Write off fasteners of a group that are lost, so that the unit can be closed without them."""
        return fastener_actions.write_off_fasteners(actor=call.actor, unit_id=unit_id, group_id=group_id, **call.data)


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
    value, uncertainty, low, high = _figure(), _figure(), _figure(), _figure()
    answer = YesNo(allow_null=True, required=False, default=None)
    instrument, words = text(80), text(200)
    photo = IdOf(Photo, allow_null=True, required=False, default=None)


class Readings(Endpoint):
    """A unit's readings."""

    @operation("list_readings", verb="units.see", gives=ReadingOut, page=Order("seq"))
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List all readings of a unit in the order they were taken."""
        return tests.readings(units.one(unit_id))

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
        return testing.record_free_reading(name=name, quantity=quantity, **limits, **common)


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
                "standing": tests.standing(unit, phase),
                "points": tests.points_for(unit).filter(phase=phase).prefetch_related("services"),
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
    low, high = _figure(), _figure()
    model = IdOf(DeviceModel, allow_null=True, required=False, default=None)
    services = serializers.ListField(child=IdOf(Service), max_length=30, required=False, default=list)
    position = whole(0, 32767, required=False, default=100)


class Points(Endpoint):
    """Everything that procedures ask for."""

    @operation("list_test_points", verb="boards.see", gives=PointOut, page=Order("created_at"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the test points in use."""
        return tests.points_in_use()

    @operation("add_test_point", verb="testing.change", takes=PointIn, gives=PointOut, status=201)
    def post(self, call: Call) -> TestPoint:
        """Add something to be measured or tried from now on."""
        said = dict(call.data)
        model_id, service_ids = said.pop("model"), said.pop("services")
        return testing.add_test_point(actor=call.actor, model_id=model_id, service_ids=service_ids, **said)


class RetirePoint(Endpoint):
    """The end of a test point."""

    @operation("retire_test_point", verb="testing.change", gives=PointOut)
    def post(self, call: Call, point_id: UUID) -> TestPoint:
        """Take a test point out of every procedure; its readings stay."""
        return testing.retire_test_point(actor=call.actor, point_id=point_id)
