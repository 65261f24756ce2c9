"""Layout mats as PDF: lists of boxes, and boards and cases at true size. Black on white."""

import io
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from functools import partial
from typing import NamedTuple

from django.utils.translation import gettext as _
from django.utils.translation import gettext_lazy
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from shop.boards.spots import Screw, Side
from shop.core.reasons import Reason, Refused
from shop.units.label_draw import Paper
from shop.units.labels import qr_modules
from shop.work import mats
from shop.work.mat_boxes import IN_LIST, ON_MAT, draw_part, draw_screw
from shop.work.mat_pen import LINE_MM, Pen, Words, draw_head, draw_shapes, draw_sheet_line
from shop.work.mat_shapes import MatSheet, Rect, Thing
from shop.work.mats import MatHead, PartBox

MOST_BOARD_MM = 1000
PAPER_MM = {paper: (size[0] / mm, size[1] / mm) for paper, size in ((Paper.A4, A4), (Paper.LETTER, LETTER))}
_PART_LIST_MM, _PART_MAT_MM = (30.0, 22.0), (22.0, 12.0)
_SCREW_LIST_MM, _SCREW_MAT_MM = (60.0, 36.0), (40.0, 20.0)
_BOARD_MM = 0.35
_SIDES = {Side.TOP: gettext_lazy("top side"), Side.BOTTOM: gettext_lazy("bottom side, mirrored as seen from below")}


class _Page(NamedTuple):
    """What its head says the page is, and what draws the rest."""

    what: str
    draw: Callable[[Pen], None]


_Lay = Callable[[Rect], list[_Page]]  # what a sheet has for drawing → the pages


def parts_list_pdf(head: MatHead, boxes: Sequence[PartBox], paper: Paper = Paper.A4) -> bytes:
    """Return a boxed list of the parts, numbered from 1, on one page where they fit (66 on A4, 60 on Letter).

    Raises Refused: `mat_nothing_to_lay`, and what `qr_modules` refuses about the address.
    """
    return _laid(head, [PAPER_MM[paper]], partial(_part_pages, list(enumerate(boxes, 1)), _("Parts list")))


def fasteners_list_pdf(head: MatHead, screws: Sequence[Screw], paper: Paper = Paper.A4) -> bytes:
    """Return a boxed list of the groups of fasteners in the order they come out, with a circle for each fastener.

    Raises Refused: `mat_nothing_to_lay`, and what `qr_modules` refuses about the address.
    """
    return _laid(head, [PAPER_MM[paper]], partial(_screw_pages, _in_order(screws), _("Fasteners list")))


def parts_mat_pdf(
    head: MatHead, boxes: Sequence[PartBox], board_mm: tuple[float, float], paper: Paper = Paper.A4
) -> bytes:
    """Return the board (width, height in mm) at true size with a box for each part, over as many sheets as it takes.

    The sheets lie across (landscape) when fewer are needed so. The bottom side has sheets of its own, mirrored as it is
    seen from below; where a plus points is shown as its spot has it, that is as its own side is seen. Parts whose place
    is not known and boxes that found no room follow as a list. Raises Refused: `mat_nothing_to_lay`, `mat_board_size`
    (facts width_mm, height_mm, most_mm), and what `qr_modules` refuses about the address.
    """
    _check_size(board_mm, "board_mm")
    things = {side: mats.part_things(boxes, side, board_mm[0]) for side in Side}
    return _laid(head, _either_way(paper), partial(_part_mat_pages, boxes, things, board_mm))


def _part_mat_pages(
    boxes: Sequence[PartBox], things: Mapping[Side, list[Thing]], board_mm: tuple[float, float], area: Rect
) -> list[_Page]:
    pages: list[_Page] = []
    left: list[int] = []
    for side, on_side in things.items():
        if not any(thing.shapes for thing in on_side):
            left += [thing.number for thing in on_side]
            continue
        sheets, homeless = mats.mat_sheets(on_side, board_mm, area, _PART_MAT_MM, columns=True)
        left += homeless
        mirror_mm = board_mm[0] if side is Side.BOTTOM else None
        for sheet in sheets:
            what = _("Parts 1:1, {side}, {place}").format(side=_SIDES[side], place=_place(sheet))
            pages.append(_Page(what, partial(_paint_parts, sheet, boxes, board_mm, mirror_mm)))
    rest = [(number, boxes[number - 1]) for number in sorted(left)]
    return pages + _part_pages(rest, _("Parts with no room beside their place"), area)


