"""Draws a bill or receipt for A4 or Letter: black on white, every table broken over pages with its head repeated."""

import io
from dataclasses import dataclass
from xml.sax.saxutils import escape

from babel import Locale
from django.utils.translation import gettext as _
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4, LETTER
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepTogether, Paragraph, SimpleDocTemplate, Spacer, Table

from shop.core.fonts import Fonts, find_font

# Territories whose usual paper is Letter: Unicode CLDR, supplemental measurement data, paperSize type US-Letter.
_LETTER = frozenset(["BZ", "CA", "CL", "CO", "CR", "GT", "MX", "NI", "PA", "PH", "PR", "SV", "US", "VE"])
_MARGIN = 20 * mm
_LAST_BMP = 0xFFFF
# What the PDF library leaves free inside each edge of a page's frame, in points.
_FRAME_PADDING = 6


@dataclass(frozen=True, slots=True)
class Block:
    """A table of four columns: their shares of the width, and from which on they hold figures, which align right."""

    head: tuple[str, str, str, str]
    rows: tuple[tuple[str, str, str, str], ...]
    shares: tuple[float, float, float, float]
    figures_from: int


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that stands on the paper, already worded for the shop's locale."""

    title: str
    about: str
    sender: str
    recipient: str
    locale: str
    lines: Block | None
    sums: tuple[tuple[str, str], ...]
    payments: Block
    standing: tuple[tuple[str, str], ...]
    closing: str


def page_size(locale: str) -> tuple[float, float]:
    """Return width and height in points of the paper that is usual where the locale is: Letter or A4."""
    territory = Locale.parse(locale.replace("-", "_")).territory
    width, height = LETTER if territory in _LETTER else A4
    return float(width), float(height)


def draw(sheet: Sheet) -> bytes:
    """Return the sheet as a PDF whose text can be copied out."""
    fonts, out = find_font(), io.BytesIO()
    document = SimpleDocTemplate(
        out, pagesize=page_size(sheet.locale), leftMargin=_MARGIN, rightMargin=_MARGIN, topMargin=_MARGIN,
        bottomMargin=_MARGIN, title=f"{sheet.title}, {sheet.about}", author=sheet.sender.split("\n")[0],
    )  # fmt: skip
    pen = _Pen(fonts, document.width - 2 * _FRAME_PADDING)

    def number(canvas: Canvas, _document: SimpleDocTemplate) -> None:
        canvas.setFont(fonts.regular, 8)
        canvas.drawRightString(
            document.width + _MARGIN, _MARGIN / 2, _("Page {page}").format(page=canvas.getPageNumber())
        )

    document.build(_story(sheet, pen), onFirstPage=number, onLaterPages=number)
    return out.getvalue()


def _story(sheet: Sheet, pen: "_Pen") -> list[Flowable]:
    parts: list[Flowable] = [pen.text(sheet.sender), pen.gap(), pen.text(sheet.recipient), pen.gap()]
    parts += [pen.text(sheet.title, bold=True, size=16), pen.text(sheet.about), pen.gap()]
    if sheet.lines:
        parts += [pen.table(sheet.lines), pen.gap(2)]
    parts += [pen.sums(sheet.sums), pen.gap()]
    if sheet.payments.rows:
        parts += [pen.text(_("Payments"), bold=True, size=12), pen.gap(2), pen.table(sheet.payments), pen.gap(2)]
    parts += [pen.sums(sheet.standing), pen.gap()]
    if sheet.closing:
        parts.append(pen.text(sheet.closing))
    return parts


@dataclass(frozen=True, slots=True)
class _Pen:
    """Makes the pieces of a page of the given width in points."""

    fonts: Fonts
    width: float

    def text(self, words: str, *, bold: bool = False, size: float = 10, right: bool = False) -> Paragraph:
        font = self.fonts.bold if bold else self.fonts.regular
        style = ParagraphStyle("plain", fontName=font, fontSize=size, leading=size * 1.35, alignment=2 if right else 0,
                               splitLongWords=True)  # fmt: skip
        lines = [escape(self._writable(line, font)) for line in words.splitlines()]
        return Paragraph("<br/>".join(lines), style)

    def _writable(self, line: str, font: str) -> str:
        """Box what the font lacks, and what lies beyond the first plane: the PDF library garbles its copied text."""
        line = "".join(symbol if ord(symbol) <= _LAST_BMP else "\u25a1" for symbol in line)
        return self.fonts.writable(line, font)

    def gap(self, height_mm: float = 8) -> Spacer:
        return Spacer(1, height_mm * mm)

    def table(self, block: Block) -> Table:
        """Return a table over the full width, its head repeated on each page."""
        cells = [
            [self.text(word, bold=not row, right=place >= block.figures_from) for place, word in enumerate(words)]
            for row, words in enumerate((block.head, *block.rows))
        ]
        style = [("LINEBELOW", (0, 0), (-1, 0), 0.8, colors.black), ("VALIGN", (0, 0), (-1, -1), "TOP")]
        return Table(cells, colWidths=[self.width * share for share in block.shares], repeatRows=1, style=style)

    def sums(self, sums: tuple[tuple[str, str], ...]) -> KeepTogether:
        """Return sums at the right edge, the last one bold under a line."""
        last = len(sums) - 1
        rows = [
            [self.text(word, bold=place == last), self.text(amount, bold=place == last, right=True)]
            for place, (word, amount) in enumerate(sums)
        ]
        style = [("LINEABOVE", (0, last), (-1, last), 0.8, colors.black)]
        widths = [self.width * 0.35, self.width * 0.20]
        return KeepTogether(Table(rows, colWidths=widths, hAlign="RIGHT", style=style))
