"""To the bench and away from it: diagnosis, work, closing up, parking, holds and places."""

from datetime import date
from decimal import Decimal
from uuid import UUID

from django.db import transaction

from shop.boards import steps as boards
from shop.boards.actions import add_revision
from shop.boards.models import BoardRevision
from shop.core import duework, trail
from shop.core.actor import Actor, permit
from shop.core.locks import save
from shop.core.reasons import Reason, Refused
from shop.core.text import choice, line, words
from shop.floor.flows.common import lay_out, person, put_aside, put_on_bench, reason_words
from shop.floor.gates import insist
from shop.floor.stages import Move
from shop.notices import steps as notices
from shop.testing.actions import record_free_reading
from shop.units import steps
from shop.units.actions import present
from shop.units.models import Hold, Stage, Unit, Visit
from shop.work import actions as work_actions
from shop.work import fastener_actions, outline
from shop.work import steps as work
from shop.work.guards import at_bench
from shop.work.models import FastenerGroup, JobStep
from shop.work.queries import worked_from_library

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


_QUANTITY = {JobStep.Evidence.VOLTS: "V", JobStep.Evidence.OHMS: "Ω"}


def tick_step(
    *, actor: Actor, unit_id: UUID, step_id: UUID, photo_id: UUID | None = None, value: Decimal | None = None
) -> JobStep:
    """Tick a step of the job sheet, with the photo or the reading that it asks for.

    The reading is kept with the unit's others; opening the case marks the unit as open; a repair settles its finding.
    """
    with transaction.atomic():
        again = JobStep.objects.filter(pk=step_id, done_at__isnull=False).exists()
        step = work_actions.tick(actor=actor, unit_id=unit_id, step_id=step_id, photo_id=photo_id, value=value)
        if value is not None and step.evidence in _QUANTITY and not again:
            quantity = _QUANTITY[JobStep.Evidence(step.evidence)]
            record_free_reading(
                actor=actor, unit_id=unit_id, name=step.words[:80], quantity=quantity, value=value, photo_id=photo_id
            )
        if step.code == outline.OPEN:
            _mark_opened(present(unit_id), actor)
    return step


def take_fasteners_out(*, actor: Actor, unit_id: UUID, where: str, kind: str, count: int) -> FastenerGroup:
    """Count fasteners out into their bag: the unit is open from now on, until they are back and it is closed."""
    with transaction.atomic():
        group = fastener_actions.fasteners_out(actor=actor, unit_id=unit_id, where=where, kind=kind, count=count)
        _mark_opened(present(unit_id), actor)
    return group


def take_group_out(*, actor: Actor, unit_id: UUID, label: str, missing: int = 0) -> FastenerGroup:
    """Take a group of fasteners out that the library knows, with one tap; missing were not there on arrival."""
    with transaction.atomic():
        group = fastener_actions.group_out(actor=actor, unit_id=unit_id, label=label, missing=missing)
        _mark_opened(present(unit_id), actor)
    return group


def _mark_opened(unit: Unit, actor: Actor) -> None:
    if not unit.opened:
        unit.opened = True
        save(unit, "opened")
        trail.write(unit, actor, "opened")


def name_revision(
    *, actor: Actor, unit_id: UUID, revision_id: UUID, variant: str = "", version: int | None = None
) -> Unit:
    """Record which board revision was found inside, and which of its variants it is, where it has some.

    The unit keeps the library's edition of now. Raises Refused with `revision_of_other_model`, `not_a_choice`.
    """
    permit(actor, "work.do")
    with transaction.atomic():
        unit = present(unit_id, version=version)
        revision = BoardRevision.objects.filter(pk=revision_id).first()
        if revision is None or revision.model_id != unit.model_id:
            facts = {"revision": revision.marking if revision else "–", "model": str(unit.model)}
            raise Refused(Reason("revision_of_other_model", facts, "revision"))
        _take_revision(unit, actor, revision, variant)
        if unit.visit == Visit.WORK:
            lay_out(unit, actor, parts_needed=False)
    return unit


def found_new_revision(
    *, actor: Actor, unit_id: UUID, marking: str, how_to_tell: str = "", version: int | None = None
) -> Unit:
    """Record a board that the library does not know yet: doing the job begins its entry. Raises what adding raises."""
    permit(actor, "work.do")
    with transaction.atomic():
        unit = present(unit_id, version=version)
        revision = add_revision(actor=actor, model_id=unit.model_id, marking=marking, how_to_tell=how_to_tell)
        _take_revision(unit, actor, revision, "")
    return unit


def _take_revision(unit: Unit, actor: Actor, revision: BoardRevision, variant: str) -> None:
    before = unit.revision.marking if unit.revision else ""
    if unit.revision_id != revision.id or not worked_from_library(unit):
        unit.revision, unit.edition = revision, boards.use(revision.id)
    known = unit.edition.variants if unit.edition else []
    if variant:
        choice(variant, known, label="Variant", field="variant")
    unit.variant = line(variant, label="Variant", field="variant", limit=30, required=False)
    save(unit, "revision", "edition", "variant")
    if unit.visit == Visit.WORK:
        duework.plan_anew()  # like work on like boards follows each other
    facts = {"edition": unit.edition.number if unit.edition else None, "variant": unit.variant}
    trail.write(unit, actor, "revision_named", before=before, after=revision.marking, facts=facts)


def lay_out_again(*, actor: Actor, unit_id: UUID) -> Unit:
    """Lay the job sheet out again from what the library and the findings say now; ticked steps stay.

    The unit takes the library's newest edition, unless something was done by the one it has. Raises Refused with
    `not_at_bench`.
    """
    permit(actor, "work.do")
    with transaction.atomic():
        unit = at_bench(unit_id)
        lay_out(unit, actor, parts_needed=False)
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
