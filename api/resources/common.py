"""Small renderings that several resources share."""

from rest_framework import serializers

from api.fields import Given, GivenRow
from shop.core.models import Photo
from shop.core.reasons import Reason, sentence
from shop.people.models import Place


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
