"""How a bench picture is put together: the ground, boxes and leader lines as SVG, and what has no room in words."""

from collections.abc import Iterator, Sequence

from django.utils.translation import gettext as _

from shop.work.picture_layout import LINE_EM, PAD_EM, Box, Ground, Item, Place, columns_of, small_lines, with_boxes
from shop.work.picture_text import ems, wrapped
from shop.work.svg import element, figure, safe

LARGE_MOST = 4
_LARGE = 1.8  # the present one's text beside the small


def picture_of(ground: Ground, items: Sequence[Item], under: str, title: str, notes: Sequence[str]) -> str:
    """Return the SVG of a board, its boxes left and right, the present ones' large boxes above, and notes below.

    under is markup that lies on the board below everything else, title says in words what the picture is.
    """
    em, now = ground.em, [item for item in items if item.now]
    boxed = with_boxes(items)
    alone = len(items) == 1 and len(now) == 1
    boxes = [] if alone else list(columns_of(ground, boxed))
    top = min([0.0, *(box.y for box in boxes)]) - ground.gap
    bottom = max([ground.height, *(box.y + box.height for box in boxes)]) + ground.gap
    large, top = _large(ground, now[:LARGE_MOST], top)
    large += _down(ground, now[0]) if alone and not now[0].lost else ""
    written, bottom = _notes(ground, [*notes, *_said(items, now[LARGE_MOST:])], bottom)
    numbers = "".join(tag_at(item.at, em * 0.6, item.number, item.now) for item in items if _bare(item, boxed))
    told = "; ".join([title, *(_("now {facts}").format(facts=", ".join((item.label, *item.large))) for item in now)])
    rim = em * 0.3
    sides = ground.left - rim, top - rim, ground.total + 2 * rim, bottom - top + 2 * rim
    view = " ".join(map(figure, sides))
    outline = element("rect", "bp-outline", width=ground.width, height=ground.height, stroke_width=em * 0.2)
    marks = _leaders(ground, boxes) + "".join(item.marks for item in items) + numbers
    drawn = f"{outline}{under}{marks}{''.join(_small(ground, box) for box in boxes)}{large}{written}"
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" class="bp" viewBox="{view}" role="img"><title>{safe(told)}</title>'
        f"{drawn}</svg>"
    )


def photo_of(ground: Ground, address: str, size: tuple[int, int], matrix: str) -> str:
    """Return a photo (address, size in pixels, SVG transform), cut to the board by an inner picture.

    Nothing when it is not known how it lies.
    """
    if not (address and matrix and all(size)):
        return ""
    image = element("image", href=address, width=size[0], height=size[1], transform=matrix)
    return element("svg", "bp-photo", image, width=ground.width, height=ground.height)


def tag_at(place: Place, radius: float, label: str, now: bool) -> str:
    """Return a circle (place and radius in mm) with a short label in it, heavy for a present one."""
    x, y = place
    size = min(radius * 1.2, radius * 1.6 / max(ems(label), 0.1))
    ring = element("circle", cx=x, cy=y, r=radius, stroke_width=radius * (0.25 if now else 0.1))
    words = element("text", inner=safe(label), x=x, y=y + size * 0.36, text_anchor="middle")
    return element("g", f"bp-tag{' bp-now' * now}", ring + words, font_size=size)


def _bare(item: Item, boxed: Sequence[Item]) -> bool:
    return not item.lost and not any(item is other for other in boxed)


def _said(items: Sequence[Item], also: Sequence[Item]) -> Iterator[str]:
    """Yield in words what the drawing has no room or no place for."""
    if also:
        yield _("also now: {names}").format(names=", ".join(item.label for item in also))
    why: dict[str, list[str]] = {}
    for item in items:
        if item.lost:
            why.setdefault(item.lost, []).append(item.label)
    for words, names in why.items():
        yield _("{why}: {names}").format(why=words, names=", ".join(names))


