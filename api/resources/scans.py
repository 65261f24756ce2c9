"""Labels to print, codes to scan."""

from typing import BinaryIO, cast
from uuid import UUID

from django.http import HttpResponse
from rest_framework import serializers

from api.fields import Given, IdOf, Taken
from api.operation import Call, Endpoint, UploadEndpoint, operation
from api.resources.common import Named, PlaceBrief
from api.resources.unit_shapes import OfferOut, UnitBrief
from shop.core.actor import Actor
from shop.core.rows import existing
from shop.floor.scans import Found, found_place, found_unit
from shop.people.models import Place
from shop.units import queries
from shop.units.label_draw import FORMS, drawn
from shop.units.labels import tags_of_unit
from shop.units.models import Bag
from shop.units.scan_queries import resolve
from shop.units.scanning import read_picture, read_scan


class LabelQuery(Taken):
    """How the labels are wanted: single (pdf), a sheet from a start position, or the unit's own tag as a picture."""

    form = serializers.ChoiceField([(form, form) for form in FORMS], required=False, default="pdf")
    start = serializers.IntegerField(min_value=1, max_value=100, required=False, default=1)


class Labels(Endpoint):
    """The labels of a unit's bags."""

    @operation(
        "get_labels",
        verb="units.see",
        query=LabelQuery,
        binary=("application/pdf", "image/png", "image/svg+xml"),
    )
    def get(self, call: Call, unit_id: UUID) -> HttpResponse:
        """Return the labels of all bags of a unit."""
        tags = tags_of_unit(queries.one(unit_id).id)
        content, kind = drawn(tags, call.query["form"], start=call.query["start"])
        return HttpResponse(content, content_type=kind)


class FoundOut(Given):
    """What a scan named: a unit (through one of its bags), a place with the units in it, or a person."""

    unit = UnitBrief(allow_null=True)
    bag = serializers.CharField(source="bag.kind", allow_null=True, default=None)
    place = PlaceBrief(allow_null=True)
    person = Named(allow_null=True)
    offers = OfferOut(many=True)
    inside = UnitBrief(many=True)


class ScanIn(Taken):
    """What was scanned or typed, and at which bench, if at one."""

    text = serializers.CharField(max_length=500)
    bench = IdOf(Place, required=False, allow_null=True, default=None)


class Scans(Endpoint):
    """Codes, typed or scanned."""

    @operation("scan", verb="units.see", takes=ScanIn, gives=FoundOut)
    def post(self, call: Call) -> Found:
        """Show what a code names, and the moves that make sense at the bench where it was scanned."""
        return _found(call.actor, call.data["text"], call.data["bench"], by_machine=False)


class PictureIn(Taken):
    """A picture of a label, JPEG, PNG or WebP."""

    photo = serializers.FileField(allow_empty_file=True)
    bench = serializers.UUIDField(required=False, allow_null=True, default=None)


class ScanPicture(UploadEndpoint):
    """Codes in pictures."""

    @operation("scan_picture", verb="units.see", takes=PictureIn, gives=FoundOut, upload=True)
    def post(self, call: Call) -> Found:
        """Read the code in a picture and show what it names."""
        text = read_picture(cast(BinaryIO, call.data["photo"].file))
        return _found(call.actor, text, call.data["bench"], by_machine=True)


def _found(actor: Actor, text: str, bench_id: UUID | None, *, by_machine: bool) -> Found:
    named = resolve(read_scan(text, by_machine=by_machine))
    if isinstance(named, Bag):
        bench = existing(Place, bench_id) if bench_id else None
        return found_unit(actor=actor, unit=queries.one(named.unit_id), bag=named, bench=bench)
    return found_place(actor=actor, place=named) if isinstance(named, Place) else Found(person=named)
