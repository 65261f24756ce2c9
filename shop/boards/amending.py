"""An entry with some of its fields said anew: what is not said stays, and a new entry takes what is likely. Pure."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from shop.boards.guesses import guess_kind, guess_mount
from shop.boards.spots import Kind, Screw, Spot


def amended_spot(before: Spot | None, designator: str, given: Mapping[str, Any]) -> Spot:
    """Return a placement with the given fields of a Spot.

    A new one whose kind is not said gets what its designator allows: a capacitor with a plus is an electrolytic.
    """
    if before:
        return replace(before, **given)
    kind = guess_kind(designator, given.get("value", ""), given.get("package", ""))
    if kind == Kind.CAPACITOR and given.get("positive"):
        kind = Kind.ELECTROLYTIC
    likely = {"kind": kind, "mount": guess_mount(given.get("package", ""))}
    return Spot(designator=designator, **likely | dict(given))


def amended_screw(
    before: Screw | None, label: str, given: Mapping[str, Any], place_mm: tuple[float, float] | None = None
) -> Screw:
    """Return a group of fasteners with the given fields of a Screw, and with one more place when there is one.

    The count is at least the number of places.
    """
    screw = replace(before or Screw(label=label, where=""), **given)
    places = (*screw.places_mm, place_mm) if place_mm else screw.places_mm
    return replace(screw, places_mm=places, count=max(screw.count, len(places)) if place_mm else screw.count)