def _leaders(ground: Ground, boxes: Sequence[Box]) -> str:
    """Return the leader lines, on a lighter band so that they stand out from a photo."""
    band, lines = "", ""
    for box in boxes:
        (x, y), kind, start = box.item.at, _state(box.item), box.y + ground.lead
        band += f"M{figure(box.edge, 2)} {figure(start, 2)}L{figure(x, 2)} {figure(y, 2)}"
        lines += element(
            "line",
            f"bp-lead{kind}",
            data_name=box.item.label,
            x1=box.edge,
            y1=start,
            x2=x,
            y2=y,
            stroke_width=ground.em * (0.25 if box.item.now else 0.1),
        )
        lines += element("circle", f"bp-end{kind}", cx=x, cy=y, r=ground.em * 0.2)
    return element("path", "bp-band", d=band, stroke_width=ground.em * 0.35) + lines


def _down(ground: Ground, item: Item) -> str:
    """Return the leader line from a large box straight down to its place."""
    x, y = item.at
    start, wide = -ground.gap - ground.em, ground.em * 0.25
    line = element(
        "line", "bp-lead bp-now", data_name=item.label, x1=x, y1=start, x2=x, y2=y, stroke_width=wide
    )  # fmt: skip
    return line + element("circle", "bp-end bp-now", cx=x, cy=y, r=ground.em * 0.2)


def _small(ground: Ground, placed: Box) -> str:
    lines = small_lines(ground, placed.item)
    return _box_of(placed.item, lines, placed.corner, (ground.box, placed.height), ground.em)


def _large(ground: Ground, items: Sequence[Item], bottom: float) -> tuple[str, float]:
    """Return the large boxes that stand above bottom, two in a row when there are several, and where they begin."""
    em = ground.em * _LARGE
    wide = ground.total if len(items) == 1 else (ground.total - ground.em) / 2
    lines = [wrapped(item.large, wide / em - 2 * PAD_EM, 4) for item in items]
    height = (1 + max(map(len, lines), default=0)) * LINE_EM * em + 2 * PAD_EM * em
    top = bottom - (len(items) + 1) // 2 * (height + ground.em)
    boxes = ""
    for index, item in enumerate(items):
        row, column = divmod(index, 2)
        corner = ground.left + column * (wide + ground.em), top + row * (height + ground.em)
        boxes += _box_of(item, lines[index], corner, (wide, height), em)
    return boxes, top


def _box_of(item: Item, lines: Sequence[str], corner: Place, size: Place, em: float) -> str:
    """Return one box: number, name and a check mark when done, then its lines."""
    (x, y), (width, height), pad = corner, size, em * PAD_EM
    base, step = y + pad + em, em * LINE_EM
    room = width / em - 2 * PAD_EM - (1.2 if item.done else 0)
    head = em * min(1.1, room / max(ems(f"{item.number} {item.name}") * 1.15, 0.1))
    name = f'<tspan class="bp-number">{safe(item.number)}</tspan> {safe(item.name)}'
    words = element("rect", x=x, y=y, width=width, height=height, stroke_width=em * (0.2 if item.now else 0.08))
    words += element("text", "bp-name", name, x=x + pad, y=base, font_size=head)
    if item.done:
        words += element("text", "bp-check", "✓", x=x + width - pad, y=base, text_anchor="end")
    for index, line in enumerate(lines, 1):
        words += element("text", inner=safe(line), x=x + pad, y=base + step * index)
    return element("g", f"bp-box{_state(item)}", words, data_name=item.label, font_size=em)


def _notes(ground: Ground, notes: Sequence[str], top: float) -> tuple[str, float]:
    """Return lines of words that begin below top, and where they end."""
    em = ground.em * 1.15
    step, lines = em * LINE_EM, wrapped(notes, ground.total / em, 999)
    rows = (element("text", inner=safe(line), x=ground.left, y=top + step * i) for i, line in enumerate(lines, 1))
    return element("g", "bp-note", "".join(rows), font_size=em), top + step * len(lines) + em * 0.4


def _state(item: Item) -> str:
    return " bp-now" * item.now + " bp-done" * item.done
