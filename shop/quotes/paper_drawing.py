"""A decision drawn as a PDF on A4, black on white, with the evidence attached and a QR code to the page that checks it.

What it says is in `paper_words`. The same evidence gives the same bytes. The attachment is an embedded file stream
(ISO 32000-1, 7.11.4), listed in the name tree of the document's catalog (7.7.4).
"""

import io
import json
from dataclasses import dataclass
from functools import partial
from xml.sax.saxutils import escape

from django.utils.translation import get_language
from django.utils.translation import gettext as _
from reportlab.lib import colors
from reportlab.lib.pagesizes import A4
from reportlab.lib.styles import ParagraphStyle
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfdoc import (
    PDFArray,
    PDFDictionary,
    PDFName,
    PDFObjectReference,
    PDFStream,
    PDFString,
    PDFZCompress,
)
from reportlab.pdfgen.canvas import Canvas
from reportlab.platypus import Flowable, KeepTogether, Paragraph, SimpleDocTemplate, Spacer, Table

from shop.core.fonts import Fonts, find_font
from shop.quotes import content as contents
from shop.quotes.paper_sheet import Circumstances, Grid, Pairs, Sheet
from shop.quotes.paper_words import sheet_of
from shop.units.labels import qr_modules

ATTACHED = "evidence.json"
_MARGIN = 18 * mm
# What the PDF library leaves free inside each edge of a page's frame, in points.
_FRAME_PADDING = 6
_WIDTH = A4[0] - 2 * _MARGIN - 2 * _FRAME_PADDING
_SYMBOL = 42 * mm


def draw_decision(content: str, about: Circumstances) -> bytes:
    """Return the paper of a decision as a PDF, in the language that is active. content is the evidence as stored.

    Raises ValueError for evidence whose sums are not what its lines come to, and Refused with what `qr_modules`
    refuses about the address of the page that checks papers.
    """
    sheet = sheet_of(json.loads(content), contents.sha256(content), about)
    pen = _Pen(find_font(), qr_modules(sheet.check_address))
    # Laid out twice: only after the first time it is known of how many pages each is one.
    _pdf, pages = _laid_out(sheet, pen, content, 0)
    return _laid_out(sheet, pen, content, pages)[0]


def _laid_out(sheet: Sheet, pen: "_Pen", content: str, pages: int) -> tuple[bytes, int]:
    """Return the PDF and how many pages it has; pages is the number that is printed as such."""
    out = io.BytesIO()
    document = SimpleDocTemplate(
        out, pagesize=A4, leftMargin=_MARGIN, rightMargin=_MARGIN, topMargin=_MARGIN, bottomMargin=_MARGIN,
        title=sheet.title, author=sheet.sender.split("\n")[0], lang=get_language(), invariant=1,
    )  # fmt: skip
    foot = partial(_foot, pen.fonts, sheet.title, pages)

    def first(canvas: Canvas, laid: SimpleDocTemplate) -> None:
        _attach(canvas, content.encode())
        foot(canvas, laid)

    document.build(_story(sheet, pen), onFirstPage=first, onLaterPages=foot)
    return out.getvalue(), document.page


def _foot(fonts: Fonts, title: str, pages: int, canvas: Canvas, _document: SimpleDocTemplate) -> None:
    canvas.setFont(fonts.regular, 8)
    canvas.drawString(_MARGIN + _FRAME_PADDING, _MARGIN / 2, fonts.writable(title, fonts.regular))
    words = _("page {n} of {m}").format(n=canvas.getPageNumber(), m=pages)
    canvas.drawRightString(A4[0] - _MARGIN - _FRAME_PADDING, _MARGIN / 2, fonts.writable(words, fonts.regular))


def _attach(canvas: Canvas, content: bytes) -> None:
    """Embed a file in the document and list it by its name."""
    document = canvas._doc
    # Written as it stands: the library's own names cannot hold a slash.
    kind = {"Type": PDFName("EmbeddedFile"), "Subtype": "/application#2Fjson"}
    size = PDFDictionary({"Size": len(content)})
    stream = PDFStream(PDFDictionary(kind | {"Params": size}), content, filters=[PDFZCompress])
    held: PDFObjectReference = document.Reference(stream)
    name = PDFString(ATTACHED)
    told = {"Type": PDFName("Filespec"), "F": name, "UF": name, "EF": PDFDictionary({"F": held})}
    names = PDFArray([name, document.Reference(PDFDictionary(told))])
    document.Catalog.Names = PDFDictionary({"EmbeddedFiles": PDFDictionary({"Names": names})})


