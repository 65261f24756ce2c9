"""What stands in the way at the bench: the wrong stage, an open hold point, missing evidence, fasteners astray."""

from decimal import Decimal
from uuid import UUID

from shop.core.locks import lock
from shop.core.reasons import Reason, Refused
from shop.units.models import Stage, Unit
from shop.work import outline, queries
from shop.work.models import FastenerGroup, JobStep

# What counts as discharged: common practice, from memory.
EMPTY_V = Decimal(2)
# Below this a rail is shorted to ground, leads of the meter taken off: common practice, from memory.
SHORT_OHM = Decimal(1)


def at_bench(unit_id: UUID) -> Unit:
    """Lock a unit that is at a bench. Raises Refused with `not_at_bench`."""
    unit = lock(Unit, pk=unit_id)
    if unit.stage != Stage.BENCH:
        raise Refused(Reason("not_at_bench", {"unit": str(unit), "stage": unit.get_stage_display()}))
    return unit


def open_to_work(unit_id: UUID) -> Unit:
    """Lock a unit whose case somebody may have open: at the bench, or being tested. Raises `not_open_to_work`."""
    unit = lock(Unit, pk=unit_id)
    if unit.stage not in (Stage.BENCH, Stage.TESTING):
        raise Refused(Reason("not_open_to_work", {"unit": str(unit), "stage": unit.get_stage_display()}))
    return unit


def refuse_too_early(unit: Unit, step: JobStep) -> None:
    """Let nothing pass an open hold point, and neither an opening nor a count that the fasteners belie."""
    held = queries.open_hold_point(unit, before=step)
    if held:
        raise Refused(Reason("hold_point_open", {"words": held.words}))
    if step.code == outline.OPEN:
        _refuse_uncounted(unit)
    missing = queries.fasteners_missing(unit) if step.code == outline.COUNT else []
    if missing:
        places = ", ".join(f"{group.where} ({group.missing})" for group in missing)
        raise Refused(Reason("fasteners_still_out", {"places": places}))


def _refuse_uncounted(unit: Unit) -> None:
    """Where the library knows the fasteners, each group is counted before the lid is off."""
    counted = set(FastenerGroup.objects.filter(unit=unit).values_list("label", flat=True))
    left = [screw.label for screw in queries.known_screws(unit) if screw.label not in counted]
    if left:
        raise Refused(Reason("fasteners_uncounted", {"labels": ", ".join(left)}))


def _is_figure(value: Decimal | None) -> bool:
    return value is not None and not value.is_nan()


def refuse_without_evidence(step: JobStep, *, photo_id: UUID | None, value: Decimal | None) -> None:
    """Ask for what must come with a tick: `evidence_photo`, `evidence_reading`, `still_charged`, `rail_shorted`."""
    if step.evidence == JobStep.Evidence.PHOTO and photo_id is None:
        raise Refused(Reason("evidence_photo", {"words": step.words}, "photo"))
    if step.evidence in (JobStep.Evidence.VOLTS, JobStep.Evidence.OHMS) and not _is_figure(value):
        kind = str(JobStep.Evidence(step.evidence).label)
        raise Refused(Reason("evidence_reading", {"words": step.words, "kind": kind}, "value"))
    if step.evidence == JobStep.Evidence.VOLTS and value is not None and abs(value) > EMPTY_V:
        raise Refused(Reason("still_charged", {"volts": f"{value:f}", "empty": f"{EMPTY_V}"}, "value"))
    if step.evidence == JobStep.Evidence.OHMS and value is not None and value < SHORT_OHM:
        raise Refused(Reason("rail_shorted", {"ohms": f"{value:f}", "least": f"{SHORT_OHM}"}, "value"))
