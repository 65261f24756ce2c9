"""A placement in words, for sheets, pictures and mats: which way round it goes, and on which variants it is at all."""

from django.utils.translation import gettext as _

from shop.boards.spots import Fit, Points, Side, Spot


def polarity(spot: Spot) -> str:
    """Return in words where the plus points, as the picture of its side shows it; "" where it does not matter."""
    if not spot.polarised:
        return ""
    words = {
        Points.LEFT: _("plus to the left"),
        Points.RIGHT: _("plus to the right"),
        Points.UP: _("plus away from you"),
        Points.DOWN: _("plus towards you"),
    }.get(spot.positive)
    if not words:
        return _("look at the board which way the plus points")
    return words if spot.positive_checked else _("{plus}, not checked: look at the board").format(plus=words)


def variants(spot: Spot) -> str:
    """Return in words on which variants a placement is fitted; "" where it does not depend on one."""
    if spot.fit != Fit.VARIANT:
        return ""
    return _("only on {variants}").format(variants=", ".join(spot.variants))


def part_words(spot: Spot, named: str) -> str:
    """Return a placement, or several alike, in words: value, rating, which way round, which side, what to look at."""
    value = " ".join(part for part in (spot.value, spot.rating) if part)
    where = _("on the solder side") if spot.side == Side.BOTTOM else ""
    which = _("{variants}: look whether an old one is there").format(variants=variants(spot)) if variants(spot) else ""
    said = [f"{named}: {value}" if value else named, polarity(spot), where, which]
    return ", ".join(part for part in said if part) + (f". {spot.note}" if spot.note else "")
