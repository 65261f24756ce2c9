"""Labels as PDF (one a page, or sheets to cut), PNG and SVG. Black on white, at their true size."""

import io
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum
from html import escape

from django.utils.translation import gettext as _
from PIL import Image, ImageDraw, ImageFont
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas

from shop.core.fonts import find_font
from shop.core.reasons import Reason, Refused
from shop.units.label_layout import LABEL_MM, MM_PER_PT, Box, Line, Mark, lay_out
from shop.units.labels import Tag

_PX_PER_MM = 40  # every module side is a whole number of these pixels (see module_mm)
_TICK_MM = 3.0
_CROSS_MM = 0.8
_HAIR_MM = 0.15
_RULER_MM = 50.0


class Paper(StrEnum):
    """Sizes of sheets."""

    A4 = "a4"
    LETTER = "letter"


_PAPER_MM = {Paper.A4: (210.0, 297.0), Paper.LETTER: (215.9, 279.4)}


@dataclass(frozen=True, slots=True)
class Grid:
    """How labels lie on a sheet, edge to edge so that one cut parts two: counts, and margins in millimetres."""

    columns: int
    rows: int
    left_mm: float
    top_mm: float

    @property
    def places(self) -> int:
        """Return how many labels a sheet holds."""
        return self.columns * self.rows

    def corner(self, place: int) -> tuple[float, float]:
        """Return the top left corner of a place counted from 0, row by row, from the sheet's top left."""
        row, column = divmod(place, self.columns)
        return self.left_mm + column * LABEL_MM[0], self.top_mm + row * LABEL_MM[1]


def grid(paper: Paper) -> Grid:
    """Return the grid of a paper, in its middle, with at least 5 mm that no printer reaches around it."""
    width, height = _PAPER_MM[paper]
    columns, rows = int((width - 10) / LABEL_MM[0]), int((height - 10) / LABEL_MM[1])
    return Grid(columns, rows, (width - columns * LABEL_MM[0]) / 2, (height - rows * LABEL_MM[1]) / 2)


def tag_pdf(tags: Sequence[Tag]) -> bytes:
    """Return a PDF with one label of 62 × 40 mm on each page. Raises Refused: `labels_none` and what layout refuses."""
    _some(tags)
    out, canvas = _canvas(LABEL_MM, tags)
    for tag in tags:
        _draw_pdf(canvas, lay_out(tag, find_font()), 0, 0, LABEL_MM[1])
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def sheet_pdf(tags: Sequence[Tag], paper: Paper = Paper.A4, *, start: int = 1) -> bytes:
    """Return sheets of labels with cut marks, the first label at place start, counted from 1 row by row.

    So a partly used sheet can be finished. Raises Refused: `labels_none`, `out_of_range` for start, and what layout
    refuses.
    """
    _some(tags)
    lattice, size = grid(paper), _PAPER_MM[paper]
    if not 1 <= start <= lattice.places:
        facts = {"label": _("The first place on the sheet"), "low": 1, "high": lattice.places}
        raise Refused(Reason("out_of_range", facts, "start"))
    out, canvas = _canvas(size, tags)
    for index, tag in enumerate(tags, start - 1):
        place = index % lattice.places
        if place == 0 and index >= start:
            canvas.showPage()
        if place == 0 or index == start - 1:
            _draw_marks(canvas, lattice, size)
        _draw_pdf(canvas, lay_out(tag, find_font()), *lattice.corner(place), size[1])
    canvas.showPage()
    canvas.save()
    return out.getvalue()


def tag_png(tag: Tag) -> bytes:
    """Return one label as a PNG in pure black and white, 40 pixels a millimetre (1016 dpi)."""
    picture = Image.new("1", (int(LABEL_MM[0] * _PX_PER_MM), int(LABEL_MM[1] * _PX_PER_MM)), 1)
    pen = ImageDraw.Draw(picture)
    fonts = find_font()
    for mark in lay_out(tag, fonts):
        x, y = round(mark.x_mm * _PX_PER_MM), round(mark.y_mm * _PX_PER_MM)
        if isinstance(mark, Box):
            right, bottom = (mark.x_mm + mark.width_mm) * _PX_PER_MM, (mark.y_mm + mark.height_mm) * _PX_PER_MM
            pen.rectangle((x, y, round(right) - 1, round(bottom) - 1), fill=0)
        else:
            face = ImageFont.truetype(str(fonts.file_of(mark.font)), round(mark.size_pt * MM_PER_PT * _PX_PER_MM))
            pen.text((x, y), mark.text, fill=0, font=face, anchor="ls")
    out = io.BytesIO()
    picture.save(out, "PNG", optimize=True, dpi=(_PX_PER_MM * 25.4, _PX_PER_MM * 25.4))
    return out.getvalue()


