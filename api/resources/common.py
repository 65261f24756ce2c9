"""What several resources share: small renderings, and looking a row up by its id."""

from typing import Any, TypeVar
from uuid import UUID

from django.db.models import Model
from rest_framework import serializers

from api.fields import Given, GivenRow
from shop.core.models import Photo
from shop.core.reasons import Missing, Reason, sentence
from shop.people.models import Place

M = TypeVar("M", bound=Model)


def existing(model: type[M], pk: UUID, **where: Any) -> M:
    """Return a row that is to be shown or acted on. Raises Missing."""
    row = model._default_manager.filter(pk=pk, **where).first()
    if row is None:
        raise Missing(Reason("missing", {"thing": str(model._meta.verbose_name), "sought": pk}))
    return row


class Named(Given):
    """A reference to something with a name."""

    id = serializers.UUIDField()
    name = serializers.CharField()


class PlaceBrief(GivenRow):
    """Where something lies."""

    class Meta:
        model = Place
        fields = ["id", "name", "kind"]


class ReasonOut(Given):
    """Why not, as a code and a sentence."""

    code = serializers.CharField()
    detail = serializers.SerializerMethodField()

    def get_detail(self, reason: Reason) -> str:
        """Word the reason."""
        return sentence(reason)


class PhotoOut(GivenRow):
    """A stored picture; its file is at /api/v1/photos/{id}/file."""

    class Meta:
        model = Photo
        fields = ["id", "sha256", "width_px", "height_px", "size_bytes", "created_at"]
