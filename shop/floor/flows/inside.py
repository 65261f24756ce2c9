"""What is done inside a unit at the bench: steps ticked, fasteners out, the board named, the sheet laid out again."""

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
from shop.core.text import choice, line
from shop.floor.flows.common import lay_out
from shop.testing.actions import record_free_reading
from shop.units.actions import present
from shop.units.models import Unit, Visit
from shop.work import actions as work_actions
from shop.work import fastener_actions, outline
from shop.work.guards import at_bench
from shop.work.models import FastenerGroup, JobStep
from shop.work.queries import worked_from_library

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
