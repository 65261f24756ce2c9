"""The reckoner: one address for each calculation, made from its form; and a result kept with a unit."""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.fields import Given, Taken, Text
from api.operation import Call, Endpoint, operation
from shop.engineering.fit_facts import Mounting, Role, Technology
from shop.floor.flows.reckon import keep_reckoning
from shop.reckoner.asking import reckon
from shop.reckoner.contents import CHAPTERS, RECKONINGS
from shop.reckoner.forms import Answer, Asked, Kind, Reckoning

# Choices that several figures share, for the schema to name once.
ROLES = [each.value for each in Role]
MOUNTINGS = [each.value for each in Mounting]
TECHNOLOGIES = [each.value for each in Technology]


class AskedOut(Given):
    """One figure that a calculation asks for; a number is given in the unit. An optional one may be left out."""

    name = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]
    kind = serializers.CharField()
    unit = serializers.CharField()
    default = serializers.CharField()
    optional = serializers.BooleanField()
    choices = serializers.SerializerMethodField()

    def get_choices(self, asked: Asked) -> list[str]:
        """Return what a choice may be."""
        return [value for value, _label in asked.choices]


class ReckoningOut(Given):
    """A calculation: what it is called, what it asks, and where its numbers come from."""

    name = serializers.CharField()
    title = serializers.CharField()
    source = serializers.CharField()  # type: ignore[assignment]
    asks = AskedOut(many=True)


class FigureOut(Given):
    """One figure of an answer, in an SI unit: a number, or words."""

    name = serializers.CharField()
    label = serializers.CharField()  # type: ignore[assignment]
    value = serializers.SerializerMethodField()
    unit = serializers.CharField()

    def get_value(self, figure: Any) -> str:
        """Return the value as text, a number with all its digits."""
        return figure.value if isinstance(figure.value, str) else repr(float(figure.value))


class AnswerOut(Given):
    """What a calculation says. No answer says that a thing is safe."""

    sentence = serializers.CharField()
    figures = FigureOut(many=True)
    working = serializers.CharField()
    remarks = serializers.ListField(child=serializers.CharField())
    cautions = serializers.ListField(child=serializers.CharField())


class Reckonings(Endpoint):
    """The table of contents."""

    @operation("list_reckonings", verb="floor.reckon", gives=ReckoningOut, many=True)
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the calculations and what each asks for."""
        return [each for chapter in CHAPTERS for each in chapter.reckonings]


class Typed(Text):
    """A figure as it is typed: text, or a number."""

    def to_internal_value(self, data: Any) -> str:
        """Return it as text."""
        given = repr(data) if isinstance(data, int | float) and not isinstance(data, bool) else data
        return super().to_internal_value(given)


def _field(asked: Asked) -> serializers.Field[Any, Any, Any, Any]:
    said = f"{asked.label}{f', in {asked.unit}' if asked.unit else ''}"
    if asked.kind is Kind.YES:
        return serializers.BooleanField(required=False, help_text=said)
    if asked.kind is Kind.CHOICE:
        return serializers.ChoiceField([value for value, _label in asked.choices], required=False, help_text=said)
    return Typed(max_length=400, required=False, allow_blank=asked.optional, help_text=said)


def _endpoint(each: Reckoning) -> type[Endpoint]:
    """Return the endpoint of one calculation; its input is described by its form."""
    title = "".join(word.capitalize() for word in each.name.split("-"))
    fields: dict[str, Any] = {asked.name: _field(asked) for asked in each.asks}
    taken = type(f"{title}In", (Taken,), {"__doc__": f"{each.title}. What is left out takes the default.", **fields})

    def post(self: Endpoint, call: Call) -> Answer:  # noqa: ARG001
        return reckon(each.name, call.data)

    post.__doc__ = f"{each.title}. Source: {each.source}."
    declared = operation(f"reckon_{each.name.replace('-', '_')}", verb="floor.reckon", takes=taken, gives=AnswerOut)
    return type(title, (Endpoint,), {"__doc__": str(each.title), "post": declared(post)})


ENDPOINTS = {name: _endpoint(each) for name, each in RECKONINGS.items()}


class KeepIn(Taken):
    """Which calculation, and its figures as text."""

    name = serializers.ChoiceField(sorted(RECKONINGS))
    given = serializers.DictField(child=Typed(max_length=400, allow_blank=True), required=False, default=dict)


class KeptReckonings(Endpoint):
    """Results kept with a unit; its trail shows them."""

    @operation("keep_reckoning", verb="floor.reckon", takes=KeepIn, gives=AnswerOut, status=201)
    def post(self, call: Call, unit_id: UUID) -> Answer:
        """Work a calculation out and put it into the unit's trail."""
        return keep_reckoning(actor=call.actor, unit_id=unit_id, name=call.data["name"], given=call.data["given"])
