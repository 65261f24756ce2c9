"""Quotes: editions, their lines, sending them, and the answer given at the counter."""

from dataclasses import fields
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
from shop.quotes.line_checks import LARGEST_QUANTITY, LineGiven
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.quotes.operations import (
    MOST_LINES,
    AddLine,
    ChangeLine,
    MoveLine,
    OfferService,
    Operation,
    RemoveLine,
    SetNote,
    SetReason,
    UseTemplate,
)
from shop.quotes.queries import ShownQuote
from shop.units import queries as units


class LineOut(Given):
    """One line of an edition. key stays the same from edition to edition; percentages are in millipercent."""

    id = serializers.UUIDField()
    key = serializers.UUIDField()
    kind = serializers.CharField()
    words = serializers.CharField()
    why = serializers.CharField()
    about = serializers.CharField()
    quantity = serializers.IntegerField()
    unit_minor = serializers.IntegerField()
    discount_millipercent = serializers.IntegerField()
    percent_millipercent = serializers.IntegerField()
    net_minor = serializers.IntegerField()
    tax_class = serializers.CharField()
    optional = serializers.BooleanField()
    taken = serializers.BooleanField()
    option = serializers.CharField()
    one_of = serializers.CharField()
    may_skip = serializers.BooleanField()
    needs = serializers.CharField()
    whose_part = serializers.CharField(source="source")
    donor = serializers.CharField()


class OptionOut(Given):
    """Lines that are taken or left together, and the total either way, tax included.

    group names the options of which one is taken; needs_words the option without which this one makes no sense.
    """

    option = serializers.CharField()
    line_ids = serializers.ListField(child=serializers.UUIDField())
    words = serializers.ListField(child=serializers.CharField())
    about = serializers.CharField()
    taken = serializers.BooleanField()
    group = serializers.CharField()
    may_skip = serializers.BooleanField()
    needs_words = serializers.CharField()
    change_minor = serializers.IntegerField()
    total_with_minor = serializers.IntegerField()
    total_without_minor = serializers.IntegerField()


class TaxOut(Given):
    """What one rate comes to."""

    tax_class = serializers.CharField()
    rate_words = serializers.CharField()
    taxable_minor = serializers.IntegerField()
    tax_minor = serializers.IntegerField()


class TermOut(Given):
    """One term. asks tells whether it wants a yes of its own (its code in `agreed`), only_with for which options."""

    code = serializers.CharField()
    words = serializers.CharField()
    asks = serializers.BooleanField()
    only_with = serializers.CharField()


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
    why_changed = serializers.CharField()
    terms = TermOut(many=True)
    lines = LineOut(many=True)
    options = OptionOut(many=True)
    net_minor = serializers.IntegerField()
    taxable_minor = serializers.IntegerField()
    tax_minor = serializers.IntegerField()
    total_minor = serializers.IntegerField()
    taxes = TaxOut(many=True)
    prices_include_tax = serializers.BooleanField()
    tax_name = serializers.CharField()
    tax_rate_words = serializers.CharField()
    deposit_minor = serializers.IntegerField()
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


_LINE_OPS = ("add", "change")
_OPS = (*_LINE_OPS, "remove", "move", "note", "reason", "template", "offer")


class OperationIn(Taken):
    """One change of a draft. op says which; the other fields are those that it reads, the rest are left out.

    needs is the id of a line of the option without which this one makes no sense; donor_number is the unit that a
    harvested part comes from; text is the note, or the reason for a new edition.
    """

    op = serializers.ChoiceField([(name, name) for name in _OPS])
    line_id = serializers.UUIDField(required=False, allow_null=True, default=None)
    kind = serializers.ChoiceField(QuoteLine.Kind.choices, required=False)
    words = Text(max_length=160, required=False)
    why = Text(max_length=300, required=False, allow_blank=True)
    quantity = whole(1, LARGEST_QUANTITY, required=False)
    unit_minor = minor(required=False)
    discount_millipercent = whole(0, 100_000, required=False)
    percent_millipercent = whole(0, 1_000_000, required=False)
    tax_class = serializers.ChoiceField(QuoteLine.TaxClass.choices, required=False)
    optional = YesNo(required=False)
    taken = YesNo(required=False)
    one_of = Text(max_length=60, required=False, allow_blank=True)
    may_skip = YesNo(required=False)
    needs = Text(max_length=36, required=False, allow_blank=True)
    whose_part = serializers.ChoiceField(QuoteLine.Source.choices, required=False, source="source")
    donor_number = whole(1, 2_000_000_000, required=False)
    service_id = IdOf(Service, required=False)
    part_id = IdOf(Part, required=False)
    position = whole(1, MOST_LINES, required=False, default=1)
    template_id = serializers.UUIDField(required=False, allow_null=True, default=None)
    text = Text(max_length=2000, required=False, allow_blank=True, default="")


class ChangesIn(Taken):
    """Changes that are applied together or not at all."""

    operations = OperationIn(many=True, allow_empty=False)


_GIVEN = tuple(field.name for field in fields(LineGiven))


def _operation(said: dict[str, Any]) -> Operation:
    """Read one named operation."""
    line_id, op = said["line_id"] or UUID(int=0), said["op"]
    if op in _LINE_OPS:
        given: dict[str, Any] = {name: said[name] for name in _GIVEN if name in said}
        new: dict[str, Any] = {"kind": QuoteLine.Kind.LABOUR.value, "words": "", "unit_minor": 0}
        return AddLine(**(new | given)) if op == "add" else ChangeLine(line_id=line_id, **given)
    if op == "move":
        return MoveLine(line_id=line_id, position=said["position"])
    if op == "template":
        return UseTemplate(template_id=said["template_id"] or UUID(int=0))
    if op == "offer":
        return OfferService(service_id=said.get("service_id") or UUID(int=0))
    if op == "remove":
        return RemoveLine(line_id=line_id)
    return SetNote(text=said["text"]) if op == "note" else SetReason(text=said["text"])


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
    """Yes or no to the edition that was shown, the optional lines taken, and the terms that got a yes of their own."""

    approve = YesNo()
    taken_line_ids = serializers.ListField(
        child=serializers.UUIDField(), required=False, default=list, max_length=100
    )  # fmt: skip
    agreed = serializers.ListField(child=text(20), required=False, default=list, max_length=20)
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
    return {**call.data, "taken_line_ids": tuple(call.data["taken_line_ids"]), "agreed": tuple(call.data["agreed"])}
