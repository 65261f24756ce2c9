"""Boards of the library, whole or as tables; the mats and the picture that a unit's bench gets of them. Lengths in mm.

What is posted of a placement or of fasteners is said whole: what is left out is as on a new one.
"""

from typing import Any
from uuid import UUID

from django.http import HttpResponse
from django.utils.text import slugify
from rest_framework import serializers

from api.fields import Given, GivenRow, IdOf, Taken, Text, YesNo, text, whole
from api.operation import Call, Endpoint, operation
from api.resources.common import PhotoOut, ReasonOut
from api.resources.library import RevisionOut
from shop.boards import board_actions, table_actions
from shop.boards.fastener_table import write_fasteners
from shop.boards.models import BoardEdition, BoardPicture, BoardRevision
from shop.boards.placement_table import write_placements
from shop.boards.queries import board, revision_of, selecting_nothing
from shop.boards.spots import Fit, Kind, Mount, Points, Screw, Side, Spot
from shop.core.files import only_to_look_at
from shop.core.models import Photo
from shop.core.reasons import Missing, Reason
from shop.floor.at_bench import board_svg
from shop.floor.mats import mat_pdf
from shop.units import queries as units
from shop.units.label_draw import Paper
from shop.work.queries import sheet

_MOST_MM, _MOST_PX = 1000, 100_000
_MOST_PLACES = 100
_LARGEST = 1e9
SIDES = [(side.value, side.value) for side in Side]
KINDS = [(kind.value, kind.value) for kind in Kind]
_MOUNTS = [(mount.value, mount.value) for mount in Mount]
_FITS = [(fit.value, fit.value) for fit in Fit]
_POINTS = [(points.value, points.value) for points in Points if points]


class Number(serializers.FloatField):
    """A number; neither text nor yes or no is one, nor what is too large to be told from the infinite."""

    def to_internal_value(self, data: Any) -> float:
        """Return the number."""
        if isinstance(data, bool) or not isinstance(data, int | float) or not -_LARGEST <= data <= _LARGEST:
            self.fail("invalid")
        return super().to_internal_value(data)


def millimetres(**kwargs: Any) -> Number:
    """Return a field for a place or a length in mm; unless kwargs say else it may be left out, or null: not known."""
    given: dict[str, Any] = {"allow_null": True, "required": False, "default": None} | kwargs
    return Number(min_value=-_MOST_MM, max_value=_MOST_MM, **given)


def _figures(count: int, limit: int = _MOST_MM, **kwargs: Any) -> serializers.ListField:
    """Return a field for so many numbers from -limit to limit."""
    number = Number(min_value=-limit, max_value=limit)
    return serializers.ListField(child=number, min_length=count, max_length=count, **kwargs)


class EditionOut(Given):
    """What units are worked from: its number, since when they are, the sizes (width, height; null: not known)."""

    number = serializers.IntegerField()
    used_at = serializers.DateTimeField(allow_null=True)
    board_mm = _figures(2, source="size_mm", allow_null=True)
    case_mm = _figures(2, allow_null=True)
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
    places_mm = serializers.ListField(child=_figures(2))
    warning = serializers.CharField()


class BoardPictureOut(GivenRow):
    """A photo of a side or of the case; known are points of it: x, y in pixels from its top left, x, y in mm."""

    photo = PhotoOut()
    known = serializers.ListField(child=_figures(4, _MOST_PX))

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

    board_mm = _figures(2, allow_null=True, required=False, default=None)
    case_mm = _figures(2, allow_null=True, required=False, default=None)
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
    known = serializers.ListField(child=_figures(4, _MOST_PX), max_length=2, required=False, default=list)


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
        return board_actions.put_placement(actor=call.actor, revision_id=revision_id, spot=_spot(call.data)).spot


class DesignatorIn(Taken):
    """Which placement."""

    designator = text(20, required=True)


class RemovePlacement(Endpoint):
    """A placement that is not there."""

    @operation("remove_placement", verb="boards.change", takes=DesignatorIn, gives=EditionOut)
    def post(self, call: Call, revision_id: UUID) -> BoardEdition:
        """Take a placement out of the library; editions that units are worked from keep it."""
        return board_actions.take_placement_out(actor=call.actor, revision_id=revision_id, **call.data)


class CaseFastenersIn(Taken):
    """A group of fasteners, whole; count is how many there are, order when they come out, from 1."""

    label = text(20, required=True)  # type: ignore[assignment]
    where = text(60, required=True)
    drive, bit, thread, warning = text(20), text(20), text(20), text(200)
    length_mm = millimetres()
    count, order = whole(1, 100, required=False, default=1), whole(1, 99, required=False, default=1)
    places_mm = serializers.ListField(child=_figures(2), max_length=_MOST_PLACES, required=False, default=list)


class CaseFasteners(Endpoint):
    """What holds a case together."""

    @operation("put_case_fasteners", verb="boards.change", takes=CaseFastenersIn, gives=CaseFastenersOut)
    def post(self, call: Call, revision_id: UUID) -> Screw:
        """Enter a group of fasteners of the case, or change the one with its label."""
        screw = Screw(**call.data | {"places_mm": tuple((x, y) for x, y in call.data["places_mm"])})
        return board_actions.put_fastener(actor=call.actor, revision_id=revision_id, screw=screw).screw


class LabelIn(Taken):
    """Which group of fasteners."""

    label = text(20, required=True)  # type: ignore[assignment]


