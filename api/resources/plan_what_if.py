"""What would happen if: one question about the plan, answered beside it. Changes nothing."""

from typing import Any

from rest_framework import serializers

from api.fields import Given, IdOf, Taken
from api.operation import Call, Endpoint, operation
from api.resources.common import ReasonOut
from api.resources.plan import ChangeOut
from shop.boards.models import Service
from shop.core.reasons import Reason, Refused
from shop.people.models import User
from shop.planning.shown import what_if


class WhatIfIn(Taken):
    """One question: unit (with services), sick (technician, day), third, or saturday (day, begins, ends)."""

    ask = serializers.ChoiceField([(name, name) for name in ("unit", "sick", "third", "saturday")])
    services = serializers.ListField(child=IdOf(Service), required=False, default=list, max_length=20)
    technician = IdOf(User, allow_null=True, required=False, default=None)
    day = serializers.DateField(allow_null=True, required=False, default=None)
    begins = serializers.TimeField(allow_null=True, required=False, default=None)
    ends = serializers.TimeField(allow_null=True, required=False, default=None)


class LoadThen(Given):
    """Minutes of work that somebody has in the plan, now and then."""

    name = serializers.CharField()
    before_min = serializers.IntegerField()
    after_min = serializers.IntegerField()


class WhatIfOut(Given):
    """What would change: units ready on another day, work by technician, lateness; reason when nothing can be said."""

    moved = ChangeOut(many=True)
    loads = LoadThen(many=True)
    late_minutes_before = serializers.IntegerField()
    late_minutes_after = serializers.IntegerField()
    new_end = serializers.DateTimeField(allow_null=True)
    new_reason = ReasonOut(allow_null=True)
    reason = ReasonOut(allow_null=True)


def _needed(said: dict[str, Any], *names: str) -> None:
    for name in names:
        if not said[name]:
            raise Refused(Reason("blank", {"label": name}, name))


def _answer(said: dict[str, Any]) -> what_if.WhatIf:
    if said["ask"] == "unit":
        _needed(said, "services")
        return what_if.add_unit(list(Service.objects.filter(pk__in=said["services"])))
    if said["ask"] == "sick":
        _needed(said, "technician", "day")
        return what_if.sick_day(User.objects.get(pk=said["technician"]), said["day"])
    if said["ask"] == "third":
        return what_if.third_technician("third")
    if said["begins"] is None or said["ends"] is None:
        raise Refused(Reason("hours_half_given", {}, "begins"))
    _needed(said, "day")
    return what_if.extra_day(said["day"], said["begins"], said["ends"])


class AskWhatIf(Endpoint):
    """What would happen if."""

    @operation("ask_what_if", verb="planning.see", takes=WhatIfIn, gives=WhatIfOut)
    def post(self, call: Call) -> what_if.WhatIf:
        """Say what a change would do to the plan. Changes nothing."""
        return _answer(call.data)
