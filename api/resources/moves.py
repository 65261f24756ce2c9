"""The journey of a unit: one address for every move, and what is recorded along the way."""

from collections.abc import Callable
from uuid import UUID

from rest_framework import serializers

from api.fields import IdOf, Taken, YesNo, text
from api.operation import Call, Endpoint, operation
from api.resources.unit_shapes import HoldOut, UnitOut
from shop.boards.models import BoardRevision
from shop.books.models import Release
from shop.floor.flows import bench, inside, intake, pickup, testing
from shop.floor.stages import Move
from shop.people.models import Place
from shop.units import actions, queries
from shop.units.models import Hold, Outcome, Unit

HOLDS = [(kind.value, kind.label) for kind in Hold.BY_HAND]


class MoveIn(Taken):
    """A move and what it asks for. Which of the fields a move reads is said in the unit's offers and its refusals."""

    move = serializers.ChoiceField([(move.value, move.value) for move in Move])
    bench = IdOf(Place, allow_null=True, required=False, default=None)
    place = IdOf(Place, allow_null=True, required=False, default=None)
    words = text(500)
    hold = serializers.ChoiceField(HOLDS, required=False, allow_blank=True, default="")
    due_on = serializers.DateField(allow_null=True, required=False, default=None)
    outcome = serializers.ChoiceField(Outcome.choices, required=False, allow_blank=True, default="")
    check_kind = serializers.ChoiceField(Release.Check.choices, required=False, allow_blank=True, default="")
    code = text(40)
    document = text(60)


def _take_in(call: Call, unit_id: UUID) -> None:
    intake.take_in(actor=call.actor, unit_id=unit_id, version=call.version, place_id=call.data["place"])


def _refuse(call: Call, unit_id: UUID) -> None:
    intake.refuse(actor=call.actor, unit_id=unit_id, version=call.version, text=call.data["words"])


def _start(call: Call, unit_id: UUID) -> None:
    move = Move(call.data["move"])
    bench.start(actor=call.actor, unit_id=unit_id, move=move, bench_id=call.data["bench"], version=call.version)


def _finish_diagnosis(call: Call, unit_id: UUID) -> None:
    bench.finish_diagnosis(actor=call.actor, unit_id=unit_id, place_id=call.data["place"], version=call.version)


def _park(call: Call, unit_id: UUID) -> None:
    said = call.data
    bench.park(
        actor=call.actor,
        unit_id=unit_id,
        text=said["words"],
        hold=said["hold"],
        due_on=said["due_on"],
        place_id=said["place"],
        version=call.version,
    )


def _finish_bench(call: Call, unit_id: UUID) -> None:
    bench.finish_bench(actor=call.actor, unit_id=unit_id, version=call.version)


def _pass_test(call: Call, unit_id: UUID) -> None:
    testing.pass_test(actor=call.actor, unit_id=unit_id, place_id=call.data["place"], version=call.version)


def _fail_test(call: Call, unit_id: UUID) -> None:
    said = call.data
    testing.fail_test(
        actor=call.actor, unit_id=unit_id, text=said["words"], bench_id=said["bench"], version=call.version
    )


def _recall(call: Call, unit_id: UUID) -> None:
    testing.recall(actor=call.actor, unit_id=unit_id, text=call.data["words"], version=call.version)


def _return_unopened(call: Call, unit_id: UUID) -> None:
    pickup.return_unopened(actor=call.actor, unit_id=unit_id, version=call.version)


def _hand_over(call: Call, unit_id: UUID) -> None:
    names = ("outcome", "check_kind", "code", "document")
    said = {name: call.data[name] for name in names}
    pickup.hand_over(actor=call.actor, unit_id=unit_id, version=call.version, **said)


_FLOWS: dict[Move, Callable[[Call, UUID], None]] = {
    Move.TAKE_IN: _take_in,
    Move.REFUSE: _refuse,
    Move.START_DIAGNOSIS: _start,
    Move.START_WORK: _start,
    Move.START_CLOSING: _start,
    Move.FINISH_DIAGNOSIS: _finish_diagnosis,
    Move.PARK: _park,
    Move.FINISH_BENCH: _finish_bench,
    Move.PASS_TEST: _pass_test,
    Move.FAIL_TEST: _fail_test,
    Move.RECALL: _recall,
    Move.RETURN_UNOPENED: _return_unopened,
    Move.HAND_OVER: _hand_over,
}


