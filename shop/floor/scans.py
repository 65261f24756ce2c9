"""What a scan means here: the unit, bench or person behind it, and the one or two moves that make sense."""

from dataclasses import dataclass, field

from shop.core.actor import Actor, permit
from shop.floor.gates import offers_for
from shop.floor.stages import MOVES, Move, Offer
from shop.people.models import Place, User
from shop.units import queries
from shop.units.models import Bag, Stage, Unit

_AT_MOST = 2


@dataclass(frozen=True, slots=True)
class Found:
    """What a scan resolved to. Exactly one of unit, place, person is set; bag says which bag of the unit it was."""

    unit: Unit | None = None
    bag: Bag | None = None
    place: Place | None = None
    person: User | None = None
    bench: Place | None = None
    offers: tuple[Offer, ...] = ()
    place_here: bool = False
    inside: tuple[Unit, ...] = field(default=())


def found_unit(*, actor: Actor, unit: Unit, bag: Bag | None, bench: Place | None) -> Found:
    """Return a scanned unit with what to offer at the bench where it was scanned, or anywhere without one.

    At a bench only moves that begin or end there are offered, at most two; elsewhere all that are open.
    """
    permit(actor, "units.see")
    known = offers_for(unit)
    if bench is None or bench.kind != Place.Kind.BENCH:
        here = bench is not None and unit.place_id != bench.id and unit.stage not in (Stage.BENCH,)
        return Found(unit=unit, bag=bag, bench=bench, offers=tuple(known), place_here=here and not unit.outcome)
    fitting = [offer for offer in known if _fits(offer, unit, bench)]
    return Found(unit=unit, bag=bag, bench=bench, offers=tuple(fitting[:_AT_MOST]))


def _fits(offer: Offer, unit: Unit, bench: Place) -> bool:
    if unit.stage == Stage.BENCH:
        return unit.place_id == bench.id
    return MOVES[offer.move].needs_bench or offer.move in (Move.PASS_TEST, Move.TAKE_IN)


def found_place(*, actor: Actor, place: Place) -> Found:
    """Return a scanned place with the units that lie in it."""
    permit(actor, "units.see")
    return Found(place=place, inside=tuple(queries.present_units().filter(place=place)))
