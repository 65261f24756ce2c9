"""Where everything stands on a label of 62 × 40 mm: black boxes and lines of words, in millimetres from the top left.

One layout serves every output. The QR code stands left with its quiet zone, words right of it, the code below, where a
thumb does not cover it.
"""

from collections.abc import Iterator
from dataclasses import dataclass

from reportlab.lib.utils import simpleSplit
from reportlab.pdfbase.pdfmetrics import stringWidth

from shop.core.fonts import Fonts
from shop.units.labels import Tag, qr_modules

LABEL_MM = (62.0, 40.0)
MM_PER_PT = 25.4 / 72
_QR_SIDE_MM = 31.0
_QR_CORNER_MM = 1.0
_COLUMN_MM = (33.5, 60.5)  # where the words right of the QR code begin and end
_COLUMN_TOP_MM, _COLUMN_BOTTOM_MM = 1.6, 32.0
_CODE_BASELINE_MM = 38.0
_FRAME_MM = 0.4
_ROOM_MM = 0.7  # between a frame and its words


@dataclass(frozen=True, slots=True)
class Box:
    """A black rectangle."""

    x_mm: float
    y_mm: float
    width_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class Line:
    """One line of words that starts at x on the baseline y."""

    x_mm: float
    y_mm: float
    size_pt: float
    font: str
    text: str

    @property
    def width_mm(self) -> float:
        """Return how wide the line prints."""
        return float(stringWidth(self.text, self.font, self.size_pt)) * MM_PER_PT


Mark = Box | Line


def lay_out(tag: Tag, fonts: Fonts) -> list[Mark]:
    """Return the marks of one label. Raises Refused: `label_address_too_long`, `label_address_not_ascii`."""
    return [*_symbol(tag.address), *_column(tag, fonts), *_foot(tag, fonts)]


def module_mm(modules: int) -> float:
    """Return the side of one module, for a symbol of so many modules with its quiet zone.

    Half a millimetre or more goes in eighths, the dots of a 203 dpi label printer; finer ones in fortieths. The
    finest, 0.4 mm, is that of the longest address which `qr_modules` takes (77 modules).
    """
    largest = _QR_SIDE_MM / modules
    return int(largest * 8) / 8 if largest >= 0.5 else int(largest * 40) / 40


def _symbol(address: str) -> Iterator[Box]:
    """Yield the dark modules, neighbours in a row joined to one box."""
    rows = qr_modules(address)
    side = module_mm(len(rows))
    for y, row in enumerate(rows):
        start = 0
        for x, dark in enumerate([*row, False]):
            if not dark:
                if x > start:
                    yield _module_box(start, y, x - start, side)
                start = x + 1


def _module_box(x: int, y: int, length: int, side: float) -> Box:
    return Box(_QR_CORNER_MM + x * side, _QR_CORNER_MM + y * side, length * side, side)


def _column(tag: Tag, fonts: Fonts) -> Iterator[Mark]:
    """Yield the words right of the QR code: large, title, kind, what there is room for of the contents, cautions."""
    x, right = _COLUMN_MM
    bottom = _COLUMN_BOTTOM_MM
    for mark in _cautions(tag, fonts):
        bottom = min(bottom, mark.y_mm)
        yield mark
    y = _COLUMN_TOP_MM
    for text, font, sizes, lines in (
        (tag.large, fonts.bold, (32, 26, 22, 18, 15, 12), 2),
        (tag.title, fonts.bold, (9.5, 9, 8, 7.5), 2),
        (tag.kind, fonts.regular, (8.5, 7.5), 1),
        (tag.contents, fonts.regular, (6.5,), 4),
    ):
        height = sizes[-1] * 1.15 * MM_PER_PT
        room = min(lines, int((bottom - y) / height))
        size, wrapped = _fit(fonts.writable(text, font), font, sizes, right - x, room)
        for words in wrapped:
            yield Line(x, y + 0.76 * size * MM_PER_PT, size, font, words)
            y += size * MM_PER_PT * (1.0 if size > 12 else 1.15)


def _cautions(tag: Tag, fonts: Fonts) -> list[Mark]:
    """Return a frame with the cautions, at the column's bottom, or nothing."""
    if not tag.cautions:
        return []
    x, right = _COLUMN_MM
    inset = _FRAME_MM + _ROOM_MM
    text = fonts.writable("; ".join(tag.cautions), fonts.bold)
    size, wrapped = _fit(text, fonts.bold, (7.5, 7, 6.5, 6), right - x - 2 * inset, 2)
    line_mm = size * 1.15 * MM_PER_PT
    height = line_mm * len(wrapped) + 2 * inset
    top = _COLUMN_BOTTOM_MM - height
    lines = [
        Line(x + inset, top + inset + line_mm * index + 0.82 * size * MM_PER_PT, size, fonts.bold, words)
        for index, words in enumerate(wrapped)
    ]
    frame = [
        Box(x, top, right - x, _FRAME_MM),
        Box(x, top + height - _FRAME_MM, right - x, _FRAME_MM),
        Box(x, top, _FRAME_MM, height),
        Box(right - _FRAME_MM, top, _FRAME_MM, height),
    ]
    return [*frame, *lines]


def _foot(tag: Tag, fonts: Fonts) -> Iterator[Line]:
    """Yield the code, large, and the owner's initials at the right edge."""
    size, code = _fit(tag.code, fonts.mono, (17, 16, 15, 14, 13, 12), 34.0, 1)
    yield Line(2.0, _CODE_BASELINE_MM, size, fonts.mono, code[0])
    size, owner = _fit(fonts.writable(tag.owner, fonts.bold), fonts.bold, (14, 12, 10, 8), 22.0, 1)
    for words in owner:
        width = stringWidth(words, fonts.bold, size) * MM_PER_PT
        yield Line(_COLUMN_MM[1] - width, _CODE_BASELINE_MM, size, fonts.bold, words)


def _fit(text: str, font: str, sizes: tuple[float, ...], width_mm: float, lines: int) -> tuple[float, list[str]]:
    """Return the largest size at which text fits so many lines, and the lines; cut with … at the smallest."""
    width = width_mm / MM_PER_PT
    wrapped: list[str] = []
    for size in sizes:
        wrapped = simpleSplit(text, font, size, width)
        if len(wrapped) <= lines and all(stringWidth(line, font, size) <= width for line in wrapped):
            return size, wrapped
    kept = wrapped[:lines]
    if len(wrapped) > lines and kept:
        kept[-1] += "…"
    return sizes[-1], [_cut(line, font, sizes[-1], width) for line in kept]


def _cut(line: str, font: str, size: float, width: float) -> str:
    if stringWidth(line, font, size) <= width:
        return line
    while line and stringWidth(f"{line}…", font, size) > width:
        line = line[:-1]
    return f"{line.rstrip()}…"
