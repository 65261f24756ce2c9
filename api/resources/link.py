"""The customer's own addresses: the units behind a link, the answer to a quote, and questions."""

from uuid import UUID

from rest_framework import serializers
from rest_framework.exceptions import NotAuthenticated

from api.auth import LinkAuthentication
from api.fields import LARGEST_WHOLE, Given, Taken, text
from api.operation import Call, Endpoint, operation
from api.resources.money import DueOut
from api.resources.questions import QuestionOut
from api.resources.quotes import AnswerIn, DecisionOut, QuoteOut, answered
from api.throttles import LinkThrottle
from shop.core.rows import existing
from shop.floor.customer_reading import read, units_behind_link
from shop.floor.customer_view import CustomerView, view_in
from shop.floor.flows import quote as flows
from shop.quotes.models import Decision, Question, QuoteVersion
from shop.quotes.questions import LIMIT, ask
from shop.units.models import CustomerLink


class LinkEndpoint(Endpoint):
    """Base of the addresses that a customer's link opens."""

    authentication_classes = [LinkAuthentication]
    throttle_classes = [LinkThrottle]


class StopOut(Given):
    """One stop of the journey: a visit to a stage (pad), a hold (gap), or the end; now says that the unit is there."""

    kind = serializers.CharField(source="stop.kind")
    words = serializers.CharField(source="stop.label")
    note = serializers.CharField(source="stop.note")
    at = serializers.DateTimeField(source="stop.at")
    until = serializers.DateTimeField(source="stop.until", allow_null=True)
    back = serializers.BooleanField(source="stop.back")
    now = serializers.BooleanField()


class OtherOut(Given):
    """Another unit of the same customer."""

    number = serializers.CharField()
    model = serializers.CharField()
    where = serializers.CharField()
    left = serializers.BooleanField()


class ProgressOut(Given):
    """A unit as its customer sees it: where it is, when it is done, what it costs."""

    number = serializers.CharField()
    tag = serializers.CharField()
    model = serializers.CharField()
    stage = serializers.CharField()
    where = serializers.CharField()
    when = serializers.CharField()
    cost = serializers.CharField()
    step = serializers.CharField()
    do_next = serializers.ListField(child=serializers.CharField())
    stops = StopOut(source="trace.marks", many=True)
    promised_on = serializers.DateField(allow_null=True)
    promise_percent = serializers.IntegerField(allow_null=True)
    quote = QuoteOut(allow_null=True)
    due = DueOut()
    deposit_minor = serializers.IntegerField()
    warranty_until = serializers.DateField(allow_null=True)
    questions = QuestionOut(many=True)
    others = OtherOut(many=True)
    left = serializers.BooleanField()
    changed_at = serializers.DateTimeField()
    version = serializers.IntegerField()


class UnitQuery(Taken):
    """Which of the customer's units, by its number; the link's own when left out."""

    unit = serializers.IntegerField(required=False, min_value=1, max_value=LARGEST_WHOLE)


class Progress(LinkEndpoint):
    """The customer's units."""

    @operation("get_progress", verb="quotes.decide", query=UnitQuery, gives=ProgressOut)
    def get(self, call: Call) -> CustomerView:
        """Show a unit behind the link."""
        units = units_behind_link(_link(call))
        return view_in(read(units, call.query.get("unit")))


def _link(call: Call) -> CustomerLink:
    if call.link is None:
        raise NotAuthenticated
    return call.link


class LinkAnswer(LinkEndpoint):
    """The customer's answer."""

    @operation("answer_quote", verb="quotes.decide", takes=AnswerIn, gives=DecisionOut)
    def post(self, call: Call, quote_id: UUID) -> Decision:
        """Say yes or no to a quote for one of the units behind the link."""
        # Another customer's quote is not there for this link, as if it had never been.
        quote = existing(QuoteVersion.objects.filter(unit__in=units_behind_link(_link(call))), quote_id)
        return flows.decide_quote(
            actor=call.actor, quote_id=quote_id, unit_id=quote.unit_id, **answered(call)
        )  # fmt: skip


class AskIn(Taken):
    """A question, and about which unit; the link's own when left out."""

    question = text(LIMIT, required=True)
    unit = serializers.IntegerField(required=False, min_value=1, max_value=LARGEST_WHOLE)


class LinkQuestion(LinkEndpoint):
    """The customer's question."""

    @operation("ask_question", verb="quotes.ask", takes=AskIn, gives=QuestionOut, status=201)
    def post(self, call: Call) -> Question:
        """Ask about a unit behind the link."""
        reading = read(units_behind_link(_link(call)), call.data.get("unit"))
        return ask(actor=call.actor, unit_id=reading.unit.id, text=call.data["question"])
