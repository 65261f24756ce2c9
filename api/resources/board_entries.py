"""What sits on a board and what holds its case, one entry at a time. Lengths in mm.

What is posted of a placement or of fasteners is said whole: what is left out is as on a new one.
"""

from typing import Any
from uuid import UUID

from rest_framework import serializers

from api.fields import Given, Number, Taken, YesNo, figures, millimetres, text, whole
from api.operation import Call, Endpoint, operation
from shop.boards import case_actions, placement_actions
from shop.boards.models import BoardEdition
from shop.boards.spots import Fit, Kind, Mount, Points, Screw, Side, Spot

SIDES = [(side.value, side.value) for side in Side]
KINDS = [(kind.value, kind.value) for kind in Kind]
_MOUNTS = [(mount.value, mount.value) for mount in Mount]
_FITS = [(fit.value, fit.value) for fit in Fit]
_POINTS = [(points.value, points.value) for points in Points if points]
_MOST_PLACES = 100


class EditionOut(Given):
    """What units are worked from: its number, since when they are, the sizes (width, height; null: not known)."""

    number = serializers.IntegerField()
    used_at = serializers.DateTimeField(allow_null=True)
    board_mm = figures(2, source="size_mm", allow_null=True)
    case_mm = figures(2, allow_null=True)
    variants = serializers.ListField(child=serializers.CharField())


class PlacementOut(Given):
    """What sits where: x and y from the lower left corner of the board seen from the top side, y up."""

    designator, value, rating = serializers.CharField(), serializers.CharField(), serializers.CharField()
    kind, mount = serializers.ChoiceField(KINDS), serializers.ChoiceField(_MOUNTS)
    package = serializers.CharField()
    x_mm, y_mm = millimetres(), millimetres()
    width_mm, depth_mm, height_mm = millimetres(), millimetres(), millimetres()
    rotation_deg = serializers.FloatField()
    positive = serializers.ChoiceField(_POINTS, allow_blank=True)
    positive_checked = serializers.BooleanField()
    side, fit = serializers.ChoiceField(SIDES), serializers.ChoiceField(_FITS)
    variants = serializers.ListField(child=serializers.CharField())
    note = serializers.CharField()


class CaseFastenersOut(Given):
    """A group of fasteners of one kind: its label, how many, when it comes out, and its places on the case outline."""

    label = serializers.CharField()  # type: ignore[assignment]
    where = serializers.CharField()
    drive, bit, thread = serializers.CharField(), serializers.CharField(), serializers.CharField()
    length_mm = millimetres()
    count, order = serializers.IntegerField(), serializers.IntegerField()
    places_mm = serializers.ListField(child=figures(2))
    warning = serializers.CharField()


class PlacementIn(Taken):
    """A placement, whole; see the answer. positive is empty where it does not matter which way round a part goes."""

    designator = text(20, required=True)
    value, rating, package, note = text(60), text(30), text(60), text(200)
    kind = serializers.ChoiceField(KINDS, required=False, default=Kind.OTHER.value)
    mount = serializers.ChoiceField(_MOUNTS, required=False, default=Mount.THROUGH.value)
    x_mm, y_mm = millimetres(), millimetres()
    width_mm, depth_mm, height_mm = millimetres(), millimetres(), millimetres()
    rotation_deg = Number(required=False, default=0.0)
    positive = serializers.ChoiceField(_POINTS, allow_blank=True, required=False, default="")
    positive_checked = YesNo(required=False, default=True)
    side = serializers.ChoiceField(SIDES, required=False, default=Side.TOP.value)
    fit = serializers.ChoiceField(_FITS, required=False, default=Fit.FITTED.value)
    variants = serializers.ListField(child=text(30, required=True), max_length=12, required=False, default=list)


def _spot(said: dict[str, Any]) -> Spot:
    words = {"kind": Kind(said["kind"]), "mount": Mount(said["mount"]), "positive": Points(said["positive"])}
    words |= {"side": Side(said["side"]), "fit": Fit(said["fit"])}
    return Spot(**said | words | {"variants": tuple(said["variants"])})


class Placements(Endpoint):
    """What sits on a board."""

    @operation("put_placement", verb="boards.change", takes=PlacementIn, gives=PlacementOut)
    def post(self, call: Call, revision_id: UUID) -> Spot:
        """Enter a placement, or change the one with its designator."""
        return placement_actions.put_placement(actor=call.actor, revision_id=revision_id, spot=_spot(call.data)).spot


class DesignatorIn(Taken):
    """Which placement."""

    designator = text(20, required=True)


class RemovePlacement(Endpoint):
    """A placement that is not there."""

    @operation("remove_placement", verb="boards.change", takes=DesignatorIn, gives=EditionOut)
    def post(self, call: Call, revision_id: UUID) -> BoardEdition:
        """Take a placement out of the library; editions that units are worked from keep it."""
        return placement_actions.take_placement_out(actor=call.actor, revision_id=revision_id, **call.data)


class CaseFastenersIn(Taken):
    """A group of fasteners, whole; count is how many there are, order when they come out, from 1."""

    label = text(20, required=True)  # type: ignore[assignment]
    where = text(60, required=True)
    drive, bit, thread, warning = text(20), text(20), text(20), text(200)
    length_mm = millimetres()
    count, order = whole(1, 100, required=False, default=1), whole(1, 99, required=False, default=1)
    places_mm = serializers.ListField(child=figures(2), max_length=_MOST_PLACES, required=False, default=list)


class CaseFasteners(Endpoint):
    """What holds a case together."""

    @operation("put_case_fasteners", verb="boards.change", takes=CaseFastenersIn, gives=CaseFastenersOut)
    def post(self, call: Call, revision_id: UUID) -> Screw:
        """Enter a group of fasteners of the case, or change the one with its label."""
        screw = Screw(**call.data | {"places_mm": tuple((x, y) for x, y in call.data["places_mm"])})
        return case_actions.put_fastener(actor=call.actor, revision_id=revision_id, screw=screw).screw


class LabelIn(Taken):
    """Which group of fasteners."""

    label = text(20, required=True)  # type: ignore[assignment]


class RemoveCaseFasteners(Endpoint):
    """A group of fasteners that is not there."""

    @operation("remove_case_fasteners", verb="boards.change", takes=LabelIn, gives=EditionOut)
    def post(self, call: Call, revision_id: UUID) -> BoardEdition:
        """Take a group of fasteners out of the library; editions that units are worked from keep it."""
        return case_actions.take_fastener_out(actor=call.actor, revision_id=revision_id, **call.data)