def fasteners_mat_pdf(
    head: MatHead, screws: Sequence[Screw], case_mm: tuple[float, float], paper: Paper = Paper.A4
) -> bytes:
    """Return the case (width, height in mm) at true size with a circle at each place and a box for each group.

    The sheets lie across (landscape) when fewer are needed so. Groups without a known place and boxes that found no
    room follow as a list. Raises Refused: `mat_nothing_to_lay`, `mat_board_size` (facts width_mm, height_mm, most_mm),
    and what `qr_modules` refuses about the address.
    """
    _check_size(case_mm, "case_mm")
    return _laid(head, _either_way(paper), partial(_screw_mat_pages, _in_order(screws), case_mm))


def _screw_mat_pages(ordered: Sequence[Screw], case_mm: tuple[float, float], area: Rect) -> list[_Page]:
    things = mats.screw_things(ordered)
    pages: list[_Page] = []
    left = [thing.number for thing in things]
    if any(thing.shapes for thing in things):
        sheets, left = mats.mat_sheets(things, case_mm, area, _SCREW_MAT_MM, columns=False)
        for sheet in sheets:
            what = _("Fasteners 1:1, {place}").format(place=_place(sheet))
            pages.append(_Page(what, partial(_paint_screws, sheet, ordered, case_mm)))
    rest = [ordered[number - 1] for number in left]
    return pages + _screw_pages(rest, _("Fasteners with no room beside their place"), area)


def _in_order(screws: Sequence[Screw]) -> list[Screw]:
    return sorted(screws, key=lambda screw: (screw.order, screw.label))


def _place(sheet: MatSheet) -> str:
    return _("row {row} column {column}").format(row=sheet.tile.row, column=sheet.tile.column)


def _either_way(paper: Paper) -> list[tuple[float, float]]:
    width, height = PAPER_MM[paper]
    return [(width, height), (height, width)]


def _check_size(size_mm: tuple[float, float], field: str) -> None:
    if not all(0 < side <= MOST_BOARD_MM for side in size_mm):
        facts = {"width_mm": size_mm[0], "height_mm": size_mm[1], "most_mm": MOST_BOARD_MM}
        raise Refused(Reason("mat_board_size", facts, field))


def _laid(head: MatHead, sizes_mm: Sequence[tuple[float, float]], lay: _Lay) -> bytes:
    """Return the pages as a PDF on that size of sheet which takes fewest; the first of those that take as many."""
    laid = [(size, lay(mats.area_of(*size))) for size in sizes_mm]
    return _pdf(head, *min(laid, key=lambda one: len(one[1])))


def _pdf(head: MatHead, size_mm: tuple[float, float], pages: Sequence[_Page]) -> bytes:
    """Return the pages, each with its head, as a PDF that asks to be printed at its true size."""
    if not pages:
        raise Refused(Reason("mat_nothing_to_lay"))
    out, (width, height), area = io.BytesIO(), size_mm, mats.area_of(*size_mm)
    modules = qr_modules(head.address)
    canvas = Canvas(out, pagesize=(width * mm, height * mm), invariant=True)
    canvas.setTitle(f"{head.number} {head.code}")
    canvas.setViewerPreference("PrintScaling", "None")
    for number, page in enumerate(pages, 1):
        canvas.scale(mm, mm)
        pen = Pen(canvas)
        draw_head(pen, head, modules, area)
        draw_sheet_line(pen, page.what, _("page {n} of {m}").format(n=number, m=len(pages)), area)
        page.draw(pen)
        pen.ink()
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def _part_pages(parts: Sequence[tuple[int, PartBox]], what: str, area: Rect) -> list[_Page]:
    paints = [partial(draw_part, number=number, part=part, sizes=IN_LIST) for number, part in parts]
    return _list_pages(paints, what, area, _PART_LIST_MM)


