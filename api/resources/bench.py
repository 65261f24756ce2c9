"""At the bench: the job sheet and the fasteners' account."""

from uuid import UUID

from api.fields import GivenRow, IdOf, Taken, measured, text, whole
from api.operation import Call, Endpoint, operation
from api.resources.common import Named
from shop.core.models import Photo
from shop.floor.flows import inside
from shop.units import queries as units
from shop.work import actions, fastener_actions, queries
from shop.work.models import FastenerGroup, JobStep


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
    value = measured()


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
