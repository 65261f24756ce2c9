"""What somebody does at the bench: tick, untick, take fasteners out, put them back."""

from uuid import UUID

from django.db import transaction
from django.utils.translation import gettext as _

from shop.core import clock, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.core.models import Photo
from shop.core.reasons import Missing, Reason, Refused
from shop.core.text import words
from shop.units.models import Stage, Unit
from shop.work import outline, queries
from shop.work.models import FastenerGroup, JobStep

# More than any case holds; a slip of the finger is caught before it is stored.
MOST_FASTENERS = 500


def tick(*, actor: Actor, unit_id: UUID, step_id: UUID, photo_id: UUID | None = None) -> JobStep:
    """Record that a step was done, by whom, when, and the photo that shows it. Ticking twice is ticking once.

    Raises Refused: `not_at_bench`, `hold_point_open` (an earlier hold point comes first), `fasteners_still_out` (at
    the count); Missing for an unknown step or photo.
    """
    permit(actor, "work.do")
    with transaction.atomic():
        unit = _at_bench(unit_id)
        step = _step(unit, step_id)
        if step.done_at:
            return step
        _refuse_too_early(unit, step)
        if photo_id and not Photo.objects.filter(pk=photo_id).exists():
            raise Missing(Reason("missing", {"thing": str(Photo._meta.verbose_name), "sought": photo_id}, "photo"))
        step.done_at, step.done_by_id, step.photo_id = clock.now(), UUID(actor.id), photo_id
        step.save(update_fields=["done_at", "done_by", "photo"])
        trail.write(unit, actor, "step_ticked", after=step.code, facts=_facts(step))
    return step


def untick(*, actor: Actor, unit_id: UUID, step_id: UUID) -> JobStep:
    """Take a tick back; the trail keeps who had ticked it and the photo. An open step stays as it is.

    Raises Refused: `not_at_bench`; Missing for an unknown step.
    """
    permit(actor, "work.do")
    with transaction.atomic():
        unit = _at_bench(unit_id)
        step = _step(unit, step_id)
        if step.done_at is None:
            return step
        facts = _facts(step) | {"ticked_by": step.done_by_id, "ticked_at": step.done_at.isoformat()}
        step.done_at = step.done_by = step.photo = None
        step.save(update_fields=["done_at", "done_by", "photo"])
        trail.write(unit, actor, "step_unticked", before=step.code, facts=facts)
    return step


def fasteners_out(*, actor: Actor, unit_id: UUID, where: str, kind: str = "", count: int) -> FastenerGroup:
    """Record that so many fasteners of one kind came out of one place.

    Those that were back in that place come out again first, then those that were written off; the rest are new to the
    account. Raises Refused:
    `not_open_to_work`, `blank`, `too_long`, `out_of_range`.
    """
    permit(actor, "work.do")
    where = words(where, label=_("The place"), field="where", limit=60)
    kind = words(kind, label=_("The kind"), field="kind", limit=60, required=False)
    with transaction.atomic():
        unit = _open_to_work(unit_id)
        group = FastenerGroup.objects.filter(unit=unit, where=where, kind=kind).first()
        group = group or FastenerGroup(unit=unit, where=where, kind=kind, out=0, back=0)
        again = min(count, group.back)
        found = min(count - again, group.written_off)  # what was given up for lost has turned up
        _refuse_odd_count(count, MOST_FASTENERS - group.out + group.back + group.written_off)
        group.back, group.written_off = group.back - again, group.written_off - found
        group.out += count - again - found
        group.save()
        trail.write(unit, actor, "fasteners_out", facts=_account(group, count))
    return group