def _screw_pages(screws: Sequence[Screw], what: str, area: Rect) -> list[_Page]:
    paints = [partial(draw_screw, screw=screw, sizes=IN_LIST) for screw in screws]
    return _list_pages(paints, what, area, _SCREW_LIST_MM)


_Paint = Callable[[Pen, Rect], None]


def _list_pages(paints: Sequence[_Paint], what: str, area: Rect, least: tuple[float, float]) -> list[_Page]:
    """Return pages of boxes, one for each paint; none for none."""
    rest = iter(paints)
    boxes = mats.list_boxes(len(paints), area, least)
    return [_Page(what, partial(_paint_list, [(rect, next(rest)) for rect in rects])) for rects in boxes]


def _paint_list(filled: Sequence[tuple[Rect, _Paint]], pen: Pen) -> None:
    pen.boxes(rect for rect, _paint in filled)
    for rect, paint in filled:
        paint(pen, rect)


def _paint_parts(
    sheet: MatSheet, boxes: Sequence[PartBox], board_mm: tuple[float, float], mirror_mm: float | None, pen: Pen
) -> None:
    """Draw a sheet of a parts mat: true outlines, and the boxes joined to them."""
    boxed = {callout.number for callout in sheet.callouts}
    with _true_size(pen, sheet, board_mm, mirror_mm):
        draw_shapes(pen, (shape for _number, shape in sheet.shapes))
        for number, shape in sheet.shapes:
            if number not in boxed:
                x, y = shape.bounds.centre
                pen.words(x, y - 0.6, Words(boxes[number - 1].spot.designator, 4.5), _PART_MAT_MM[0], align=0.5)
    pen.strokes([callout.leader for callout in sheet.callouts])
    pen.boxes(callout.box for callout in sheet.callouts)
    for callout in sheet.callouts:
        draw_part(pen, callout.box, number=callout.number, part=boxes[callout.number - 1], sizes=ON_MAT)


def _paint_screws(sheet: MatSheet, screws: Sequence[Screw], case_mm: tuple[float, float], pen: Pen) -> None:
    """Draw a sheet of a fasteners mat: a circle at each place, and the boxes of the groups."""
    with _true_size(pen, sheet, case_mm):
        pen.canvas.setLineWidth(LINE_MM)
        for number, shape in sheet.shapes:
            x, y = shape.bounds.centre
            pen.canvas.circle(x, y, mats.RING_MM / 2)
            pen.words(x, y - 1, Words(screws[number - 1].label, 8, bold=True), mats.RING_MM - 1, align=0.5)
    pen.strokes([callout.leader for callout in sheet.callouts])
    pen.boxes(callout.box for callout in sheet.callouts)
    for callout in sheet.callouts:
        draw_screw(pen, callout.box, screw=screws[callout.number - 1], sizes=ON_MAT)


@contextmanager
def _true_size(
    pen: Pen, sheet: MatSheet, size_mm: tuple[float, float], mirror_mm: float | None = None
) -> Iterator[None]:
    """Draw the outline and the overlap marks; inside, the canvas takes millimetres of the board and shows its part."""
    tile, canvas = sheet.tile, pen.canvas
    pen.ink()
    canvas.saveState()
    canvas.translate(*tile.offset)
    clip = canvas.beginPath()
    clip.rect(*tile.view)
    canvas.clipPath(clip, stroke=0, fill=0)
    pen.boxes([Rect(0, 0, *size_mm)], _BOARD_MM)
    canvas.setDash(3, 2)
    pen.strokes([(x, tile.view.y, x, tile.view.top) for x in tile.seams[0]])
    pen.strokes([(tile.view.x, y, tile.view.right, y) for y in tile.seams[1]])
    canvas.setDash()
    for x, y in tile.crosses:
        pen.strokes([(x - 2, y, x + 2, y), (x, y - 2, x, y + 2)], LINE_MM)
        # Toward the middle of the sheet, where there is room.
        align, aside = (1, -0.8) if x > tile.view.centre[0] else (0, 0.8)
        shown = f"({x if mirror_mm is None else mirror_mm - x:g}, {y:g})"
        pen.words(x + aside, y + 0.8, Words(shown, 5), 14, align=align)
    yield
    pen.ink()
    canvas.restoreState()
