"""How large a board or case must be to hold what is known of it, where nobody measured it. Pure."""

from collections.abc import Iterable

from shop.boards.spots import Screw, Spot

_MARGIN_MM = 8.0


def extent(things: Iterable[Spot | Screw]) -> tuple[float, float] | None:
    """Return width and height in mm from the origin over every known place, or None when no place is known."""
    places = [place for thing in things for place in _places(thing)]
    if not places:
        return None
    return max(x for x, _y in places) + _MARGIN_MM, max(y for _x, y in places) + _MARGIN_MM


def _places(thing: Spot | Screw) -> list[tuple[float, float]]:
    if isinstance(thing, Screw):
        return list(thing.places_mm)
    return [(thing.x_mm, thing.y_mm)] if thing.x_mm is not None and thing.y_mm is not None else []
