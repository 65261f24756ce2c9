"""Units: written up, looked up, corrected, and their trail."""

import json
from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.describe import PageQuery
from api.fields import GivenRow, IdOf, Taken, Text, YesNo, minor, text
from api.operation import Call, Endpoint, operation
from api.paging import Order
from api.resources.unit_shapes import UnitBrief, UnitOut
from shop.boards.models import DeviceModel, Service
from shop.core.models import TrailEntry
from shop.floor.flows import intake
from shop.people.models import Customer
from shop.units import actions, queries
from shop.units.models import Consent, Stage, Unit

WORDS = {
    "serial": 60,
    "complaint": 2000,
    "came_with": 1000,
    "condition": 2000,
    "cable": 80,
    "display": 80,
    "region": 40,
}


class UnitQuery(PageQuery):
    """Which of the units that are in the shop."""

    stage = serializers.ChoiceField(Stage.choices, required=False)
    place = serializers.UUIDField(required=False)
    technician = serializers.UUIDField(required=False)
    customer = serializers.UUIDField(required=False)


class ConsentsIn(Taken):
    """What the customer answered to each question of the terms; a question left out was not answered."""

    save_data = YesNo(required=False)
    pictures = YesNo(required=False)
    work = YesNo(required=False)


class WriteUpIn(Taken):
    """What is written up at intake. Without a customer it is the shop's own unit. Money is minor units."""

    customer = IdOf(Customer, allow_null=True, required=False, default=None)
    model = IdOf(DeviceModel)
    serial, complaint = text(WORDS["serial"]), text(WORDS["complaint"])
    came_with, condition = text(WORDS["came_with"]), text(WORDS["condition"])
    services = serializers.ListField(child=IdOf(Service), max_length=30, required=False, default=list)
    by_mail = YesNo(required=False, default=False)
    agreed = serializers.ChoiceField(Unit.Agreed.choices, required=False, default=Unit.Agreed.NOTHING.value)
    spending_limit_minor = minor(required=False, default=0)
    cable, display, region = text(WORDS["cable"]), text(WORDS["display"]), text(WORDS["region"])
    earlier_unit = IdOf(Unit, allow_null=True, required=False, default=None)
    announcement_code = text(20)
    consents = ConsentsIn(required=False, default=dict)


class WordsIn(Taken):
    """Words of the write-up that are to be changed; what is left out stays."""

    serial = Text(max_length=WORDS["serial"], required=False, allow_blank=True)
    complaint = Text(max_length=WORDS["complaint"], required=False, allow_blank=True)
    came_with = Text(max_length=WORDS["came_with"], required=False, allow_blank=True)
    condition = Text(max_length=WORDS["condition"], required=False, allow_blank=True)
    cable = Text(max_length=WORDS["cable"], required=False, allow_blank=True)
    display = Text(max_length=WORDS["display"], required=False, allow_blank=True)
    region = Text(max_length=WORDS["region"], required=False, allow_blank=True)


def write_up_of(data: dict[str, Any]) -> intake.WriteUp:
    """Return what the flow takes."""
    same = ("serial", "complaint", "came_with", "condition", "by_mail", "agreed", "spending_limit_minor", "cable")
    return intake.WriteUp(
        customer_id=data["customer"],
        model_id=data["model"],
        service_ids=tuple(data["services"]),
        earlier_unit_id=data["earlier_unit"],
        consents={str(Consent.Kind(kind)): given for kind, given in data["consents"].items()},
        **{name: data[name] for name in (*same, "display", "region", "announcement_code")},
    )


class Units(Endpoint):
    """All units."""

    @operation("list_units", verb="units.see", query=UnitQuery, gives=UnitBrief, page=Order("number"))
    def get(self, call: Call) -> object:
        """List the units that are in the shop."""
        names = ("stage", "place", "technician", "customer")
        return queries.present_units().filter(**{name: call.query[name] for name in names if name in call.query})

    @operation("write_up_unit", verb="units.write_up", takes=WriteUpIn, gives=UnitOut, status=201, location="api:unit")
    def post(self, call: Call) -> Unit:
        """Write up a unit: it gets a number, a tag, the customer's link, and a notice goes out."""
        return queries.one(intake.write_up(actor=call.actor, given=write_up_of(call.data)).id)


class OneUnit(Endpoint):
    """One unit."""

    @operation("get_unit", verb="units.see", gives=UnitOut)
    def get(self, call: Call, unit_id: UUID) -> Unit:  # noqa: ARG002
        """Show a unit with what may happen to it next."""
        return queries.one(unit_id)

    @operation("change_write_up", verb="units.change_intake", takes=WordsIn, gives=UnitOut, if_match=True)
    def patch(self, call: Call, unit_id: UUID) -> Unit:
        """Correct words of the write-up."""
        actions.change_written_up(actor=call.actor, unit_id=unit_id, version=call.version, **call.data)
        return queries.one(unit_id)


class SearchQuery(Taken):
    """What is sought: part of a number, serial, model or customer."""

    text = serializers.CharField(max_length=100)
    limit = serializers.IntegerField(min_value=1, max_value=50, required=False, default=50)


class UnitSearch(Endpoint):
    """Units found by words."""

    @operation("search_units", verb="units.see", query=SearchQuery, gives=UnitBrief, many=True)
    def get(self, call: Call) -> list[Unit]:
        """Find units by number, serial, model or customer, newest first, those that have left among them."""
        return queries.search(call.query["text"], limit=call.query["limit"])


class SeenBeforeQuery(Taken):
    """A model and a serial number."""

    model = serializers.UUIDField()
    serial = serializers.CharField(max_length=60)


class SeenBefore(Endpoint):
    """Earlier visits."""

    @operation("list_earlier_visits", verb="units.see", query=SeenBeforeQuery, gives=UnitBrief, many=True)
    def get(self, call: Call) -> object:
        """List earlier visits of the same model and serial number, newest first."""
        return queries.seen_before(model_id=call.query["model"], serial=call.query["serial"])[:50]


class TrailOut(GivenRow):
    """One line of a unit's history."""

    facts = serializers.SerializerMethodField()
    note = serializers.CharField(source="note.text", default="")

    class Meta:
        model = TrailEntry
        fields = [
            "seq", "happened_at", "recorded_at", "actor_role", "actor_id", "device", "what", "before", "after", "facts",
            "note", "previous_hash", "entry_hash",
        ]  # fmt: skip

    def get_facts(self, entry: TrailEntry) -> dict[str, Any]:
        """Return the ids, codes and figures."""
        facts: dict[str, Any] = json.loads(entry.facts)
        return facts


class Trail(Endpoint):
    """A unit's history."""

    @operation("list_trail", verb="core.see_trail", gives=TrailOut, page=Order("seq"))
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List what happened to a unit, in order."""
        return queries.history(queries.one(unit_id))