def tag_svg(tag: Tag) -> str:
    """Return one label as an SVG document of 62 × 40 mm."""
    fonts = find_font()
    marks = lay_out(tag, fonts)
    boxes = "".join(
        f"M{box.x_mm:.4g} {box.y_mm:.4g}h{box.width_mm:.4g}v{box.height_mm:.4g}h-{box.width_mm:.4g}z"
        for box in marks
        if isinstance(box, Box)
    )
    families = {fonts.regular: fonts.family, fonts.bold: fonts.family, fonts.mono: "DejaVu Sans Mono"}
    lines = "".join(_svg_line(line, families[line.font], fonts.regular) for line in marks if isinstance(line, Line))
    width, height = LABEL_MM
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{width:g}mm" height="{height:g}mm" '
        f'viewBox="0 0 {width:g} {height:g}" role="img"><title>{escape(tag.code)}</title>'
        f'<rect width="{width:g}" height="{height:g}" fill="#fff"/>'
        f'<path d="{boxes}" fill="#000" shape-rendering="crispEdges"/>{lines}</svg>'
    )


def _svg_line(line: Line, family: str, regular: str) -> str:
    # textLength keeps the line inside the label where the reader's machine has another typeface.
    weight = "" if line.font == regular else ' font-weight="bold"'
    return (
        f'<text x="{line.x_mm:.4g}" y="{line.y_mm:.4g}" font-family="{family}, sans-serif"{weight} '
        f'font-size="{line.size_pt * MM_PER_PT:.4g}" textLength="{line.width_mm:.4g}" '
        f'lengthAdjust="spacingAndGlyphs">{escape(line.text)}</text>'
    )


def _some(tags: Sequence[Tag]) -> None:
    if not tags:
        raise Refused(Reason("labels_none"))


def _canvas(size_mm: tuple[float, float], tags: Sequence[Tag]) -> tuple[io.BytesIO, Canvas]:
    """Return a PDF that asks to be printed at its true size; equal labels give equal bytes."""
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(size_mm[0] * mm, size_mm[1] * mm), invariant=True)
    canvas.setTitle(", ".join(tag.code for tag in tags[:4]))
    canvas.setViewerPreference("PrintScaling", "None")
    return out, canvas


def _draw_pdf(canvas: Canvas, marks: Sequence[Mark], left_mm: float, top_mm: float, page_mm: float) -> None:
    """Draw the marks of one label; left and top are its corner on a page of so many millimetres in height."""
    shapes = canvas.beginPath()  # one path, so that no hairline shows between neighbouring modules
    canvas.setFillGray(0)
    for mark in marks:
        x, y = (left_mm + mark.x_mm) * mm, (page_mm - top_mm - mark.y_mm) * mm
        if isinstance(mark, Box):
            shapes.rect(x, y - mark.height_mm * mm, mark.width_mm * mm, mark.height_mm * mm)
        else:
            canvas.setFont(mark.font, mark.size_pt)
            canvas.drawString(x, y, mark.text)
    canvas.drawPath(shapes, stroke=0, fill=1)


def _draw_marks(canvas: Canvas, lattice: Grid, size_mm: tuple[float, float]) -> None:
    """Draw where to cut (ticks in the margins, small crosses between labels) and a ruler to check the scale by."""
    height = size_mm[1]
    columns = [lattice.left_mm + column * LABEL_MM[0] for column in range(lattice.columns + 1)]
    rows = [lattice.top_mm + row * LABEL_MM[1] for row in range(lattice.rows + 1)]
    strokes = [(x - _CROSS_MM, y, x + _CROSS_MM, y) for x in columns for y in rows] + [
        (x, y - _CROSS_MM, x, y + _CROSS_MM) for x in columns for y in rows
    ]
    strokes += [(x, y, x, y + step) for x in columns for y, step in ((rows[0], -_TICK_MM), (rows[-1], _TICK_MM))]
    strokes += [(x, y, x + step, y) for y in rows for x, step in ((columns[0], -_TICK_MM), (columns[-1], _TICK_MM))]
    ruler_y = rows[-1] + _TICK_MM + 0.5
    strokes.append((columns[0] + 4, ruler_y, columns[0] + 4 + _RULER_MM, ruler_y))
    canvas.setLineWidth(_HAIR_MM * mm)
    canvas.lines([(a * mm, (height - b) * mm, c * mm, (height - d) * mm) for a, b, c, d in strokes])
    fonts = find_font()
    canvas.setFont(fonts.regular, 6)
    words = _("Print at 100 %. The line on the left is {length_mm} mm long.")
    shown = fonts.writable(words.format(length_mm=f"{_RULER_MM:g}"), fonts.regular)
    canvas.drawString((columns[1] + 4) * mm, (height - ruler_y) * mm, shown)


FORMS = ("pdf", "png", "svg", *(paper.value for paper in Paper))
_PDF = "application/pdf"


def drawn(tags: Sequence[Tag], form: str, *, start: int = 1) -> tuple[bytes, str]:
    """Return labels in one of `FORMS` with their media type: single (pdf), a sheet, or the first tag as a picture.

    start is the place on the sheet to begin at, for one that was used in part. Raises what `sheet_pdf` raises, and
    ValueError for another form.
    """
    if form == "png":
        return tag_png(tags[0]), "image/png"
    if form == "svg":
        return tag_svg(tags[0]).encode(), "image/svg+xml"
    if form == "pdf":
        return tag_pdf(tags), _PDF
    return sheet_pdf(tags, Paper(form), start=start), _PDF
