"""The customer's own addresses: one unit, known by its link, and the answer to its quote."""

from uuid import UUID

from rest_framework import serializers
from rest_framework.exceptions import NotAuthenticated

from api.auth import LinkAuthentication
from api.fields import Given
from api.operation import Call, Endpoint, operation
from api.resources.common import existing
from api.resources.money import DueOut
from api.resources.quotes import AnswerIn, DecisionOut, QuoteOut, answered
from api.throttles import LinkThrottle
from shop.floor.customer_view import CustomerView, view_of
from shop.floor.flows import quote as flows
from shop.quotes.models import Decision, QuoteVersion
from shop.units import queries


class LinkEndpoint(Endpoint):
    """Base of the addresses that a customer's link opens."""

    authentication_classes = [LinkAuthentication]
    throttle_classes = [LinkThrottle]


class StopOut(Given):
    """One stop of the journey: a visit to a stage (pad), a hold (gap), or the end."""

    kind = serializers.CharField(source="stop.kind")
    words = serializers.CharField(source="stop.label")
    note = serializers.CharField(source="stop.note")
    at = serializers.DateTimeField(source="stop.at")
    until = serializers.DateTimeField(source="stop.until", allow_null=True)
    back = serializers.BooleanField(source="stop.back")


class ProgressOut(Given):
    """A unit as its customer sees it: where it is, when it is done, what it costs."""

    number = serializers.CharField()
    tag = serializers.CharField()
    model = serializers.CharField()
    stage = serializers.CharField()
    where = serializers.CharField()
    when = serializers.CharField()
    cost = serializers.CharField()
    do_next = serializers.CharField()
    stops = StopOut(source="trace.marks", many=True)
    promised_on = serializers.DateField(allow_null=True)
    promise_percent = serializers.IntegerField(allow_null=True)
    quote = QuoteOut(allow_null=True)
    due = DueOut()
    left = serializers.BooleanField()
    changed_at = serializers.DateTimeField()
    version = serializers.IntegerField()


class Progress(LinkEndpoint):
    """The customer's unit."""

    @operation("get_progress", verb="quotes.decide", gives=ProgressOut)
    def get(self, call: Call) -> CustomerView:
        """Show the unit behind the link."""
        if call.link is None:
            raise NotAuthenticated
        return view_of(queries.one(call.link.unit_id))


class LinkAnswer(LinkEndpoint):
    """The customer's answer."""

    @operation("answer_quote", verb="quotes.decide", takes=AnswerIn, gives=DecisionOut)
    def post(self, call: Call, quote_id: UUID) -> Decision:
        """Say yes or no to the quote of the unit behind the link."""
        if call.link is None:
            raise NotAuthenticated
        # Another unit's quote is not there for this link, as if it had never been.
        existing(QuoteVersion, quote_id, unit=call.link.unit_id)
        return flows.decide_quote(
            actor=call.actor, quote_id=quote_id, unit_id=call.link.unit_id, **answered(call)
        )  # fmt: skip