class Moves(Endpoint):
    """Moves of a unit."""

    @operation("move_unit", verb="units.move", takes=MoveIn, gives=UnitOut, if_match=True)
    def post(self, call: Call, unit_id: UUID) -> Unit:
        """Make a move of the unit's journey."""
        _FLOWS[Move(call.data["move"])](call, unit_id)
        return queries.one(unit_id)


class PlaceIn(Taken):
    """Where the unit was put."""

    place = IdOf(Place)


class UnitPlace(Endpoint):
    """Where a unit lies."""

    @operation("place_unit", verb="units.place", takes=PlaceIn, gives=UnitOut)
    def post(self, call: Call, unit_id: UUID) -> Unit:
        """Record that the unit was put into another place."""
        bench.place_unit(actor=call.actor, unit_id=unit_id, place_id=call.data["place"])
        return queries.one(unit_id)


class RevisionIn(Taken):
    """The board revision that was found, and which of its variants it is, where it has some."""

    revision = IdOf(BoardRevision)
    variant = text(30)


class Revision(Endpoint):
    """Which board is inside."""

    @operation("name_revision", verb="work.do", takes=RevisionIn, gives=UnitOut, if_match=True)
    def post(self, call: Call, unit_id: UUID) -> Unit:
        """Record which board revision was found inside."""
        revision_id, variant = call.data["revision"], call.data["variant"]
        inside.name_revision(
            actor=call.actor, unit_id=unit_id, revision_id=revision_id, variant=variant, version=call.version
        )
        return queries.one(unit_id)


class FoundRevisionIn(Taken):
    """The marking of the board that was found, and what tells it from the others."""

    marking = text(60, required=True)
    how_to_tell = text(2000)


class NewRevision(Endpoint):
    """A board that the library does not know yet."""

    @operation("found_new_revision", verb="work.do", takes=FoundRevisionIn, gives=UnitOut, if_match=True)
    def post(self, call: Call, unit_id: UUID) -> Unit:
        """Record that a board was found inside that the library does not know, and begin its entry."""
        inside.found_new_revision(actor=call.actor, unit_id=unit_id, version=call.version, **call.data)
        return queries.one(unit_id)


class HoldIn(Taken):
    """Why a unit waits, and when that should end."""

    kind = serializers.ChoiceField(HOLDS)
    words = text(200, required=True)
    due_on = serializers.DateField(allow_null=True, required=False, default=None)


class Holds(Endpoint):
    """Why a unit waits."""

    @operation("list_holds", verb="units.see", gives=HoldOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List a unit's holds, lifted ones among them."""
        return queries.one(unit_id).holds.order_by("created_at")

    @operation("hold_unit", verb="units.hold", takes=HoldIn, gives=HoldOut, status=201)
    def post(self, call: Call, unit_id: UUID) -> Hold:
        """Record why the unit waits; an open hold of the same kind gets the new words."""
        said = call.data
        return bench.hold_unit(
            actor=call.actor, unit_id=unit_id, kind=said["kind"], text=said["words"], due_on=said["due_on"]
        )


class LiftIn(Taken):
    """Which sort of hold is over."""

    kind = serializers.ChoiceField(HOLDS)


class LiftHold(Endpoint):
    """The end of a hold."""

    @operation("lift_hold", verb="units.hold", takes=LiftIn, gives=UnitOut)
    def post(self, call: Call, unit_id: UUID) -> Unit:
        """Lift an open hold."""
        bench.lift_hold(actor=call.actor, unit_id=unit_id, kind=call.data["kind"])
        return queries.one(unit_id)


class ComebackIn(Taken):
    """Whether a comeback is free of charge, and why."""

    free = YesNo()
    reason = text(500, required=True)


class Comeback(Endpoint):
    """The decision on a comeback."""

    @operation("decide_comeback", verb="units.decide_comeback", takes=ComebackIn, gives=UnitOut)
    def post(self, call: Call, unit_id: UUID) -> Unit:
        """Decide whether a comeback is free of charge."""
        actions.decide_comeback(actor=call.actor, unit_id=unit_id, **call.data)
        return queries.one(unit_id)
