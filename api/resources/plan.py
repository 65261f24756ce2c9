"""The plan: who does what and when, the dates that follow, what it is made from, and the owner's word on a unit."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.fields import Given, IdOf, Taken, text
from api.operation import Call, Endpoint, operation
from api.resources.common import ReasonOut
from api.resources.unit_shapes import UnitOut
from shop.people.models import User
from shop.planning import actions
from shop.planning.models import Plan
from shop.planning.queries import record_of_promises
from shop.planning.shown import what_if
from shop.planning.shown.sheets import PlanShown, shown
from shop.planning.shown.unit_place import UnitPlace, place_of
from shop.units import queries
from shop.units.models import Unit


class PlannedStepOut(Given):
    """A piece of planned work: of which unit, by whom (null: it runs alone), where, from when until when."""

    unit_id = serializers.UUIDField()
    kind = serializers.CharField()
    words = serializers.CharField(allow_blank=True)
    technician_id = serializers.UUIDField(allow_null=True)
    bench_id = serializers.UUIDField(allow_null=True)
    begins_at = serializers.DateTimeField()
    ends_at = serializers.DateTimeField()
    minutes = serializers.IntegerField()


class DatesOut(Given):
    """When the plan ends a unit's work, the day that is sure enough, and the chance of keeping what was promised."""

    unit_id = serializers.UUIDField()
    ends_at = serializers.DateTimeField()
    sure_on = serializers.DateField(allow_null=True)
    sure_percent = serializers.IntegerField(allow_null=True)
    promise_chance_percent = serializers.IntegerField(allow_null=True)
    late_minutes = serializers.IntegerField()


class LeftOutOut(Given):
    """A unit that is not in the plan, and why."""

    unit_id = serializers.UUIDField(source="unit.pk")
    reason = ReasonOut()


class PlanOut(Given):
    """The plan that counts. generation is null while there is none; trouble says why the last run stored nothing."""

    generation = serializers.IntegerField(allow_null=True)
    stored_at = serializers.DateTimeField(allow_null=True)
    how = serializers.CharField(allow_blank=True)
    late_minutes = serializers.IntegerField()
    gap_percent = serializers.FloatField()
    running = serializers.BooleanField()
    trouble = ReasonOut(many=True)
    notes = ReasonOut(many=True)
    steps = PlannedStepOut(many=True)
    dates = DatesOut(many=True)
    left_out = LeftOutOut(many=True)


def _plan_out(seen: PlanShown) -> dict[str, Any]:
    plan = seen.plan or Plan()
    return {
        "generation": plan.generation,
        "stored_at": plan.stored_at,
        "how": plan.how,
        "late_minutes": plan.late_minutes,
        "gap_percent": round(plan.gap_percent, 1),
        "running": seen.running,
        "trouble": seen.trouble,
        "notes": seen.notes,
        "steps": seen.steps,
        "dates": [row.planned for row in seen.dates],
        "left_out": seen.left_out,
    }


class ThePlan(Endpoint):
    """The plan of the whole shop."""

    @operation("get_plan", verb="planning.see", gives=PlanOut)
    def get(self, call: Call) -> dict[str, Any]:  # noqa: ARG002
        """Show the plan that counts, from now on."""
        return _plan_out(shown())

    @operation("ask_for_plan", verb="planning.change", status=202)
    def post(self, call: Call) -> None:
        """Ask for a new plan; it is made in the background."""
        actions.ask_for_plan(actor=call.actor)


class RecordOut(Given):
    """Of the dates promised at the shop's percent: how many fell due, how many were kept, with a 95 % interval."""

    percent = serializers.IntegerField()
    promised = serializers.IntegerField()
    kept = serializers.IntegerField()
    kept_percent = serializers.FloatField()
    low_percent = serializers.FloatField()
    high_percent = serializers.FloatField()


class PromiseRecord(Endpoint):
    """Were promises kept?"""

    @operation("list_promise_record", verb="planning.see", gives=RecordOut, many=True)
    def get(self, call: Call) -> list[Any]:  # noqa: ARG002
        """Show how many promises were kept; empty while none has fallen due."""
        share = record_of_promises()
        return [share] if share else []


