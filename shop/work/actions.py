"""What somebody does with the job sheet: tick and untick."""

from decimal import Decimal
from uuid import UUID

from django.db import transaction

from shop.core import clock, trail
from shop.core.actor import Actor, permit
from shop.core.models import Photo
from shop.core.rows import existing
from shop.units import steps as units
from shop.units.models import Finding, Unit
from shop.work import order
from shop.work.guards import at_bench, refuse_too_early, refuse_without_evidence
from shop.work.models import JobStep
from shop.work.repairs import repair_words


def tick(
    *, actor: Actor, unit_id: UUID, step_id: UUID, photo_id: UUID | None = None, value: Decimal | None = None
) -> JobStep:
    """Record that a step was done, by whom, when, and the photo that shows it. Ticking twice is ticking once.

    value is the reading of a step whose evidence is one, in its unit; the caller keeps it. Raises Refused:
    `not_at_bench`, `hold_point_open` (an earlier hold point comes first), `evidence_photo`, `evidence_reading`,
    `still_charged`, `rail_shorted`, `fasteners_uncounted` (at the opening), `fasteners_still_out` (at the count);
    Missing for an unknown step or photo.
    """
    permit(actor, "work.do")
    with transaction.atomic():
        unit = at_bench(unit_id)
        step = _step(unit, step_id)
        if step.done_at:
            return step
        refuse_too_early(unit, step)
        refuse_without_evidence(step, photo_id=photo_id, value=value)
        if photo_id:
            existing(Photo, photo_id, field="photo")
        step.done_at, step.done_by_id, step.photo_id = clock.now(), UUID(actor.id), photo_id
        step.save(update_fields=["done_at", "done_by", "photo"])
        trail.write(unit, actor, "step_ticked", after=step.code, facts=_facts(step))
        if step.code == order.REPAIR:
            _settle_mended(unit, actor, step)
    return step


def untick(*, actor: Actor, unit_id: UUID, step_id: UUID) -> JobStep:
    """Take a tick back; the trail keeps who had ticked it and the photo. An open step stays as it is.

    Raises Refused: `not_at_bench`; Missing for an unknown step.
    """
    permit(actor, "work.do")
    with transaction.atomic():
        unit = at_bench(unit_id)
        step = _step(unit, step_id)
        if step.done_at is None:
            return step
        facts = _facts(step) | {"ticked_by": step.done_by_id, "ticked_at": step.done_at.isoformat()}
        step.done_at = step.done_by = step.photo = None
        step.save(update_fields=["done_at", "done_by", "photo"])
        trail.write(unit, actor, "step_unticked", before=step.code, facts=facts)
        if step.code == order.REPAIR:
            _open_again(unit, actor, step)
    return step


def _settle_mended(unit: Unit, actor: Actor, step: JobStep) -> None:
    """Settle the finding that the step mended: the first with its words, since equal ones are mended alike."""
    for finding in Finding.objects.filter(unit=unit, settled_at=None).exclude(repair=""):
        if repair_words(finding) == step.words:
            units.settle(unit, actor, finding, step.words)
            return


def _open_again(unit: Unit, actor: Actor, step: JobStep) -> None:
    """Open the finding again whose mending was unticked."""
    for finding in Finding.objects.filter(unit=unit, settled_at__isnull=False).exclude(repair=""):
        if repair_words(finding) == step.words:
            units.unsettle(unit, actor, finding)
            return


def _step(unit: Unit, step_id: UUID) -> JobStep:
    return existing(JobStep.objects.filter(unit=unit, retired_at=None), step_id)


def _facts(step: JobStep) -> dict[str, object]:
    return {"step": step.pk, "position": step.position, "photo": step.photo_id}
