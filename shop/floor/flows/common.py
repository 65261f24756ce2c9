"""What the flows share: where a unit is put, and who sits at the bench."""

from uuid import UUID

from shop.boards import steps as boards
from shop.boards.models import Service, ServicePart
from shop.books.queries import amount_due
from shop.core.actor import Actor
from shop.core.reasons import Reason, Refused
from shop.core.text import words
from shop.floor.gates import findings_agreed, services_agreed
from shop.floor.stages import MOVES, Move
from shop.notices import steps as notices
from shop.people.models import Place, User
from shop.stock import steps as stock
from shop.stock.models import Lot
from shop.stock.queries import short_for
from shop.units import steps as units
from shop.units.models import Finding, Unit, Visit
from shop.work import steps as work
from shop.work.queries import worked_from_library

WAITING = [Place.Kind.SHELF, Place.Kind.BOX]


def reason_words(move: Move, text: str) -> str:
    """Return the tidy words of a move; a move that needs them refuses without (`words_needed`)."""
    said = words(text, label="Reason", field="words", limit=500, required=False)
    if MOVES[move].needs_words and not said:
        raise Refused(Reason("words_needed", {}, "words"))
    return said


def put_on_bench(unit: Unit, actor: Actor, bench_id: UUID | None) -> Place:
    """Put a locked unit on the bench asked for, or leave it on the one it lies on.

    Raises Refused with `bench_needed`, `not_a_bench` or `place_full`.
    """
    if bench_id is None:
        if unit.place and unit.place.kind == Place.Kind.BENCH:
            return unit.place
        free = units.free_place(kinds=[Place.Kind.BENCH])
        raise Refused(Reason("bench_needed" if free else "no_bench_free", {}, "bench"))
    place = units.put(unit, actor, bench_id)
    if place.kind != Place.Kind.BENCH:
        raise Refused(Reason("not_a_bench", {"place": place.name}, "bench"))
    return place


def put_aside(unit: Unit, actor: Actor, place_id: UUID | None) -> Place:
    """Put a locked unit on a shelf or into a box: the one asked for, or the first with room.

    Raises Refused with `no_room`, `place_full` or `not_sealed` (insects stay in a sealed box).
    """
    loose = Finding.objects.filter(unit=unit, kind=Finding.Kind.INSECTS, settled_at=None).exists()
    kinds = [Place.Kind.SEALED] if loose else list(WAITING)
    if place_id is None:
        free = units.free_place(kinds=list(kinds))
        if free is None:
            raise Refused(Reason("no_room", {}, "place"))
        place_id = free.id
    place = units.put(unit, actor, place_id)
    if loose and place.kind != Place.Kind.SEALED:
        raise Refused(Reason("not_sealed", {"place": place.name}, "place"))
    return place


def lay_out(unit: Unit, actor: Actor, *, parts_needed: bool = True) -> None:
    """Make the job sheet of a locked unit at a bench, and for work take the parts of its services out of the stock.

    Raises Refused with `part_short` for each part there is too little of; without parts_needed none is taken then.
    """
    working = unit.visit == Visit.WORK
    services = services_agreed(unit) if working else []
    if working:
        _take_newest_edition(unit)
    findings = findings_agreed(unit) if working else []
    work.make_job_sheet(actor=actor, unit=unit, kind=unit.visit, services=services, findings=findings)
    wanted = _kept_in_stock(services)
    if wanted and (parts_needed or not short_for(unit, wanted)):
        stock.reserve(actor=actor, unit=unit, parts=wanted)
        stock.issue(actor=actor, unit=unit)


def _take_newest_edition(unit: Unit) -> None:
    """Let a unit be worked from what the library says now, unless something was done by the edition it has."""
    if unit.revision_id and not worked_from_library(unit):
        unit.edition = boards.use(unit.revision_id)
        unit.save(update_fields=["edition"])


def _kept_in_stock(services: list[Service]) -> list[tuple[UUID, int]]:
    """Return the services' parts and how many; of a part that the shop never had a lot of it keeps no stock."""
    brought = ServicePart.objects.filter(service__in=services)
    kept = set(Lot.objects.filter(part__in=brought.values("part")).values_list("part_id", flat=True))
    return [(row.part_id, row.quantity) for row in brought if row.part_id in kept]


def person(actor: Actor) -> User:
    """Return the staff member who acts. Raises User.DoesNotExist for anybody else."""
    return User.objects.get(pk=actor.id)


def tell_ready(unit: Unit, key: str) -> None:
    """Tell the customer that the unit is ready, and what is due for it."""
    due = amount_due(unit)
    notices.tell(event="ready", unit=unit, key=key, facts={"due_minor": due.due_minor})