class UnitPlanOut(Given):
    """One unit's place in the plan: dates (null when it is left out, with the reason), steps, why, pin, precedence."""

    planned = DatesOut(allow_null=True)
    left_out = ReasonOut(allow_null=True)
    steps = PlannedStepOut(many=True)
    why = ReasonOut(many=True)
    pinned_to = serializers.UUIDField(allow_null=True)
    goes_first = serializers.BooleanField()


def _unit_plan(unit_id: UUID) -> dict[str, Any]:
    seen: UnitPlace = place_of(queries.one(unit_id))
    return {
        "planned": seen.planned,
        "left_out": seen.left_out,
        "steps": seen.steps,
        "why": seen.why,
        "pinned_to": seen.pin.technician_id if seen.pin else None,
        "goes_first": seen.first is not None,
    }


class UnitPlan(Endpoint):
    """One unit in the plan."""

    @operation("get_unit_plan", verb="planning.see", gives=UnitPlanOut)
    def get(self, call: Call, unit_id: UUID) -> dict[str, Any]:  # noqa: ARG002
        """Show a unit's place in the plan and why it lies there."""
        return _unit_plan(unit_id)


class ChangeOut(Given):
    """When a unit would be ready, and is by the plan now (null: no place); how many days late that would be."""

    unit_id = serializers.UUIDField(source="unit.pk")
    before = serializers.DateTimeField(allow_null=True)
    after = serializers.DateTimeField(allow_null=True)
    days_late = serializers.IntegerField()


class CostOfFirstOut(Given):
    """What it costs the others that a unit goes first: who would be ready a day later or more."""

    own_before = serializers.DateTimeField(allow_null=True)
    own_end = serializers.DateTimeField(allow_null=True)
    later = ChangeOut(many=True)
    reason = ReasonOut(allow_null=True)


class CostOfFirst(Endpoint):
    """What moving up would cost."""

    @operation("get_cost_of_first", verb="planning.see", gives=CostOfFirstOut)
    def get(self, call: Call, unit_id: UUID) -> what_if.Cost:  # noqa: ARG002
        """Show what letting a unit go first would cost the others. Changes nothing."""
        return what_if.cost_of_first(queries.one(unit_id))


class WhyIn(Taken):
    """Why, in a few words."""

    words = text(200)


class PinIn(WhyIn):
    """With whom a unit stays, and why."""

    technician = IdOf(User)


class PinUnit(Endpoint):
    """A unit stays with somebody."""

    @operation("pin_unit", verb="planning.change", takes=PinIn, gives=UnitOut, if_match=True)
    def post(self, call: Call, unit_id: UUID) -> Unit:
        """Keep a unit with somebody."""
        said = call.data
        actions.pin_unit(
            actor=call.actor,
            unit_id=unit_id,
            version=call.version,
            technician_id=said["technician"],
            text=said["words"],
        )
        return queries.one(unit_id)


class UnpinUnit(Endpoint):
    """A unit stays with nobody."""

    @operation("unpin_unit", verb="planning.change", gives=UnitOut, if_match=True)
    def post(self, call: Call, unit_id: UUID) -> Unit:
        """Let anybody do a unit again."""
        actions.unpin_unit(actor=call.actor, unit_id=unit_id, version=call.version)
        return queries.one(unit_id)


class PutFirst(Endpoint):
    """A unit goes first."""

    @operation("put_unit_first", verb="planning.change", takes=WhyIn, gives=UnitOut, if_match=True)
    def post(self, call: Call, unit_id: UUID) -> Unit:
        """Let a unit go before the others."""
        words = call.data["words"]
        actions.put_first(actor=call.actor, unit_id=unit_id, version=call.version, text=words)
        return queries.one(unit_id)


class PutBack(Endpoint):
    """A unit waits its turn."""

    @operation("put_unit_back", verb="planning.change", gives=UnitOut, if_match=True)
    def post(self, call: Call, unit_id: UUID) -> Unit:
        """Let a unit wait its turn again."""
        actions.put_back(actor=call.actor, unit_id=unit_id, version=call.version)
        return queries.one(unit_id)
