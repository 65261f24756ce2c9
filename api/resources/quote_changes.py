"""Changes of a draft, line by line: named operations that are applied together or not at all."""

from dataclasses import fields
from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.fields import IdOf, Taken, Text, YesNo, minor, whole
from api.operation import Call, Endpoint, operation
from api.resources.quotes import QuoteOut, shown_quote
from shop.boards.models import Service
from shop.parts.models import Part
from shop.quotes import actions
from shop.quotes.line_checks import LARGEST_QUANTITY, LineGiven
from shop.quotes.models import QuoteLine
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
        return shown_quote(quote_id)