def fasteners_back(*, actor: Actor, unit_id: UUID, group_id: UUID, count: int) -> FastenerGroup:
    """Record that so many of a group went back where they came from, never more than are out.

    Raises Refused: `not_open_to_work`, `out_of_range`, `fasteners_too_many`; Missing for an unknown group.
    """
    permit(actor, "work.do")
    with transaction.atomic():
        unit = _open_to_work(unit_id)
        group = _group(unit, group_id)
        _refuse_odd_count(count, MOST_FASTENERS)
        _refuse_more_than_missing(group, count)
        group.back += count
        group.save(update_fields=["back"])
        trail.write(unit, actor, "fasteners_back", facts=_account(group, count))
    return group


def write_off_fasteners(*, actor: Actor, unit_id: UUID, group_id: UUID, count: int, reason: str) -> FastenerGroup:
    """Write off so many fasteners of a group that stay away, with the reason; the account then balances without them.

    One that turns up later is put back by counting it out again. Raises Refused: `not_open_to_work`, `out_of_range`,
    `fasteners_too_many`, `blank`; Missing for an unknown group.
    """
    permit(actor, "work.write_off")
    said = words(reason, label=_("The reason"), field="reason", limit=500)
    with transaction.atomic():
        unit = _open_to_work(unit_id)
        group = _group(unit, group_id)
        _refuse_odd_count(count, MOST_FASTENERS)
        _refuse_more_than_missing(group, count)
        group.written_off += count
        group.save(update_fields=["written_off"])
        trail.write(unit, actor, "fasteners_written_off", facts=_account(group, count), note=said)
    return group


def _group(unit: Unit, group_id: UUID) -> FastenerGroup:
    group = FastenerGroup.objects.filter(unit=unit, pk=group_id).first()
    if group is None:
        raise Missing(Reason("missing", {"thing": str(FastenerGroup._meta.verbose_name), "sought": group_id}))
    return group


def _refuse_more_than_missing(group: FastenerGroup, count: int) -> None:
    if count > group.missing:
        away = group.back + group.written_off
        facts = {"where": group.where, "count": count, "out": group.out, "back": away, "left": group.missing}
        raise Refused(Reason("fasteners_too_many", facts, "count"))


def _at_bench(unit_id: UUID) -> Unit:
    unit = lock(Unit, pk=unit_id)
    if unit.stage != Stage.BENCH:
        raise Refused(Reason("not_at_bench", {"unit": str(unit), "stage": unit.get_stage_display()}))
    return unit


def _open_to_work(unit_id: UUID) -> Unit:
    """Lock a unit whose case somebody may have open: at the bench, or being tested."""
    unit = lock(Unit, pk=unit_id)
    if unit.stage not in (Stage.BENCH, Stage.TESTING):
        raise Refused(Reason("not_open_to_work", {"unit": str(unit), "stage": unit.get_stage_display()}))
    return unit


def _step(unit: Unit, step_id: UUID) -> JobStep:
    step = JobStep.objects.filter(unit=unit, pk=step_id, retired_at=None).first()
    if step is None:
        raise Missing(Reason("missing", {"thing": str(JobStep._meta.verbose_name), "sought": step_id}))
    return step


def _refuse_too_early(unit: Unit, step: JobStep) -> None:
    """Let nothing pass an open hold point, and no count that the fasteners belie."""
    earlier = [other for other in queries.open_steps(unit) if other.position < step.position and other.hold_point]
    if earlier:
        raise Refused(Reason("hold_point_open", {"words": earlier[0].words}))
    missing = queries.fasteners_missing(unit) if step.code == outline.COUNT else []
    if missing:
        places = ", ".join(f"{group.where} ({group.missing})" for group in missing)
        raise Refused(Reason("fasteners_still_out", {"places": places}))


def _refuse_odd_count(count: int, most: int) -> None:
    if not 1 <= count <= most:
        raise Refused(Reason("out_of_range", {"label": _("The count"), "low": 1, "high": most}, "count"))


def _facts(step: JobStep) -> dict[str, object]:
    return {"step": step.pk, "position": step.position, "photo": step.photo_id}


def _account(group: FastenerGroup, count: int) -> dict[str, object]:
    return {"group": group.pk, "count": count, "out": group.out, "back": group.back, "off": group.written_off}
