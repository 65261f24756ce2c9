"""The library: device models and their board revisions."""

from uuid import UUID

from rest_framework import serializers

from api.fields import Given, GivenRow, Taken, YesNo, text, whole
from api.operation import Call, Endpoint, operation
from api.paging import Order
from shop.boards import actions, cautions, queries
from shop.boards.models import BoardRevision, DeviceModel
from shop.core.rows import existing


class ModelOut(GivenRow):
    """A maker's model, and what is inside that can hurt."""

    class Meta:
        model = DeviceModel
        fields = ["id", "maker", "name", "mains_inside", "tube_inside", "battery_inside", "fastener_count"]


class ModelIn(Taken):
    """A model as written on the case. The three flags decide which cautions its benches see."""

    maker = text(60, required=True)
    name = text(80, required=True)
    mains_inside = YesNo(required=False, default=False)
    tube_inside = YesNo(required=False, default=False)
    battery_inside = YesNo(required=False, default=False)
    fastener_count = whole(0, 500, allow_null=True, required=False, default=None)


class Models(Endpoint):
    """Device models."""

    @operation("list_models", verb="boards.see", gives=ModelOut, page=Order("name"))
    def get(self, call: Call) -> object:  # noqa: ARG002
        """List the device models, by name."""
        return queries.models()

    @operation("add_model", verb="boards.change", takes=ModelIn, gives=ModelOut, status=201)
    def post(self, call: Call) -> DeviceModel:
        """Add a device model."""
        return actions.add_model(actor=call.actor, **call.data)


class RetireModel(Endpoint):
    """A model no longer taken in."""

    @operation("retire_model", verb="boards.change", gives=ModelOut)
    def post(self, call: Call, model_id: UUID) -> DeviceModel:
        """Take a model off the list; units of it keep it."""
        return actions.retire_model(actor=call.actor, model_id=model_id)


class CautionsOut(Given):
    """What to say where work on a model can hurt."""

    cautions = serializers.ListField(child=serializers.CharField())


class Cautions(Endpoint):
    """Cautions for a model."""

    @operation("get_cautions", verb="boards.see", gives=CautionsOut)
    def get(self, call: Call, model_id: UUID) -> object:  # noqa: ARG002
        """Show the cautions for a bench with this model on it."""
        return {"cautions": cautions.cautions_for(existing(DeviceModel, model_id))}


class RevisionOut(GivenRow):
    """A version of a model's board, and how to tell it from the others."""

    class Meta:
        model = BoardRevision
        fields = ["id", "model", "marking", "how_to_tell", "year", "photo"]


class NewRevisionIn(Taken):
    """A marking, and what tells this board from the others."""

    marking = text(60, required=True)
    how_to_tell = text(2000)


class Revisions(Endpoint):
    """Board revisions of a model."""

    @operation("list_revisions", verb="boards.see", gives=RevisionOut, page=Order("marking"))
    def get(self, call: Call, model_id: UUID) -> object:  # noqa: ARG002
        """List a model's board revisions, by marking."""
        return queries.revisions_of(existing(DeviceModel, model_id))

    @operation("add_revision", verb="boards.change", takes=NewRevisionIn, gives=RevisionOut, status=201)
    def post(self, call: Call, model_id: UUID) -> BoardRevision:
        """Add a board revision."""
        return actions.add_revision(actor=call.actor, model_id=model_id, **call.data)
