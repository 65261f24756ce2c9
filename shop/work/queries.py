"""What the bench can be asked. One query each."""

from collections.abc import Sequence
from uuid import UUID

from django.db.models import F

from shop.boards.models import BoardEdition, CaseFastener
from shop.boards.spots import Screw
from shop.core import clock
from shop.units.models import Unit
from shop.work.models import FastenerGroup, JobStep, WorkInterval


def sheet(unit: Unit) -> list[JobStep]:
    """Return the unit's job sheet in working order, ticked steps among them, with services, people and photos."""
    found = JobStep.objects.filter(unit=unit, retired_at=None).select_related("service", "done_by", "photo")
    return list(found.order_by("position"))


def open_steps(unit: Unit) -> list[JobStep]:
    """Return the steps that are still to be done, in working order."""
    return list(JobStep.objects.filter(unit=unit, retired_at=None, done_at=None).order_by("position"))


def present_step(steps: Sequence[JobStep]) -> JobStep | None:
    """Return the step of a sheet to do now, or None when the sheet is done or there is none. No query."""
    return next((step for step in steps if step.done_at is None), None)


def open_hold_point(unit: Unit, *, before: JobStep) -> JobStep | None:
    """Return the first hold point that stands open before a step, or None. One query, and one row at most."""
    held = JobStep.objects.filter(unit=unit, retired_at=None, done_at=None, hold_point=True)
    return held.filter(position__lt=before.position).order_by("position").first()


def fasteners(unit: Unit) -> list[FastenerGroup]:
    """Return every group of fasteners that was ever taken out of the unit, in the order of taking out."""
    return list(FastenerGroup.objects.filter(unit=unit).order_by("created_at"))


def fasteners_missing(unit: Unit) -> list[FastenerGroup]:
    """Return the groups with fasteners neither back nor written off; the unit may be closed when there is none."""
    still_out = FastenerGroup.objects.filter(unit=unit, back__lt=F("out") - F("written_off"))
    return list(still_out.order_by("created_at"))


def minutes_worked(unit: Unit) -> int:
    """Return the whole minutes that people worked at the unit, the interval that runs included."""
    now = clock.now()
    spans = WorkInterval.objects.filter(unit=unit).values_list("began_at", "ended_at")
    return int(sum(((ended or now) - began).total_seconds() for began, ended in spans) // 60)


def worked_from_library(unit: Unit) -> bool:
    """Tell whether a step that names placements was done, by the edition that the unit has. One query."""
    done = JobStep.objects.filter(unit=unit, done_at__isnull=False)
    return done.exclude(refs=[]).exists()


def known_screws(unit: Unit) -> tuple[Screw, ...]:
    """Return what the library knows of the fasteners of the unit's case, in the order they come out. Two queries.

    Before the board is identified that is what it knows of another board of the model: the case is mostly the same.
    """
    edition_id = unit.edition_id or _some_edition(unit)
    return tuple(row.screw for row in CaseFastener.objects.filter(edition=edition_id)) if edition_id else ()


def _some_edition(unit: Unit) -> UUID | None:
    known = BoardEdition.objects.filter(fasteners__isnull=False)
    own = known.filter(revision=unit.revision_id) if unit.revision_id else known.filter(revision__model=unit.model_id)
    return own.order_by("-created_at").values_list("pk", flat=True).first()
