"""What a flow needs of the bench inside its transaction. The unit is handed in locked."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from django.db.models.functions import Greatest
from django.utils.translation import gettext as _

from shop.boards.models import Service
from shop.boards.queries import spots_of
from shop.boards.selecting import selected
from shop.boards.spots import Spot
from shop.core import clock, trail
from shop.core.actor import Actor
from shop.people.models import Place, User
from shop.units.models import Finding, Unit
from shop.work import order, outline, queries
from shop.work.models import JobStep, WorkInterval
from shop.work.repairs import repair_tasks
from shop.work.step_words import step_words
from shop.work.wording import caution_for, evidence_for, is_hold_point

DESOLDERING = "desoldering station"


def make_job_sheet(
    *, actor: Actor, unit: Unit, kind: str, services: Iterable[Service] = (), findings: Iterable[Finding] = ()
) -> list[JobStep]:
    """Lay out what a visit that begins now has to do, and return the open steps in working order.

    kind is diagnosis, work or closing; services are those approved and findings those to be mended (only work uses
    them). Ticked steps keep their rows and numbers; open ones stay when they still fit and are retired when the order
    has changed, so that numbers are never given twice. After a failed test (unit.test_round above 1) the mend and all
    that must follow it is asked for again. Raises ValueError for another kind.
    """
    offered = {str(service.pk): service for service in services}
    spots = {spot.designator: spot for spot in spots_of(unit.edition)} if unit.edition else {}
    tasks = outline.still_to_do(
        kind=kind,
        service_tasks=_work_inside(unit, offered, spots, findings),
        done=[_done_task(step) for step in queries.sheet(unit) if step.done_at],
        opened=unit.opened,
        failed_tests=unit.test_round - 1,
        unknown_board=unit.revision_id is None,
    )
    present = queries.open_steps(unit)
    said = [(task, step_words(task, spots).words) for task in tasks]
    if [(task_of(step), step.words) for step in present] == said:
        return present
    return _lay_out(actor=actor, unit=unit, kind=kind, tasks=tasks, offered=offered, spots=spots)


def _work_inside(
    unit: Unit, offered: Mapping[str, Service], spots: Mapping[str, Spot], findings: Iterable[Finding]
) -> list[outline.Task]:
    jobs = [
        order.Job(
            service_id=key,
            nature=service.nature,
            words=tuple(service.steps),
            spots=selected(spots.values(), service.selects, variant=unit.variant),
            cuts=tuple(ref for ref in service.cuts if ref in spots or not spots),
            wires=tuple(wire_words(wire) for wire in service.wires),
        )
        for key, service in offered.items()
    ]
    found = list(findings)
    leaking = any(finding.kind in (Finding.Kind.LEAK, Finding.Kind.CORROSION) for finding in unit.findings.all())
    station = unit.place is not None and DESOLDERING in unit.place.equipment
    given = order.Circumstances(leaking=leaking, desoldering_station=station)
    return order.tasks_of(jobs, repairs=repair_tasks(found), given=given)


def wire_words(wire: Mapping[str, object]) -> str:
    """Return a wire of a service in words."""
    return _("Wire: {colour}, {length_mm} mm, from {start} to {end}").format(**wire)


def task_of(step: JobStep) -> outline.Task:
    """Read a stored step back as the outline knows it; words tell apart only what has words of its own."""
    own = step.code in (outline.SERVICE, order.WIRE, order.REPAIR)
    service = str(step.service_id) if step.service_id else ""
    return outline.Task(step.code, service, step.words if own else "", tuple(step.refs), step.how)


def _done_task(step: JobStep) -> outline.Task:
    """Read a ticked step back. A repair is no credit for another in the same words: open findings ask for theirs."""
    task = task_of(step)
    return replace(task, words="") if step.code == order.REPAIR else task


def _lay_out(
    *,
    actor: Actor,
    unit: Unit,
    kind: str,
    tasks: Sequence[outline.Task],
    offered: Mapping[str, Service],
    spots: Mapping[str, Spot],
) -> list[JobStep]:
    retired = JobStep.objects.filter(unit=unit, done_at=None, retired_at=None).update(retired_at=clock.now())
    last = JobStep.objects.filter(unit=unit).order_by("-position").values_list("position", flat=True).first() or 0
    made = JobStep.objects.bulk_create(
        (
            _step(unit, position, task, offered.get(task.service_id), spots)
            for position, task in enumerate(tasks, start=last + 1)
        ),
        batch_size=500,
    )
    trail.write(unit, actor, "sheet_made", after=kind, facts={"steps": len(made), "retired": retired})
    return made


def _step(unit: Unit, position: int, task: outline.Task, service: Service | None, spots: Mapping[str, Spot]) -> JobStep:
    said = step_words(task, spots)
    caution = caution_for(task.code, unit.model)
    return JobStep(
        unit=unit,
        service=service,
        position=position,
        code=task.code,
        words=said.words,
        refs=list(task.refs),
        how=task.how,
        tool=said.tool,
        minutes=said.minutes,
        evidence=evidence_for(task.code, unit.model),
        caution=" ".join(part for part in (caution, service.cautions if service else "") if part)[:600],
        hold_point=is_hold_point(task.code, unit.model),
    )


def begin(*, actor: Actor, unit: Unit, bench: Place, user: User) -> WorkInterval:
    """Start the clock of somebody's work at a bench; whoever worked at the unit before stops.

    The same person at the same bench goes on with the interval that runs.
    """
    running = WorkInterval.objects.filter(unit=unit, ended_at=None).first()
    if running and (running.user_id, running.bench_id) == (user.pk, bench.pk):
        return running
    end(unit=unit)
    began = WorkInterval.objects.create(unit=unit, user=user, bench=bench, began_at=clock.now())
    trail.write(unit, actor, "work_began", facts={"user": user.pk, "bench": bench.pk})
    return began


def end(*, unit: Unit) -> bool:
    """Stop the clock of whoever works at the unit; False when nobody does. The flow's own trail row says why.

    An interval never ends before it began, even when the machine's clock was set back meanwhile.
    """
    running = WorkInterval.objects.filter(unit=unit, ended_at=None)
    return bool(running.update(ended_at=Greatest("began_at", clock.now())))
