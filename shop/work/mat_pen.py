"""The pen that layout mats are drawn with: words that fit their room, boxes, strokes; and the head of each sheet."""

from collections.abc import Iterable, Sequence
from functools import lru_cache
from itertools import groupby
from typing import NamedTuple

from django.utils.translation import gettext as _
from reportlab.lib.units import mm
from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

from shop.boards.spots import Points
from shop.core.fonts import find_font
from shop.work.mat_shapes import Rect, Shape
from shop.work.mats import HEAD_MM, MatHead

HAIR_MM, LINE_MM = 0.15, 0.25
RULER_MM = 50.0
_QR_MM = 25.0
_LONGEST = 120  # letters of a text that are looked at: no box has room for as many


class Words(NamedTuple):
    """A line of a box: its size in points, and how many lines it may be wrapped to."""

    text: str
    size_pt: float
    bold: bool = False
    lines: int = 1


class Pen:
    """Draws on a canvas whose unit is the millimetre."""

    def __init__(self, canvas: Canvas) -> None:
        self.canvas = canvas
        self.fonts = find_font()
        self._text = canvas.beginText()

    def words(self, x: float, y: float, words: Words, room_mm: float, *, align: float = 0.0) -> None:
        """Write one line with its start (align 0), middle (0.5) or end (1) at x, on the baseline y."""
        font = self.fonts.bold if words.bold else self.fonts.regular
        text, size, wide = _fitted(words.text[:_LONGEST], font, words.size_pt, round(room_mm, 3))
        self._text.setTextOrigin(x - align * wide, y)
        self._text.setFont(font, size)
        self._text.textOut(f"{text} ")  # the blank keeps words apart when they are searched for or read out

    def ink(self) -> None:
        """Put what was written onto the page: together, which is much faster, and so on top of every box."""
        self.canvas.drawText(self._text)
        self._text = self.canvas.beginText()

    def boxes(self, rects: Iterable[Rect], width_mm: float = LINE_MM) -> None:
        """Draw white boxes with black frames over what lies there."""
        self.canvas.setLineWidth(width_mm)
        self.canvas.setFillGray(1)
        frames = self.canvas.beginPath()
        for rect in rects:
            frames.rect(*rect)
        self.canvas.drawPath(frames, fill=1)
        self.canvas.setFillGray(0)

    def strokes(self, strokes: Sequence[tuple[float, ...]], width_mm: float = HAIR_MM) -> None:
        """Draw lines, each from x, y to x, y."""
        self.canvas.setLineWidth(width_mm)
        self.canvas.lines(strokes)

    def filled(self, rect: Rect, lines: Sequence[Words], corner: str = "") -> Rect:
        """Write lines into a box from the top, smaller where they are too high for it; return the room below them.

        corner is written small into the upper right corner, beside the first line.
        """
        y, small = rect.top, Words(corner, lines[0].size_pt / 2)
        self.words(rect.right, y - small.size_pt / mm * 0.78, small, rect.width / 4, align=1)
        first = rect.width - (rect.width / 4 if corner else 0)
        rooms = [first, *[rect.width] * (len(lines) - 1)]
        wrapped = [(w, room) for line, room in zip(lines, rooms, strict=True) for w in self._wrapped(line, room)]
        high = sum(words.size_pt for words, _room in wrapped) / mm * 1.1
        shrink = rect.height / max(rect.height, high)
        for words, room in wrapped:
            size = words.size_pt * shrink
            self.words(rect.x, y - size / mm * 0.78, words._replace(size_pt=size), room)
            y -= size / mm * 1.1
        return Rect(rect.x, rect.y, rect.width, y - rect.y)

    def _wrapped(self, line: Words, room_mm: float) -> list[Words]:
        if line.lines == 1:
            return [line] if line.text else []
        font = self.fonts.bold if line.bold else self.fonts.regular
        wrapped = _split(line.text[:_LONGEST], font, line.size_pt, round(room_mm, 3))
        if len(wrapped) > line.lines:
            wrapped = (*wrapped[: line.lines - 1], " ".join(wrapped[line.lines - 1 :]))
        return [line._replace(text=text, lines=1) for text in wrapped]

    def plus(self, rect: Rect, positive: Points, size_mm: float) -> Rect:
        """Draw a plus inside that edge of a box and return the rest of the box."""
        (x, y), half, room = rect.centre, size_mm / 2, size_mm + 0.4
        x, y, rest = {
            Points.LEFT: (rect.x + half, y, Rect(rect.x + room, rect.y, rect.width - room, rect.height)),
            Points.RIGHT: (rect.right - half, y, Rect(rect.x, rect.y, rect.width - room, rect.height)),
            Points.UP: (x, rect.top - half, Rect(rect.x, rect.y, rect.width, rect.height - room)),
            Points.DOWN: (x, rect.y + half, Rect(rect.x, rect.y + room, rect.width, rect.height - room)),
        }[positive]
        self.strokes([(x - half, y, x + half, y), (x, y - half, x, y + half)], size_mm / 5)
        return rest


