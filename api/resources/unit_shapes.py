"""A unit as answers give it: short in lists, whole by itself, with its holds and the moves that are possible."""

from typing import Any

from drf_spectacular.utils import extend_schema_field
from rest_framework import serializers

from api.fields import Given, GivenRow
from api.resources.common import Named, PlaceBrief, ReasonOut
from shop.boards.models import DeviceModel
from shop.floor.gates import facts_of, offers_for
from shop.floor.stages import MOVES, Offer, outcomes
from shop.units import queries
from shop.units.models import Hold, Stage, Unit


class ModelBrief(GivenRow):
    """Which maker's model."""

    class Meta:
        model = DeviceModel
        fields = ["id", "maker", "name"]


class HoldOut(GivenRow):
    """Why a unit waits."""

    class Meta:
        model = Hold
        fields = ["id", "kind", "words", "due_on", "lifted_at", "created_at"]


class UnitBrief(GivenRow):
    """A unit as lists show it. tag is its tag code with the check symbol."""

    number = serializers.IntegerField()
    tag = serializers.SerializerMethodField()
    model = ModelBrief()
    revision = serializers.CharField(source="revision.marking", default=None, allow_null=True)
    edition = serializers.IntegerField(source="edition.number", default=None, allow_null=True)
    customer = Named(allow_null=True)
    place = PlaceBrief(allow_null=True)
    technician = Named(allow_null=True)
    holds = HoldOut(source="open_holds", many=True)

    class Meta:
        model = Unit
        fields = [
            "id", "version", "number", "tag", "model", "revision", "edition", "variant", "serial", "customer", "own",
            "by_mail", "stage", "visit", "opened", "diagnosed", "ending", "outcome", "place", "technician", "holds",
            "promised_on", "promise_percent", "received_at", "stage_since", "left_at",
        ]  # fmt: skip

    def get_tag(self, unit: Unit) -> str:
        """Return the unit's own tag code as labels print it."""
        return queries.tag_of(unit).printed_code


class OfferOut(Given):
    """A move that the unit's stage knows, and why it cannot be made yet."""

    move = serializers.CharField()
    to = serializers.CharField()
    open = serializers.BooleanField()
    needs_words = serializers.SerializerMethodField()
    needs_bench = serializers.SerializerMethodField()
    reasons = ReasonOut(many=True)

    def get_needs_words(self, offer: Offer) -> bool:
        """Tell whether the move asks for a reason in words."""
        return MOVES[offer.move].needs_words

    def get_needs_bench(self, offer: Offer) -> bool:
        """Tell whether the move asks for a bench."""
        return MOVES[offer.move].needs_bench


class UnitOut(UnitBrief):
    """A unit whole, with the moves that are possible now and the reasons against the others."""

    services = Named(many=True)
    earlier_unit = serializers.UUIDField(source="earlier_unit_id", allow_null=True)
    offers = serializers.SerializerMethodField()
    outcomes = serializers.SerializerMethodField()

    class Meta(UnitBrief.Meta):
        fields = [
            *UnitBrief.Meta.fields, "complaint", "came_with", "condition", "services", "cable", "display", "region",
            "agreed", "agreed_fee_minor", "spending_limit_minor", "earlier_unit", "free_of_charge", "test_round",
            "offers", "outcomes",
        ]  # fmt: skip

    @extend_schema_field(OfferOut(many=True))
    def get_offers(self, unit: Unit) -> Any:
        """Return what may happen next."""
        return OfferOut(offers_for(unit), many=True).data

    def get_outcomes(self, unit: Unit) -> list[str]:
        """Return how the unit may leave, once it is in pickup."""
        return list(outcomes(facts_of(unit))) if unit.stage == Stage.PICKUP and not unit.outcome else []
