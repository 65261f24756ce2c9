"""Pictures: of a unit, for something else to name, and their files."""

from uuid import UUID

from django.db import transaction
from rest_framework import serializers

from api.fields import GivenRow, Taken
from api.operation import Call, Endpoint, UploadEndpoint, operation
from api.resources.common import PhotoOut
from shop.core.models import Photo
from shop.core.photos import add_photo, stored_bytes
from shop.core.rows import existing, no_such
from shop.units import actions, queries
from shop.units.models import UnitPhoto


class UnitPhotoOut(GivenRow):
    """A picture of a unit and what it shows."""

    photo = PhotoOut()

    class Meta:
        model = UnitPhoto
        fields = ["id", "photo", "purpose", "caption", "for_customer", "created_at"]


class PhotoIn(Taken):
    """A picture, JPEG, PNG or WebP, and what it shows. for_customer says whether the customer's page shows it."""

    photo = serializers.FileField(allow_empty_file=True)
    purpose = serializers.ChoiceField(UnitPhoto.Purpose.choices)
    caption = serializers.CharField(max_length=120, required=False, allow_blank=True, default="")
    for_customer = serializers.BooleanField(required=False, default=True)


class UnitPhotos(UploadEndpoint):
    """Pictures of a unit."""

    @operation("list_photos", verb="units.see", gives=UnitPhotoOut, many=True)
    def get(self, call: Call, unit_id: UUID) -> object:  # noqa: ARG002
        """List a unit's pictures."""
        return queries.photos_of(queries.one(unit_id))

    @operation("add_photo", verb="units.find", takes=PhotoIn, gives=UnitPhotoOut, status=201, upload=True)
    def post(self, call: Call, unit_id: UUID) -> UnitPhoto:
        """Add a picture; it is re-encoded, and its location is taken out."""
        queries.one(unit_id)
        said = {name: call.data[name] for name in ("purpose", "caption", "for_customer")}
        # Two actions, one effect: a unit that has left leaves no picture behind that nothing names.
        with transaction.atomic():
            photo = add_photo(actor=call.actor, upload=call.data["photo"].file)
            return actions.add_unit_photo(actor=call.actor, unit_id=unit_id, photo_id=photo.id, **said)


class LoosePhotoIn(Taken):
    """A picture, JPEG, PNG or WebP, for a finding, a step, a reading or an incident."""

    photo = serializers.FileField(allow_empty_file=True)


class LoosePhotos(UploadEndpoint):
    """Pictures that something else will name."""

    @operation("store_photo", verb="core.see_photo", takes=LoosePhotoIn, gives=PhotoOut, status=201, upload=True)
    def post(self, call: Call) -> Photo:
        """Store a picture that a finding, a step, a reading or an incident then names by its id."""
        return add_photo(actor=call.actor, upload=call.data["photo"].file)


class PhotoFile(Endpoint):
    """A stored picture."""

    @operation("get_photo_file", verb="core.see_photo", binary=("image/jpeg",))
    def get(self, call: Call, photo_id: UUID) -> bytes:  # noqa: ARG002
        """Return a stored picture."""
        content = stored_bytes(existing(Photo, photo_id))
        if content is None:
            raise no_such(Photo, photo_id)
        return content
