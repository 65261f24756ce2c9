"""Boards of the library as a whole: sizes, photos, and everything that is known of one. Lengths in mm."""

from uuid import UUID

from rest_framework import serializers

from api.fields import Given, GivenRow, IdOf, Taken, figures, text
from api.operation import Call, Endpoint, operation
from api.resources.board_entries import CaseFastenersOut, EditionOut, PlacementOut
from api.resources.common import PhotoOut
from api.resources.library import RevisionOut
from shop.boards import board_actions
from shop.boards.models import BoardEdition, BoardPicture, BoardRevision
from shop.boards.queries import board, revision_of, selecting_nothing
from shop.core.models import Photo

_MOST_PX = 100_000


class BoardPictureOut(GivenRow):
    """A photo of a side or of the case; known are points of it: x, y in pixels from its top left, x, y in mm."""

    photo = PhotoOut()
    known = serializers.ListField(child=figures(4, _MOST_PX))

    class Meta:
        model = BoardPicture
        fields = ["shows", "photo", "known"]


class BoardOut(Given):
    """What the library says of a board and its case; selects_nothing are codes of services that find no part there."""

    revision = RevisionOut()
    edition = EditionOut(allow_null=True)
    placements = PlacementOut(source="spots", many=True)
    fasteners = CaseFastenersOut(source="screws", many=True)
    pictures = BoardPictureOut(many=True)
    selects_nothing = serializers.ListField(child=serializers.CharField())


class Board(Endpoint):
    """A board of the library."""

    @operation("get_board", verb="boards.see", gives=BoardOut)
    def get(self, call: Call, revision_id: UUID) -> object:  # noqa: ARG002
        """Show what the newest edition says of a board and its case."""
        known = board(revision_of(revision_id))
        return {
            "revision": known.revision,
            "edition": known.edition,
            "spots": known.spots,
            "screws": known.screws,
            "pictures": known.pictures.values(),
            "selects_nothing": [service.code for service in selecting_nothing(known)] if known.spots else [],
        }


class DescriptionIn(Taken):
    """Words that tell a board from the others, the year on it, a photo of the marking; without one the old stays."""

    how_to_tell, year = text(2000), text(20)
    photo = IdOf(Photo, allow_null=True, required=False, default=None)


class Description(Endpoint):
    """How a board is told from the others."""

    @operation("describe_revision", verb="boards.change", takes=DescriptionIn, gives=RevisionOut)
    def post(self, call: Call, revision_id: UUID) -> BoardRevision:
        """Say how a board is told from the others, in place of what was said before."""
        said = dict(call.data)
        return board_actions.describe_revision(
            actor=call.actor, revision_id=revision_id, photo_id=said.pop("photo"), **said
        )


class MeasuresIn(Taken):
    """Width and height of board and case outline (null: not known), and the variants that share the board."""

    board_mm = figures(2, allow_null=True, required=False, default=None)
    case_mm = figures(2, allow_null=True, required=False, default=None)
    variants = serializers.ListField(child=text(30, required=True), max_length=12, required=False, default=list)


class Measures(Endpoint):
    """How large a board is."""

    @operation("measure_board", verb="boards.change", takes=MeasuresIn, gives=EditionOut)
    def post(self, call: Call, revision_id: UUID) -> BoardEdition:
        """Say how large a board and its case are, in place of what was said before."""
        return board_actions.measure_board(actor=call.actor, revision_id=revision_id, **call.data)


class BoardPictureIn(Taken):
    """A stored photo for a side or the case; without one, up to two known points straighten the photo that is there."""

    shows = serializers.ChoiceField(BoardPicture.Shows.choices)
    photo = IdOf(Photo, allow_null=True, required=False, default=None)
    known = serializers.ListField(child=figures(4, _MOST_PX), max_length=2, required=False, default=list)


class BoardPictures(Endpoint):
    """Photos of a board."""

    @operation("put_board_picture", verb="boards.change", takes=BoardPictureIn, gives=BoardPictureOut)
    def post(self, call: Call, revision_id: UUID) -> BoardPicture:
        """Lay a photo under a side of the board or under the case, or straighten the one that is there."""
        said = call.data
        return board_actions.put_picture(
            actor=call.actor,
            revision_id=revision_id,
            shows=said["shows"],
            photo_id=said["photo"],
            known=[(px, py, x, y) for px, py, x, y in said["known"]],
        )
