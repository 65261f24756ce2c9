"""What is written and drawn in the boxes of a layout mat: a part's, and a group of fasteners'."""

from collections.abc import Iterator
from typing import NamedTuple

from django.utils.translation import gettext as _

from shop.boards.spots import Points, Screw, Side
from shop.work.mat_pen import HAIR_MM, LINE_MM, Pen, Words
from shop.work.mat_shapes import Rect
from shop.work.mats import PartBox, circles
from shop.work.part_words import polarity

_WARNING_MM = 0.8


class Sizes(NamedTuple):
    """Sizes of letters in points: of the designator or label, of the value, of the rest; and of the plus in mm."""

    large: float
    value: float
    small: float
    plus_mm: float


IN_LIST, ON_MAT = Sizes(14, 8.5, 6.8, 2.6), Sizes(7.5, 5.5, 5, 1.4)


def draw_part(pen: Pen, rect: Rect, *, number: int, part: PartBox, sizes: Sizes) -> None:
    """Fill the box of a part (mm); it is crossed when it stays empty. number stands small in its corner."""
    lines = list(_part_words(part, sizes))
    if part.spot.side is Side.BOTTOM and sizes is IN_LIST:
        lines.append(Words(_("bottom side, seen from below"), sizes.small))
    inner = rect.grown(-0.6)
    if not part.empty and part.spot.positive is not Points.UNKNOWN:
        inner = pen.plus(inner, part.spot.positive, sizes.plus_mm)
    free = pen.filled(inner, lines, corner=str(number))
    if part.empty:
        pen.strokes([(rect.x, rect.y, rect.right, free.top), (rect.x, free.top, rect.right, rect.y)], LINE_MM)


def draw_screw(pen: Pen, rect: Rect, *, screw: Screw, sizes: Sizes) -> None:
    """Fill the box of a group (mm), thick when it has a warning; in a list with circles to lay the fasteners on."""
    order = _("order {order}, count {count}").format(order=screw.order, count=screw.count)
    lines = [Words(screw.label, sizes.large, bold=True), Words(screw.where, sizes.value)]
    lines += [Words(screw.says, sizes.value, bold=True), Words(order, sizes.small)]
    if screw.warning:
        lines.append(Words(_("Warning: {words}").format(words=screw.warning), sizes.small, bold=True, lines=2))
        pen.boxes([rect.grown(-_WARNING_MM / 2)], _WARNING_MM)
    room = pen.filled(rect.grown(-1.4), lines)
    if sizes is IN_LIST:
        pen.canvas.setLineWidth(HAIR_MM)
        for x, y, radius in circles(screw.count, room):
            pen.canvas.circle(x, y, radius)


def _part_words(part: PartBox, sizes: Sizes) -> Iterator[Words]:
    """Yield the lines of a part's box."""
    spot = part.spot
    yield Words(spot.designator, sizes.large, bold=True)
    yield Words(" · ".join(words for words in (spot.value, spot.rating) if words), sizes.value, bold=True)
    if part.empty:
        yield Words(_("empty: fit nothing"), sizes.small, bold=True)
        return
    yield Words(polarity(spot), sizes.small, lines=2)
    source = [_("kit {code}").format(code=part.kit)] if part.kit else []
    source += [_("lot {code}").format(code=part.lot)] if part.lot else []
    yield Words(" · ".join(source), sizes.small)
