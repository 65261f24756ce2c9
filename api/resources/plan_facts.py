"""What the plan is made from: hours, days off, extra days, skills, what runs alone, and how sure dates are."""

from typing import Any

from rest_framework import serializers

from api.fields import Given, IdOf, Taken, Text, text, whole
from api.operation import Call, Endpoint, operation
from shop.boards.models import Service
from shop.people.models import User
from shop.planning import actions
from shop.planning.shown.facts import FactsShown, facts_shown
from shop.testing.models import TestPoint


class ShiftOut(Given):
    """Hours on a weekday (Monday is 0), on the shop's clock; until 00:00 is until midnight."""

    id = serializers.UUIDField()
    technician_id = serializers.UUIDField()
    weekday = serializers.IntegerField()
    begins = serializers.TimeField()
    ends = serializers.TimeField()


class DayOffOut(Given):
    """Days off of somebody, or (null) of the whole shop; with hours only those of each day."""

    id = serializers.UUIDField()
    technician_id = serializers.UUIDField(allow_null=True)
    from_day = serializers.DateField()
    until_day = serializers.DateField()
    begins = serializers.TimeField(allow_null=True)
    ends = serializers.TimeField(allow_null=True)
    words = serializers.CharField(allow_blank=True)


class ExtraDayOut(Given):
    """A day that is worked by somebody, or (null) by everybody, in these hours."""

    id = serializers.UUIDField()
    technician_id = serializers.UUIDField(allow_null=True)
    day = serializers.DateField()
    begins = serializers.TimeField()
    ends = serializers.TimeField()


class SkillOut(Given):
    """What somebody can do, and how fast in percent of the estimate's speed."""

    id = serializers.UUIDField()
    technician_id = serializers.UUIDField()
    skill = serializers.CharField()
    percent = serializers.IntegerField()


class AloneOut(Given):
    """Minutes that something runs with nobody at it: after a service, or for a test point."""

    id = serializers.UUIDField()
    service_id = serializers.UUIDField(allow_null=True)
    point_id = serializers.UUIDField(allow_null=True)
    minutes = serializers.IntegerField()


class PlanFactsOut(Given):
    """What was entered. Who has no shifts works minutes_per_day on weekdays; who has no skills can do everything."""

    version = serializers.IntegerField()
    promise_percent = serializers.IntegerField()
    holidays_of = serializers.CharField(allow_blank=True)
    minutes_per_day = serializers.IntegerField()
    shifts = ShiftOut(many=True)
    skills = SkillOut(many=True)
    days_off = DayOffOut(many=True)
    extra_days = ExtraDayOut(many=True)
    alone = AloneOut(many=True)


class FiguresIn(Taken):
    """How sure promises are in percent, whose public holidays are kept (US, US-MD, nothing), a usual day in minutes."""

    promise_percent = whole(50, 99)
    holidays_of = text(10)
    minutes_per_day = whole(1, 1440)


def _facts() -> dict[str, Any]:
    seen: FactsShown = facts_shown()
    names = ("version", "promise_percent", "holidays_of", "minutes_per_day")
    return {name: getattr(seen.shop, name) for name in names} | {
        "shifts": [shift for person in seen.people for shift in person.shifts],
        "skills": [skill for person in seen.people for skill in person.skills],
        "days_off": seen.days_off,
        "extra_days": seen.extra_days,
        "alone": seen.alone,
    }


class PlanFacts(Endpoint):
    """What the plan is made from."""

    @operation("get_plan_facts", verb="planning.see", gives=PlanFactsOut)
    def get(self, call: Call) -> dict[str, Any]:  # noqa: ARG002
        """Show shifts, skills, days off and how sure dates are."""
        return _facts()

    @operation("set_plan_figures", verb="planning.change", takes=FiguresIn, gives=PlanFactsOut, if_match=True)
    def patch(self, call: Call) -> dict[str, Any]:
        """Set how sure promises are, whose holidays are kept, and a usual day."""
        actions.set_figures(actor=call.actor, version=call.version, **call.data)
        return _facts()