class RemoveCaseFasteners(Endpoint):
    """A group of fasteners that is not there."""

    @operation("remove_case_fasteners", verb="boards.change", takes=LabelIn, gives=EditionOut)
    def post(self, call: Call, revision_id: UUID) -> BoardEdition:
        """Take a group of fasteners out of the library; editions that units are worked from keep it."""
        return board_actions.take_fastener_out(actor=call.actor, revision_id=revision_id, **call.data)


class TableLineOut(Given):
    """What a line of a table does (new, changed, same; empty where it cannot), and why not or what to look at.

    A grave reason must be mended before anything is written.
    """

    line = serializers.IntegerField()
    named, change = serializers.CharField(), serializers.CharField()
    grave = serializers.BooleanField()
    reason = ReasonOut(allow_null=True)


class ImportOut(Given):
    """What a table would do, or did when it was written; wrong counts the lines that must be mended first."""

    written = serializers.BooleanField()
    new, changed = serializers.SerializerMethodField(), serializers.SerializerMethodField()
    same = serializers.SerializerMethodField()
    wrong = serializers.IntegerField()
    lines = TableLineOut(many=True)

    def get_new(self, done: table_actions.Import) -> int:
        """Count the rows that the board does not have yet."""
        return done.count("new")

    def get_changed(self, done: table_actions.Import) -> int:
        """Count the rows that change something."""
        return done.count("changed")

    def get_same(self, done: table_actions.Import) -> int:
        """Count the rows that the board has already."""
        return done.count("same")


class TableIn(Taken):
    """A table as text, its first line the headings. While dry_run is true nothing is written."""

    # Untrimmed, so that lines are counted as in the sender's file.
    text = Text(trim_whitespace=False, allow_blank=True)
    dry_run = YesNo(required=False, default=True)


class PlacementTableIn(TableIn):
    """A table of placements; unit holds where the table names none."""

    unit = serializers.ChoiceField([("mm", "mm"), ("mil", "mil")], required=False, default="mm")


class ImportPlacements(Endpoint):
    """Placements from a table."""

    @operation("import_placements", verb="boards.change", takes=PlacementTableIn, gives=ImportOut)
    def post(self, call: Call, revision_id: UUID) -> table_actions.Import:
        """Read a table of placements into a board, or tell line by line what it would do."""
        return table_actions.import_placements(actor=call.actor, revision_id=revision_id, **call.data)


class ImportCaseFasteners(Endpoint):
    """Fasteners from a table."""

    @operation("import_case_fasteners", verb="boards.change", takes=TableIn, gives=ImportOut)
    def post(self, call: Call, revision_id: UUID) -> table_actions.Import:
        """Read a table of a case's fasteners, or tell line by line what it would do."""
        return table_actions.import_fasteners(actor=call.actor, revision_id=revision_id, **call.data)


def _csv(content: str, what: str, revision: BoardRevision) -> HttpResponse:
    name = f"{what}-{slugify(revision.marking) or revision.pk}.csv"
    return only_to_look_at(content.encode(), "text/csv; charset=utf-8", name)


class PlacementTable(Endpoint):
    """Placements as a table."""

    @operation("get_placement_table", verb="boards.see", binary=("text/csv",))
    def get(self, call: Call, revision_id: UUID) -> HttpResponse:  # noqa: ARG002
        """Return a board's placements as a table that can be imported again."""
        known = board(revision_of(revision_id))
        return _csv(write_placements(known.spots), "placements", known.revision)


class CaseFastenerTable(Endpoint):
    """Fasteners as a table."""

    @operation("get_case_fastener_table", verb="boards.see", binary=("text/csv",))
    def get(self, call: Call, revision_id: UUID) -> HttpResponse:  # noqa: ARG002
        """Return the fasteners of a board's case as a table that can be imported again."""
        known = board(revision_of(revision_id))
        return _csv(write_fasteners(known.screws), "fasteners", known.revision)


class MatQuery(Taken):
    """What the mat is printed on."""

    paper = serializers.ChoiceField([(paper.value, paper.value) for paper in Paper], required=False, default="a4")


class Mat(Endpoint):
    """A layout mat of a unit."""

    @operation("get_mat", verb="units.see", query=MatQuery, binary=("application/pdf",))
    def get(self, call: Call, unit_id: UUID, kind: str) -> HttpResponse:
        """Return a layout mat: parts or fasteners as boxed lists, parts-mat or fasteners-mat at true scale."""
        unit = units.one(unit_id)
        content = mat_pdf(unit, kind, Paper(call.query["paper"]))
        return only_to_look_at(content, "application/pdf", f"{kind}-{unit.number}.pdf")


class UnitBoard(Endpoint):
    """A unit's board as a drawing."""

    @operation("get_unit_board", verb="units.see", binary=("image/svg+xml",))
    def get(self, call: Call, unit_id: UUID) -> HttpResponse:  # noqa: ARG002
        """Return the unit's board as its present step shows it."""
        unit = units.one(unit_id)
        if unit.revision is None:
            raise Missing(Reason("board_unknown", {"unit": str(unit)}))
        steps = sheet(unit)
        present = next((step for step in steps if step.done_at is None), None)
        drawing = board_svg(board(unit.revision, unit.edition), steps, present)
        if not drawing:
            raise Missing(Reason("missing", {"thing": "drawing of a board", "sought": unit.revision.marking}))
        return only_to_look_at(drawing.encode(), "image/svg+xml", f"board-{unit.number}.svg")
