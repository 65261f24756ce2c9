"""The bench picture: a board or a case as an SVG, its places joined by leader lines to numbered boxes beside it.

A user unit is a millimetre of the board, y down, origin at the board's top left. Text goes by the drawing's width, so
that it reads alike on a phone whatever the board. What it looks like is left to the page's classes (bp, bp-…).
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from math import cos, hypot, radians, sin

from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.boards.spots import Fit, Kind, Mount, Points, Screw, Side, Spot
from shop.work.part_words import polarity, variants
from shop.work.picture_layout import ALONE_SHARE, Ground, Item, Place
from shop.work.picture_sheet import photo_of, picture_of, tag_at
from shop.work.svg import element, figure

_WAYS = {Points.LEFT: (-1, 0), Points.RIGHT: (1, 0), Points.UP: (0, -1), Points.DOWN: (0, 1)}


@dataclass(frozen=True, slots=True, kw_only=True)
class Scene:
    """A board's side as one step of a job shows it; lengths in mm, above 0; spots in working order.

    present, wanted (the services') and done are designators. photo is an address, photo_size its pixels, photo_matrix
    an SVG transform (`shop.boards.straighten`); without all three no photo is drawn.
    """

    width_mm: float
    height_mm: float
    spots: Sequence[Spot]
    present: frozenset[str] = frozenset()
    wanted: frozenset[str] = frozenset()
    done: frozenset[str] = frozenset()
    side: Side = Side.TOP
    photo: str = ""
    photo_size: tuple[int, int] = (0, 0)
    photo_matrix: str = ""


def draw(scene: Scene) -> str:
    """Return a board's picture as an SVG element of its own, without style or script.

    Placements that cannot be shown (place not known, on the other side, off the outline) stand in words below it. Where
    more than 40 are wanted, those nearest to the present in working order get boxes, the others small numbers.
    """
    named = scene.wanted | scene.present
    chosen = [spot for spot in scene.spots if spot.designator in named]
    alone = len(chosen) == 1 and chosen[0].designator in scene.present
    ground = Ground(scene.width_mm, scene.height_mm, *([ALONE_SHARE] if alone else []))
    items = [_spot_item(scene, ground, number, spot) for number, spot in enumerate(chosen, 1)]
    others = (spot for spot in scene.spots if spot.designator not in named and not _lost(scene, spot))
    bodies = "".join(_outline(scene, spot) for spot in others)
    rest = element("path", "bp-rest", d=bodies, stroke_width=ground.em * 0.07)
    title = ngettext("Board with {count} place", "Board with {count} places", len(items)).format(count=len(items))
    notes = [_("Bottom side, seen from below.")] if scene.side == Side.BOTTOM else []
    photo = photo_of(ground, scene.photo, scene.photo_size, scene.photo_matrix)
    return picture_of(ground, items, photo + rest, title, notes)


def draw_case(
    width_mm: float,
    height_mm: float,
    screws: Sequence[Screw],
    present: str,
    state: Mapping[str, str],
    *,
    photo: str = "",
    photo_size: tuple[int, int] = (0, 0),
    photo_matrix: str = "",
) -> str:
    """Return a case's picture (mm) as `draw` does: present is the label of the present group, state words by label."""
    ground = Ground(width_mm, height_mm, 0.44)
    items = [_screw_item(ground, screw, screw.label == present, state.get(screw.label, "")) for screw in screws]
    title = ngettext("Case with {count} group of screws", "Case with {count} groups of screws", len(items))
    under = photo_of(ground, photo, photo_size, photo_matrix)
    return picture_of(ground, items, under, title.format(count=len(items)), [])


def _spot_item(scene: Scene, ground: Ground, number: int, spot: Spot) -> Item:
    value = " ".join((spot.value, spot.rating)).strip()
    facts = [value, polarity(spot), variants(spot)]
    if spot.fit == Fit.EMPTY:
        value, facts = _("empty: fit nothing"), [_("empty: fit nothing")]
    now, lost = spot.designator in scene.present, _lost(scene, spot)
    return Item(
        number=str(number),
        name=spot.designator,
        small=(value,),
        large=tuple(fact for fact in facts if fact),
        at=(0.0, 0.0) if lost else _at(scene, spot),
        lost=lost,
        marks="" if lost else _spot_marks(scene, ground, spot, now),
        now=now,
        done=spot.designator in scene.done,
    )


def _lost(scene: Scene, spot: Spot) -> str:
    """Return why a placement cannot be shown, or nothing."""
    if not spot.placed:
        return _("place not known")
    if spot.side != scene.side:
        return _("on the other side")
    x, y = _at(scene, spot)
    return "" if 0 <= x <= scene.width_mm and 0 <= y <= scene.height_mm else _("off the outline")


def _at(scene: Scene, spot: Spot) -> Place:
    x, y = spot.x_mm or 0.0, spot.y_mm or 0.0
    return x if scene.side == Side.TOP else scene.width_mm - x, scene.height_mm - y


def _edges(scene: Scene, spot: Spot) -> tuple[Place, Place]:
    """Return the two edges of a body as drawn: its width and its depth, turned counterclockwise on the board."""
    turn, seen = radians(spot.rotation_deg), 1 if scene.side == Side.TOP else -1
    wide, deep = spot.width_mm or 0.0, spot.depth_mm or 0.0
    return (seen * wide * cos(turn), -wide * sin(turn)), (-seen * deep * sin(turn), -deep * cos(turn))


def _outline(scene: Scene, spot: Spot) -> str:
    """Return the true-size outline of a body to 0.1 mm, as path data; a small cross where its size is not known."""
    x, y = _at(scene, spot)
    (ax, ay), (bx, by) = _edges(scene, spot)
    if not (spot.width_mm and spot.depth_mm):
        return f"M{figure(x - 1)} {figure(y - 1)}l2 2m0-2l-2 2"
    if spot.kind == Kind.ELECTROLYTIC and spot.mount == Mount.THROUGH and spot.width_mm == spot.depth_mm:
        left, wide, half = figure(x - spot.width_mm / 2), figure(spot.width_mm), figure(spot.width_mm / 2)
        return f"M{left} {figure(y)}a{half} {half} 0 1 0 {wide} 0a{half} {half} 0 1 0-{wide} 0z"
    steps = " ".join(figure(step) for step in (ax, ay, bx, by, -ax, -ay))
    return f"M{figure(x - (ax + bx) / 2)} {figure(y - (ay + by) / 2)}l{steps}z"


def _spot_marks(scene: Scene, ground: Ground, spot: Spot, now: bool) -> str:
    """Return the outline of a wanted placement; of a present one a heavy one, with a ring when small, and its plus."""
    em, (x, y), edges = ground.em, _at(scene, spot), _edges(scene, spot)
    outline = _outline(scene, spot)
    if not now:
        return element("path", "bp-place", d=outline, stroke_width=em * 0.12)
    marks = element("path", "bp-heavy", d=outline, stroke_width=em * 0.3)
    if max(hypot(*edge) for edge in edges) < 1.5 * em:
        marks += element("circle", "bp-ring", cx=x, cy=y, r=em * 1.5, stroke_width=em * 0.15)
    if spot.positive in _WAYS and spot.fit != Fit.EMPTY:
        along, down = _WAYS[spot.positive]
        reach = sum(abs(edge[0] * along + edge[1] * down) for edge in edges) / 2 + em * 0.9
        marks += _plus(x + along * reach, y + down * reach, em)
    return marks


def _plus(x: float, y: float, em: float) -> str:
    arm = em * 0.45
    left, top, long = (figure(length, 2) for length in (x - arm, y - arm, 2 * arm))
    cross = f"M{left} {figure(y, 2)}h{long}M{figure(x, 2)} {top}v{long}"
    return element("circle", "bp-plus-ground", cx=x, cy=y, r=em * 0.7) + element(
        "path", "bp-plus", d=cross, stroke_width=em * 0.25
    )


def _screw_item(ground: Ground, screw: Screw, now: bool, state: str) -> Item:
    """Return a group of fasteners; its leader ends at the first place that lies on the outline."""
    places = [(x, ground.height - y) for x, y in screw.places_mm if 0 <= x <= ground.width and 0 <= y <= ground.height]
    size = _("{count} × {size}").format(count=screw.count, size=screw.says) if screw.says else f"{screw.count} ×"
    lost = _("off the outline") if screw.places_mm else _("place not known")
    return Item(
        number=screw.label,
        small=tuple(words for words in (screw.where, size, state) if words),
        large=tuple(words for words in (screw.where, size, state, screw.warning) if words),
        at=places[0] if places else (0.0, 0.0),
        lost="" if places else lost,
        marks="".join(tag_at(place, ground.em * (1.2 if now else 0.9), screw.label, now) for place in places),
        now=now,
    )
