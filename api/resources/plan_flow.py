"""Load and flow: what came and went, time in each stage, who is busy, and warnings before a jam."""

from typing import Any

from rest_framework import serializers

from api.fields import Given
from api.operation import Call, Endpoint, operation
from shop.planning.shown.flow import flow_shown


class FlowDay(Given):
    """A local day: units that came and went, and how many were in work when it ended."""

    on = serializers.DateField()
    came = serializers.IntegerField()
    went = serializers.IntegerField()
    in_work = serializers.IntegerField()


class StageTimeOut(Given):
    """Hours in one stage: of stays that ended, how many, median, 90th percentile; how many go on, and the longest."""

    stage = serializers.CharField()
    ended = serializers.IntegerField()
    median_h = serializers.FloatField(allow_null=True)
    ninety_h = serializers.FloatField(allow_null=True)
    going_on = serializers.IntegerField()
    longest_going_on_h = serializers.FloatField(allow_null=True)


class PersonUseOut(Given):
    """Minutes worked of those at work, and minutes planned of those ahead; the shares, null without working time."""

    user_id = serializers.UUIDField(source="person.pk")
    name = serializers.CharField(source="person.name")
    worked_min = serializers.FloatField()
    there_min = serializers.FloatField()
    share = serializers.FloatField(allow_null=True)
    planned_min = serializers.FloatField()
    ahead_min = serializers.FloatField()
    planned_share = serializers.FloatField(allow_null=True)


class LittlesLawOut(Given):
    """Units here on average, arrivals a day, days of stay; the discrepancy and the two edges that explain it."""

    in_work = serializers.FloatField()
    per_day = serializers.FloatField()
    stay_days = serializers.FloatField()
    discrepancy = serializers.FloatField()
    carried_in = serializers.FloatField()
    cut_off = serializers.FloatField()


class ExpectedWaitOut(Given):
    """The long run at the present load: utilisation, and working minutes of waiting (null: it grows)."""

    utilisation = serializers.FloatField()
    wait_min = serializers.FloatField(allow_null=True)


class JamOut(Given):
    """A warning: where (a stage, or a technician's id), its code, its figure and the limit that it passes."""

    where = serializers.CharField()
    code = serializers.CharField()
    figure = serializers.FloatField()
    limit = serializers.FloatField()


class FlowOut(Given):
    """The figures of the last four weeks and the two ahead; law and wait are null while too little came."""

    since = serializers.DateTimeField()
    until = serializers.DateTimeField()
    days = FlowDay(many=True)
    stages = StageTimeOut(many=True)
    people = PersonUseOut(many=True)
    law = LittlesLawOut(allow_null=True)
    wait = ExpectedWaitOut(allow_null=True)
    jams = JamOut(many=True)


class Flow(Endpoint):
    """Load and flow."""

    @operation("get_flow", verb="planning.see", gives=FlowOut)
    def get(self, call: Call) -> Any:  # noqa: ARG002
        """Show what came and went, how long it stayed, and who is busy."""
        return flow_shown()