class ShiftsIn(Taken):
    """The same hours on weekdays (Monday is 0)."""

    technician = IdOf(User)
    weekdays = serializers.ListField(child=whole(0, 6), min_length=1, max_length=7)
    begins = serializers.TimeField()
    ends = serializers.TimeField()


class Shifts(Endpoint):
    """Hours of somebody's week."""

    @operation("add_shifts", verb="planning.change", takes=ShiftsIn, gives=ShiftOut, many=True, status=201)
    def post(self, call: Call) -> object:
        """Add hours to somebody's week."""
        said = dict(call.data)
        return actions.add_shifts(actor=call.actor, technician_id=said.pop("technician"), **said)


class DayOffIn(Taken):
    """Days off of somebody or, without a technician, of the whole shop."""

    technician = IdOf(User, allow_null=True, required=False, default=None)
    from_day = serializers.DateField()
    until_day = serializers.DateField(allow_null=True, required=False, default=None)
    begins = serializers.TimeField(allow_null=True, required=False, default=None)
    ends = serializers.TimeField(allow_null=True, required=False, default=None)
    words = text(120)


class DaysOff(Endpoint):
    """Days off."""

    @operation("add_day_off", verb="planning.change", takes=DayOffIn, gives=DayOffOut, status=201)
    def post(self, call: Call) -> object:
        """Record days without work."""
        said = dict(call.data)
        who, words = said.pop("technician"), said.pop("words")
        return actions.add_day_off(actor=call.actor, technician_id=who, text=words, **said)


class ExtraDayIn(Taken):
    """A day that is worked by somebody or, without a technician, by everybody."""

    technician = IdOf(User, allow_null=True, required=False, default=None)
    day = serializers.DateField()
    begins = serializers.TimeField()
    ends = serializers.TimeField()


class ExtraDays(Endpoint):
    """Extra days."""

    @operation("add_extra_day", verb="planning.change", takes=ExtraDayIn, gives=ExtraDayOut, status=201)
    def post(self, call: Call) -> object:
        """Record that a day is worked."""
        said = dict(call.data)
        return actions.add_extra_day(actor=call.actor, technician_id=said.pop("technician"), **said)


class SkillIn(Taken):
    """What somebody can do, and how fast."""

    technician = IdOf(User)
    skill = Text(max_length=60)
    percent = whole(10, 400, required=False, default=100)


class Skills(Endpoint):
    """Skills."""

    @operation("set_skill", verb="planning.change", takes=SkillIn, gives=SkillOut, status=201)
    def post(self, call: Call) -> object:
        """Record what somebody can do."""
        said = dict(call.data)
        return actions.set_skill(actor=call.actor, technician_id=said.pop("technician"), **said)


class AloneIn(Taken):
    """How long something runs alone: after a service or for a test point, one of the two."""

    service = IdOf(Service, allow_null=True, required=False, default=None)
    point = IdOf(TestPoint, allow_null=True, required=False, default=None)
    minutes = whole(1, 20160)


class RunsAlone(Endpoint):
    """What runs alone."""

    @operation("set_alone", verb="planning.change", takes=AloneIn, gives=AloneOut, status=201)
    def post(self, call: Call) -> object:
        """Record drying or a soak."""
        said = call.data
        return actions.set_alone(
            actor=call.actor, service_id=said["service"], point_id=said["point"], minutes=said["minutes"]
        )


class RemoveIn(Taken):
    """Which entry no longer holds."""

    kind = serializers.ChoiceField([(kind, kind) for kind in actions.REMOVABLE])
    id = serializers.UUIDField()


class RemoveFact(Endpoint):
    """An entry that no longer holds."""

    @operation("remove_plan_fact", verb="planning.change", takes=RemoveIn, gives=PlanFactsOut)
    def post(self, call: Call) -> dict[str, Any]:
        """Take back a shift, a day off, an extra day, a skill or what runs alone."""
        actions.remove_fact(actor=call.actor, kind=call.data["kind"], fact_id=call.data["id"])
        return _facts()
