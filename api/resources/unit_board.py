"""What a unit's bench gets of its board: layout mats and the drawing of the present step."""

from uuid import UUID

from django.http import HttpResponse
from rest_framework import serializers

from api.fields import Taken
from api.operation import Call, Endpoint, operation
from shop.boards.queries import board
from shop.core.files import only_to_look_at
from shop.core.reasons import Missing, Reason
from shop.floor.at_bench import board_svg
from shop.floor.mats import mat_pdf
from shop.units import queries as units
from shop.units.label_draw import Paper
from shop.work.queries import present_step, sheet


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
        drawing = board_svg(board(unit.revision, unit.edition), steps, present_step(steps))
        if not drawing:
            raise Missing(Reason("missing", {"thing": "drawing of a board", "sought": unit.revision.marking}))
        return only_to_look_at(drawing.encode(), "image/svg+xml", f"board-{unit.number}.svg")
