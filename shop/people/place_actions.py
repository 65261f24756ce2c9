"""Shelves, boxes and benches. Faces call these through `shop.people.actions`."""

from collections.abc import Callable, Sequence
from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from shop.core import duework, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock, save, unique
from shop.core.reasons import Reason, Refused
from shop.core.retiring import retire
from shop.core.text import choice, line, whole
from shop.people.models import Place

_MOST_EQUIPMENT = 20


def add_place(*, actor: Actor, name: str, kind: str, capacity: int, equipment: Sequence[str] = ()) -> Place:
    """Add a place with room for capacity units (1 to 500) and return it.

    kind is one of `Place.Kind`; equipment lists in words what a bench has. Raises Refused: `place_name_taken`,
    `not_a_choice`, `out_of_range`, `blank`, `too_long`, `hidden_character`.
    """
    permit(actor, "people.change_places")
    place = Place(
        name=_name(name),
        kind=choice(kind, Place.Kind.values, label=_("Kind of place"), field="kind"),
        capacity=_capacity(capacity),
        equipment=_equipment(equipment),
    )
    with transaction.atomic():
        with unique(_taken(place.name)):
            place.save(force_insert=True)
        trail.write(place, actor, "place_added", after=place.name, facts={"kind": kind, "capacity": capacity})
        _plan_anew(place)
    return place


def change_place(
    *,
    actor: Actor,
    place_id: UUID | str,
    version: int,
    name: str | None = None,
    capacity: int | None = None,
    equipment: Sequence[str] | None = None,
) -> Place:
    """Change what is given and return the place. Its kind stays: units may be there because of it.

    A capacity below the number of units that lie there is allowed; the place just counts as full. Raises Missing,
    Stale, and Refused as `add_place` does.
    """
    permit(actor, "people.change_places")
    with transaction.atomic():
        place = lock(Place, pk=place_id, version=version)
        before = place.name
        place.name = before if name is None else _name(name)
        place.capacity = place.capacity if capacity is None else _capacity(capacity)
        place.equipment = place.equipment if equipment is None else _equipment(equipment)
        with unique(_taken(place.name)):
            save(place, "name", "capacity", "equipment")
        trail.write(place, actor, "place_changed", before=before, after=place.name, facts={"capacity": place.capacity})
        _plan_anew(place)
    return place


def retire_place(*, actor: Actor, place_id: UUID | str, version: int, units_there: Callable[[Place], int]) -> Place:
    """Take a place out of use and return it. A place that is out of use already is returned as it is.

    Units live in a room above this one, so the caller hands in how to count those that lie there; it is asked under
    the place's lock, which whoever moves a unit takes as well. Raises Missing, Stale, Refused (`place_occupied`).
    """
    permit(actor, "people.change_places")
    with transaction.atomic():
        place = lock(Place, pk=place_id, version=version)
        if place.retired_at is None and (there := units_there(place)):
            raise Refused(Reason("place_occupied", {"place": place.name, "count": there}))
        retire(place, actor, "place_retired", before=place.name)
        _plan_anew(place)
    return place


def _plan_anew(place: Place) -> None:
    if place.kind == Place.Kind.BENCH:
        duework.plan_anew()


def _taken(name: str) -> Reason:
    return Reason("place_name_taken", {"name": name}, "name")


def _name(typed: str) -> str:
    return line(typed, label=_("Name of the place"), field="name", limit=40)


def _capacity(units: int) -> int:
    return whole(units, low=1, high=500, label=_("Capacity"), field="capacity")


def _equipment(listed: Sequence[str]) -> list[str]:
    """Return the pieces in the order given, each once."""
    whole(len(listed), low=0, high=_MOST_EQUIPMENT, label=_("Number of pieces of equipment"), field="equipment")
    return list(dict.fromkeys(line(piece, label=_("Equipment"), field="equipment", limit=60) for piece in listed))
