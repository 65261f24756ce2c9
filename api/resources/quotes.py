"""Quotes: editions as they are shown, sending them, and the answer given at the counter."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.fields import Given, Taken, YesNo, minor, text
from api.operation import Call, Endpoint, operation
from shop.core.rows import existing
from shop.floor.flows import quote as flows
from shop.quotes import actions, queries
from shop.quotes.models import Decision, QuoteVersion
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


def shown_quote(quote_id: UUID) -> ShownQuote:
    """Return an edition as answers show it. Raises Missing."""
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
        return shown_quote(quote.id)


class OneQuote(Endpoint):
    """One edition."""

    @operation("get_quote", verb="units.see", gives=QuoteOut)
    def get(self, call: Call, quote_id: UUID) -> ShownQuote:  # noqa: ARG002
        """Show an edition with its sums."""
        return shown_quote(quote_id)


class SendQuote(Endpoint):
    """A draft on its way."""

    @operation("send_quote", verb="quotes.send", gives=QuoteOut, if_match=True)
    def post(self, call: Call, quote_id: UUID) -> ShownQuote:
        """Send a draft to the customer, who is told by a message with the link."""
        existing(QuoteVersion, quote_id)
        flows.send_quote(actor=call.actor, quote_id=quote_id, version=call.version)
        return shown_quote(quote_id)


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
        return shown_quote(quote_id)


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
