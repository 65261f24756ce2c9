"""Quotes: editions, their lines, sending them, and the answer given at the counter."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.fields import Given, IdOf, Taken, Text, YesNo, minor, text, whole
from api.operation import Call, Endpoint, operation
from api.resources.common import existing
from shop.boards.models import Service
from shop.floor.flows import quote as flows
from shop.parts.models import Part
from shop.quotes import actions, queries
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.quotes.operations import LARGEST_QUANTITY, AddLine, ChangeLine, Operation, RemoveLine, SetNote
from shop.quotes.queries import ShownQuote
from shop.units import queries as units


class LineOut(Given):
    """One line of an edition."""

    id = serializers.UUIDField()
    kind = serializers.CharField()
    words = serializers.CharField()
    quantity = serializers.IntegerField()
    unit_minor = serializers.IntegerField()
    net_minor = serializers.IntegerField()
    taxed = serializers.BooleanField()
    optional = serializers.BooleanField()
    taken = serializers.BooleanField()
    option = serializers.CharField()


class OptionOut(Given):
    """Lines that are taken or left together, and the total either way, tax included."""

    line_ids = serializers.ListField(child=serializers.UUIDField())
    words = serializers.ListField(child=serializers.CharField())
    taken = serializers.BooleanField()
    change_minor = serializers.IntegerField()
    total_with_minor = serializers.IntegerField()
    total_without_minor = serializers.IntegerField()


class QuoteOut(Given):
    """One edition of a quote. content_sha256 is what a decision must show; it is empty while it is a draft."""

    id = serializers.UUIDField()
    edition = serializers.IntegerField()
    version = serializers.IntegerField()
    state = serializers.CharField()
    open = serializers.BooleanField()
    within_limit = serializers.BooleanField()
    currency = serializers.CharField()
    note = serializers.CharField()
    terms = serializers.CharField()
    lines = LineOut(many=True)
    options = OptionOut(many=True)
    net_minor = serializers.IntegerField()
    taxable_minor = serializers.IntegerField()
    tax_minor = serializers.IntegerField()
    total_minor = serializers.IntegerField()
    tax_name = serializers.CharField()
    tax_rate_words = serializers.CharField()
    fee_if_declined_total_minor = serializers.IntegerField()
    valid_until = serializers.DateField(allow_null=True)
    content_sha256 = serializers.CharField()


class DecisionOut(Given):
    """What was decided about an edition, and the hash of exactly what was shown."""

    id = serializers.UUIDField()
    quote = serializers.UUIDField(source="quote_id")
    kind = serializers.CharField()
    total_minor = serializers.IntegerField()
    content_sha256 = serializers.CharField()
    created_at = serializers.DateTimeField()


def _shown(quote_id: UUID) -> ShownQuote:
    existing(QuoteVersion, quote_id)
    whole_quote = QuoteVersion.objects.select_related("unit__model").prefetch_related("lines").get(pk=quote_id)
    return queries.shown(whole_quote)


class DraftIn(Taken):
    """What return postage costs, where the unit goes back by mail."""

    postage_minor = minor(required=False, allow_null=True, default=None)


class UnitQuotes(Endpoint):
    """The editions of a unit's quote."""

    @operation("list_quotes", verb="units.see", gives=QuoteOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List a unit's editions, newest first."""
        return [queries.shown(quote) for quote in queries.editions(units.one(unit_id).id)]

    @operation("draft_quote", verb="quotes.write", takes=DraftIn, gives=QuoteOut, status=201)
    def post(self, call: Call, unit_id: UUID) -> ShownQuote:
        """Draft the next edition from the unit's services, or from the edition before it."""
        units.one(unit_id)
        quote = actions.draft_quote(actor=call.actor, unit_id=unit_id, postage_minor=call.data["postage_minor"])
        return _shown(quote.id)


class OneQuote(Endpoint):
    """One edition."""

    @operation("get_quote", verb="units.see", gives=QuoteOut)
    def get(self, call: Call, quote_id: UUID) -> ShownQuote:  # noqa: ARG002
        """Show an edition with its sums."""
        return _shown(quote_id)


class OperationIn(Taken):
    """One change of a draft. op says which; the other fields are those that it reads, the rest are left out."""

    op = serializers.ChoiceField([(name, name) for name in ("add", "remove", "change", "note")])
    line_id = serializers.UUIDField(required=False, allow_null=True, default=None)
    kind = serializers.ChoiceField(QuoteLine.Kind.choices, required=False, default=QuoteLine.Kind.LABOUR)
    words = Text(max_length=160, required=False)
    quantity = whole(1, LARGEST_QUANTITY, required=False)
    unit_minor = minor(required=False)
    taxed = YesNo(required=False)
    optional = YesNo(required=False)
    taken = YesNo(required=False)
    service = IdOf(Service, required=False, allow_null=True, default=None)
    part = IdOf(Part, required=False, allow_null=True, default=None)
    note = Text(max_length=2000, required=False, allow_blank=True, default="")


class ChangesIn(Taken):
    """Changes that are applied together or not at all."""

    operations = OperationIn(many=True, allow_empty=False)


def _operation(said: dict[str, Any]) -> Operation:
    """Read one named operation."""
    line_id = said["line_id"] or UUID(int=0)
    given: dict[str, Any] = {
        name: said[name] for name in ("words", "quantity", "unit_minor", "taxed", "optional") if name in said
    }
    taken = {"taken": said["taken"]} if "taken" in said else {}
    if said["op"] == "note":
        return SetNote(text=said["note"])
    if said["op"] == "remove":
        return RemoveLine(line_id=line_id)
    if said["op"] == "change":
        return ChangeLine(line_id=line_id, **given, **taken)
    whole_line: dict[str, Any] = {"words": "", "unit_minor": 0} | given | taken
    return AddLine(kind=said["kind"], service_id=said["service"], part_id=said["part"], **whole_line)


class QuoteChanges(Endpoint):
    """Changes of a draft."""

    @operation("change_quote", verb="quotes.write", takes=ChangesIn, gives=QuoteOut, if_match=True)
    def post(self, call: Call, quote_id: UUID) -> ShownQuote:
        """Apply named operations to a draft, all or none."""
        operations = [_operation(said) for said in call.data["operations"]]
        actions.change_quote(actor=call.actor, quote_id=quote_id, version=call.version, operations=operations)
        return _shown(quote_id)


class SendQuote(Endpoint):
    """A draft on its way."""

    @operation("send_quote", verb="quotes.send", gives=QuoteOut, if_match=True)
    def post(self, call: Call, quote_id: UUID) -> ShownQuote:
        """Send a draft to the customer, who is told by a message with the link."""
        existing(QuoteVersion, quote_id)
        flows.send_quote(actor=call.actor, quote_id=quote_id, version=call.version)
        return _shown(quote_id)


class WithdrawIn(Taken):
    """Why a quote is taken back, for the trail."""

    reason = text(500, required=True)


class WithdrawQuote(Endpoint):
    """A sent quote taken back."""

    @operation("withdraw_quote", verb="quotes.send", takes=WithdrawIn, gives=QuoteOut)
    def post(self, call: Call, quote_id: UUID) -> ShownQuote:
        """Take back an edition that waits for its answer."""
        existing(QuoteVersion, quote_id)
        flows.withdraw_quote(actor=call.actor, quote_id=quote_id, reason=call.data["reason"])
        return _shown(quote_id)


class GoAhead(Endpoint):
    """Work without asking."""

    @operation("go_ahead_within_limit", verb="quotes.send", gives=DecisionOut)
    def post(self, call: Call, quote_id: UUID) -> Decision:
        """Go ahead with a draft whose total stays within the customer's spending limit."""
        existing(QuoteVersion, quote_id)
        return flows.go_ahead(actor=call.actor, quote_id=quote_id)


class AnswerIn(Taken):
    """Yes or no to the edition that was shown, with the optional lines taken."""

    approve = YesNo()
    taken_line_ids = serializers.ListField(
        child=serializers.UUIDField(), required=False, default=list, max_length=100
    )  # fmt: skip
    shown_sha256 = text(64, required=True)
    reason = text(1000)


class QuoteAnswer(Endpoint):
    """The customer's answer, given at the counter or by telephone."""

    @operation("decide_quote", verb="quotes.decide", takes=AnswerIn, gives=DecisionOut)
    def post(self, call: Call, quote_id: UUID) -> Decision:
        """Record the customer's answer with its evidence."""
        existing(QuoteVersion, quote_id)
        return flows.decide_quote(actor=call.actor, quote_id=quote_id, **answered(call))


def answered(call: Call) -> dict[str, Any]:
    """Return an answer as the flow takes it."""
    return {**call.data, "taken_line_ids": tuple(call.data["taken_line_ids"])}
