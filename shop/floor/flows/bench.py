"""To the bench and away from it: diagnosis, work, closing up, parking, holds and places. Between: `inside`."""

from datetime import date
from uuid import UUID

from django.db import transaction

from shop.core import duework
from shop.core.actor import Actor, permit
from shop.core.locks import save
from shop.core.reasons import Reason, Refused
from shop.core.text import choice, words
from shop.floor.flows.common import lay_out, person, put_aside, put_on_bench, reason_words
from shop.floor.gates import insist
from shop.floor.stages import Move
from shop.notices import steps as notices
from shop.units import steps
from shop.units.actions import present
from shop.units.models import Hold, Stage, Unit, Visit
from shop.work import steps as work

_VISITS = {
    Move.START_DIAGNOSIS: Visit.DIAGNOSIS,
    Move.START_WORK: Visit.WORK,
    Move.START_CLOSING: Visit.CLOSING,
}


def start(*, actor: Actor, unit_id: UUID, move: Move, bench_id: UUID | None, version: int | None = None) -> Unit:
    """Take a unit from the queue to a bench for a diagnosis, for work or for closing up.

    move is one of START_DIAGNOSIS, START_WORK, START_CLOSING. The acting person becomes its technician, the job sheet
    is made, the clock runs; work takes the parts of its services out of the stock. The customer hears of the first
    diagnosis and of the first work. Raises Refused with every reason against it.
    """
    permit(actor, "work.do")
    with transaction.atomic():
        unit = present(unit_id, version=version)
        insist(unit, move)
        bench = put_on_bench(unit, actor, bench_id)
        visit = _VISITS[move]
        unit.technician = person(actor)
        save(unit, "technician")
        steps.move(unit, actor, to=Stage.BENCH, visit=visit)
        lay_out(unit, actor)
        work.begin(actor=actor, unit=unit, bench=bench, user=unit.technician)
        if visit != Visit.CLOSING:
            facts: dict[str, object] = {"diagnosis": visit == Visit.DIAGNOSIS}
            notices.tell(event="started", unit=unit, key=f"{unit.id}:{visit.value}", facts=facts)
        duework.plan_anew()
    return unit


def finish_diagnosis(*, actor: Actor, unit_id: UUID, place_id: UUID | None = None, version: int | None = None) -> Unit:
    """End a diagnosis: the unit leaves the bench as it is, its fasteners in their bag, and waits for its quote."""
    permit(actor, "work.do")
    with transaction.atomic():
        unit = present(unit_id, version=version)
        insist(unit, Move.FINISH_DIAGNOSIS)
        unit.diagnosed = True
        save(unit, "diagnosed")
        _leave_bench(unit, actor, place_id, what="diagnosed")
    return unit


def park(
    *,
    actor: Actor,
    unit_id: UUID,
    text: str,
    hold: str = "",
    due_on: date | None = None,
    place_id: UUID | None = None,
    version: int | None = None,
) -> Unit:
    """Take an interrupted unit off the bench, with the reason; hold (parts, customer, other) says what it waits for."""
    permit(actor, "units.move")
    said = reason_words(Move.PARK, text)
    with transaction.atomic():
        unit = present(unit_id, version=version)
        insist(unit, Move.PARK)
        if hold:
            _hold(unit, actor, hold, said, due_on)
        _leave_bench(unit, actor, place_id, what="parked", note=said)
    return unit


def _leave_bench(unit: Unit, actor: Actor, place_id: UUID | None, *, what: str, note: str = "") -> None:
    put_aside(unit, actor, place_id)
    work.end(unit=unit)
    steps.move(unit, actor, to=Stage.QUEUE, what=what, note=note)
    duework.plan_anew()


def finish_bench(*, actor: Actor, unit_id: UUID, version: int | None = None) -> Unit:
    """Send a unit from the bench to testing: steps ticked, open readings passed, every fastener back."""
    permit(actor, "work.do")
    with transaction.atomic():
        unit = present(unit_id, version=version)
        insist(unit, Move.FINISH_BENCH)
        work.end(unit=unit)
        unit.opened = False
        save(unit, "opened")
        steps.move(unit, actor, to=Stage.TESTING, visit=unit.visit)
        duework.plan_anew()
    return unit


def _hold(unit: Unit, actor: Actor, kind: str, text: str, due_on: date | None) -> Hold:
    choice(kind, Hold.BY_HAND, label="What it waits for", field="hold")
    return steps.open_hold(unit, actor, kind=kind, text=text[:200], due_on=due_on)


def hold_unit(*, actor: Actor, unit_id: UUID, kind: str, text: str, due_on: date | None = None) -> Hold:
    """Record why a unit waits (parts, customer, other); due_on is when that should end."""
    permit(actor, "units.hold")
    said = words(text, label="What it waits for", field="words", limit=200)
    with transaction.atomic():
        held = _hold(present(unit_id), actor, kind, said, due_on)
        duework.plan_anew()
    return held


def lift_hold(*, actor: Actor, unit_id: UUID, kind: str) -> Unit:
    """Lift an open hold that people open: the customer's answer and the deposit lift theirs by themselves."""
    permit(actor, "units.hold")
    choice(kind, Hold.BY_HAND, label="Hold", field="hold")
    with transaction.atomic():
        unit = present(unit_id)
        if not steps.lift_holds(unit, actor, kinds=[kind]):
            raise Refused(Reason("nothing_to_lift", {}, "hold"))
        duework.plan_anew()
    return unit


def place_unit(*, actor: Actor, unit_id: UUID, place_id: UUID) -> Unit:
    """Record that a unit now lies in another shelf or box; to a bench it goes by starting work there."""
    permit(actor, "units.place")
    with transaction.atomic():
        unit = present(unit_id)
        if unit.stage == Stage.BENCH:
            bench = put_on_bench(unit, actor, place_id)
            if unit.technician:
                work.begin(actor=actor, unit=unit, bench=bench, user=unit.technician)
            duework.plan_anew()
        elif unit.stage == Stage.TESTING:
            steps.put(unit, actor, place_id)
        else:
            put_aside(unit, actor, place_id)
    return unit