@lru_cache(maxsize=4096)
def _split(text: str, font: str, size_pt: float, room_mm: float) -> tuple[str, ...]:
    """Return the lines that text takes in a room of that width."""
    return tuple(simpleSplit(find_font().writable(text, font), font, size_pt / mm, room_mm))


@lru_cache(maxsize=4096)  # a mat says the same value, kit line and direction many times
def _fitted(text: str, font: str, size_pt: float, room_mm: float) -> tuple[str, float, float]:
    """Return what is written of text, and its size and width in mm.

    It gets up to a quarter smaller where that makes it fit its room, else it is cut with …
    """
    text, size = find_font().writable(text, font), size_pt / mm
    wide = stringWidth(text, font, size)
    if wide <= room_mm:
        return text, size, wide
    size *= max(0.75, room_mm / wide * 0.999)
    shown = text
    while shown and stringWidth(shown, font, size) > room_mm:
        text = text[:-1].rstrip()
        shown = f"{text}…" if text else ""
    return shown, size, stringWidth(shown, font, size)


def draw_shapes(pen: Pen, shapes: Iterable[Shape]) -> None:
    """Draw the outlines of placements, crosses where their size is not known."""
    outlines, crosses = pen.canvas.beginPath(), []
    for bounds, corners in shapes:
        if corners:
            outlines.moveTo(*corners[0])
            for corner in corners[1:]:
                outlines.lineTo(*corner)
            outlines.close()
        else:
            x, y = bounds.centre
            crosses += [(bounds.x, y, bounds.right, y), (x, bounds.y, x, bounds.top)]
    pen.strokes(crosses, LINE_MM)
    pen.canvas.drawPath(outlines)


def draw_head(pen: Pen, head: MatHead, modules: list[list[bool]], area: Rect) -> None:
    """Draw the QR code (modules row by row, dark ones true), number, tag code, model and board above the area (mm)."""
    module, top = _QR_MM / len(modules), area.top + HEAD_MM
    dark = pen.canvas.beginPath()  # one path, so that no hairline shows between neighbouring modules
    for y, row in enumerate(modules, 1):
        start = 0
        for is_dark, run in groupby(row):
            length = len(list(run))
            if is_dark:
                dark.rect(area.x + start * module, top - y * module, length * module, module)
            start += length
    pen.canvas.drawPath(dark, stroke=0, fill=1)
    x, room = area.x + _QR_MM + 2, area.width - _QR_MM - RULER_MM - 6
    pen.words(x, top - 8, Words(head.number, 28, bold=True), room)
    pen.words(x, top - 13.5, Words(head.code, 12, bold=True), room)
    pen.words(x, top - 18, Words(" · ".join(part for part in (head.title, head.board) if part), 9), room)


def draw_sheet_line(pen: Pen, what: str, page: str, area: Rect) -> None:
    """Draw what the page is, its number, and the ruler that tells whether it was printed at its size; area in mm."""
    pen.words(area.x + _QR_MM + 2, area.top + 3.5, Words(what, 8.5, bold=True), area.width - _QR_MM - RULER_MM - 6)
    pen.words(area.right, area.top + HEAD_MM - 4, Words(page, 9), RULER_MM, align=1)
    left, y = area.right - RULER_MM - 0.2, area.top + 4.5
    ends = [(end, y - 1.5, end, y + 1.5) for end in (left, left + RULER_MM)]
    pen.strokes([(left, y, left + RULER_MM, y), *ends])
    pen.words(left, y + 6.5, Words(_("Print at 100 %"), 9, bold=True), RULER_MM)
    pen.words(left, y + 2.6, Words(_("This line is {length} mm long.").format(length=f"{RULER_MM:g}"), 7), RULER_MM)
    pen.strokes([(area.x, area.top + 1, area.right, area.top + 1)], LINE_MM)