def _story(sheet: Sheet, pen: "_Pen") -> list[Flowable]:
    parts: list[Flowable] = [*pen.texts(sheet.sender), pen.gap(), pen.text(sheet.title, bold=True, size=14)]
    parts += [pen.text(sheet.about, size=11), pen.gap(2), pen.pairs(sheet.answer), pen.gap(2)]
    parts += pen.told(sheet.remarks)
    for grid in (sheet.lines, sheet.left, sheet.taxes):
        if grid.rows:
            parts += [pen.gap(2), pen.grid(grid), pen.gap(2)]
    parts += [pen.sums(sheet.sums), pen.gap()]
    parts += [*pen.texts(sheet.closing), pen.gap(2)]
    if sheet.terms:
        parts += [pen.text(_("Terms"), bold=True, size=11), *pen.told(sheet.terms), pen.gap()]
    parts.append(pen.proof(sheet))
    return parts


class _Symbol(Flowable):
    """A QR code; modules are its rows with the quiet zone."""

    def __init__(self, modules: list[list[bool]]) -> None:
        super().__init__()
        self.modules, self.width, self.height = modules, _SYMBOL, _SYMBOL

    def draw(self) -> None:
        """Fill the dark modules, neighbours in a row at once, so that no hairline parts them."""
        side = _SYMBOL / len(self.modules)
        for y, row in enumerate(self.modules):
            start = 0
            for x, dark in enumerate([*row, False]):
                if not dark:
                    if x > start:
                        self.canv.rect(
                            start * side, _SYMBOL - (y + 1) * side, (x - start) * side, side, stroke=0, fill=1
                        )
                    start = x + 1


@dataclass(frozen=True, slots=True)
class _Pen:
    """Makes the pieces of a page."""

    fonts: Fonts
    symbol: list[list[bool]]

    def text(
        self, words: str, *, bold: bool = False, size: float = 9, right: bool = False, mono: bool = False
    ) -> Paragraph:
        """Return text whose lines after the first explain it, and so are smaller unless it is of one kind (mono)."""
        font = self.fonts.mono if mono else self.fonts.bold if bold else self.fonts.regular
        style = ParagraphStyle("plain", fontName=font, fontSize=size, leading=size * 1.3, alignment=2 if right else 0,
                               splitLongWords=True)  # fmt: skip
        first, *more = [escape(self.fonts.writable(line, font)) for line in words.splitlines()] or [""]
        rest = [line if mono else f'<font size="{size - 1.5}">{line}</font>' for line in more]
        return Paragraph("<br/>".join([first, *rest]), style)

    def texts(self, words: str) -> list[Flowable]:
        """Return a paragraph for each line."""
        return [self.text(line) for line in words.splitlines()]

    def gap(self, height_mm: float = 5) -> Spacer:
        return Spacer(1, height_mm * mm)

    def told(self, pairs: Pairs) -> list[Flowable]:
        """Return headings with text of any length under each, that may go over a page's end."""
        told: list[Flowable] = []
        for heading, words in pairs:
            told += [self.text(heading, bold=True, size=8.5), *self.texts(words), self.gap(1.5)]
        return told

    def pairs(self, pairs: Pairs) -> Table:
        rows = [[self.text(name, bold=True), self.text(words)] for name, words in pairs]
        style = [("VALIGN", (0, 0), (-1, -1), "TOP"), ("TOPPADDING", (0, 0), (-1, -1), 1)]
        return Table(rows, colWidths=[_WIDTH * 0.24, _WIDTH * 0.76], style=style)

    def grid(self, grid: Grid) -> Table:
        """Return a table over the full width, its head repeated on each page."""
        cells = [
            [
                self.text(words, bold=not row, right=place >= grid.figures_from, size=8.5)
                for place, words in enumerate(each)
            ]
            for row, each in enumerate((grid.head, *grid.rows))
        ]
        style = [
            ("LINEBELOW", (0, 0), (-1, 0), 0.8, colors.black), ("VALIGN", (0, 0), (-1, -1), "TOP"),
            ("LINEBELOW", (0, 1), (-1, -1), 0.25, colors.black), ("LEFTPADDING", (0, 0), (-1, -1), 3),
            ("RIGHTPADDING", (0, 0), (-1, -1), 3),
        ]  # fmt: skip
        return Table(cells, colWidths=[_WIDTH * share for share in grid.shares], repeatRows=1, style=style)

    def sums(self, sums: Pairs) -> KeepTogether:
        rows = [[self.text(name, bold=True), self.text(amount, bold=True, right=True)] for name, amount in sums]
        return KeepTogether(Table(rows, colWidths=[_WIDTH * 0.38, _WIDTH * 0.22], hAlign="RIGHT"))

    def proof(self, sheet: Sheet) -> KeepTogether:
        """Return the code, the hashes and how to check them, on one page."""
        said: list[Flowable] = []
        for name, groups in sheet.hashes:
            said += [self.text(name, bold=True), self.text(groups, mono=True), self.gap(1.5)]
        said.append(self.text(sheet.check))
        style = [("VALIGN", (0, 0), (-1, -1), "TOP"), ("BOX", (0, 0), (-1, -1), 0.8, colors.black)]
        return KeepTogether(
            Table(
                [[_Symbol(self.symbol), said]],
                colWidths=[_SYMBOL + 4 * mm, _WIDTH - _SYMBOL - 4 * mm],
                style=style,
            )
        )
