"""What a unit's tests show, and the verdict: on to pickup, or back to the bench with the reason."""

from typing import Any
from uuid import UUID

from django.db import transaction

from shop.core import duework
from shop.core.actor import Actor, permit
from shop.core.locks import save
from shop.floor.flows.common import lay_out, person, put_on_bench, reason_words, tell_ready
from shop.floor.gates import insist
from shop.floor.stages import Move
from shop.people.models import Place
from shop.planning.queries import runs_alone
from shop.testing.actions import record_reading
from shop.testing.models import Reading
from shop.units import steps
from shop.units.actions import present
from shop.units.models import Stage, Unit, Visit
from shop.work import steps as work


def take_reading(*, actor: Actor, unit_id: UUID, point_id: UUID, **shown: Any) -> Reading:
    """Record what a test point showed; a soak that is over is planned no more.

    shown and what is raised are those of `testing.actions.record_reading`.
    """
    with transaction.atomic():
        reading = record_reading(actor=actor, unit_id=unit_id, point_id=point_id, **shown)
        if runs_alone(point_id):
            duework.plan_anew()
    return reading


def pass_test(*, actor: Actor, unit_id: UUID, place_id: UUID | None = None, version: int | None = None) -> Unit:
    """Send a unit on to pickup: every closed reading passed. It is put where it is asked to lie, if anywhere."""
    permit(actor, "testing.measure")
    with transaction.atomic():
        unit = present(unit_id, version=version)
        insist(unit, Move.PASS_TEST)
        _clear_bench(unit, actor, place_id)
        steps.move(unit, actor, to=Stage.PICKUP)
        tell_ready(unit, f"{unit.id}:{unit.test_round}")
        duework.plan_anew()
    return unit


def _clear_bench(unit: Unit, actor: Actor, place_id: UUID | None) -> None:
    """Put the unit where it was asked to lie, or off the bench if a shelf has room: a full shop still goes on."""
    if place_id is None and unit.place and unit.place.kind == Place.Kind.BENCH:
        free = steps.free_place(kinds=[Place.Kind.SHELF, Place.Kind.BOX])
        place_id = free.id if free else None
    if place_id:
        steps.put(unit, actor, place_id)


def fail_test(
    *, actor: Actor, unit_id: UUID, text: str, bench_id: UUID | None = None, version: int | None = None
) -> Unit:
    """Send a unit back to a bench with the reason; its readings start a new round."""
    permit(actor, "testing.measure")
    said = reason_words(Move.FAIL_TEST, text)
    with transaction.atomic():
        unit = present(unit_id, version=version)
        insist(unit, Move.FAIL_TEST)
        bench = put_on_bench(unit, actor, bench_id)
        unit.test_round += 1
        unit.technician = person(actor)
        save(unit, "test_round", "technician")
        visit = unit.visit or Visit.WORK
        steps.move(unit, actor, to=Stage.BENCH, visit=visit, what="test_failed", note=said)
        lay_out(unit, actor)
        work.begin(actor=actor, unit=unit, bench=bench, user=unit.technician)
        duework.plan_anew()
    return unit


def recall(*, actor: Actor, unit_id: UUID, text: str, version: int | None = None) -> Unit:
    """Take a unit back from pickup for another test, with the reason."""
    permit(actor, "units.move")
    said = reason_words(Move.RECALL, text)
    with transaction.atomic():
        unit = present(unit_id, version=version)
        insist(unit, Move.RECALL)
        unit.test_round += 1
        save(unit, "test_round")
        visit = Visit.CLOSING if unit.ending else Visit.WORK
        steps.move(unit, actor, to=Stage.TESTING, visit=visit, what="recalled", note=said)
        duework.plan_anew()
    return unit
