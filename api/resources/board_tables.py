"""Boards as tables: taken in, first as a dry run, and given out again."""

from uuid import UUID

from django.http import HttpResponse
from django.utils.text import slugify
from rest_framework import serializers

from api.fields import Given, Taken, Text, YesNo
from api.operation import Call, Endpoint, operation
from api.resources.common import ReasonOut
from shop.boards import table_actions
from shop.boards.fastener_table import write_fasteners
from shop.boards.models import BoardRevision
from shop.boards.placement_table import write_placements
from shop.boards.queries import board, revision_of
from shop.core.files import only_to_look_at


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
