"""What a flow needs of the bench inside its transaction. The unit is handed in locked."""

from collections.abc import Iterable

from django.db.models.functions import Greatest

from shop.boards.models import Service
from shop.core import clock, trail
from shop.core.actor import Actor
from shop.people.models import Place, User
from shop.units.models import Unit
from shop.work import outline, queries
from shop.work.models import JobStep, WorkInterval
from shop.work.wording import caution_for, is_hold_point, words_for


def make_job_sheet(*, actor: Actor, unit: Unit, kind: str, services: Iterable[Service] = ()) -> list[JobStep]:
    """Lay out what a visit that begins now has to do, and return the open steps in working order.

    kind is diagnosis, work or closing; services are those approved (only work uses them). Ticked steps keep their
    rows and numbers; open ones stay when they still fit and are retired when the order has changed, so that numbers
    are never given twice. After a failed test (unit.test_round above 1) the mend and all that must follow it is asked
    for again. Raises ValueError for another kind.
    """
    offered = {str(service.pk): service for service in services}
    asked = ((key, words) for key, service in offered.items() for words in service.steps)
    tasks = outline.still_to_do(
        kind=kind,
        service_tasks=[outline.Task(outline.SERVICE, key, str(words)) for key, words in asked],
        done=[_task(step) for step in queries.sheet(unit) if step.done_at],
        opened=unit.opened,
        failed_tests=unit.test_round - 1,
    )
    present = queries.open_steps(unit)
    if [_task(step) for step in present] == tasks:
        return present
    return _lay_out(actor, unit, kind, tasks, offered)


def _task(step: JobStep) -> outline.Task:
    """Read a stored step back as the outline knows it; only a service's step is told apart by its words."""
    if step.code != outline.SERVICE:
        return outline.Task(step.code)
    return outline.Task(step.code, str(step.service_id), step.words)


def _lay_out(
    actor: Actor, unit: Unit, kind: str, tasks: list[outline.Task], offered: dict[str, Service]
) -> list[JobStep]:
    retired = JobStep.objects.filter(unit=unit, done_at=None, retired_at=None).update(retired_at=clock.now())
    last = JobStep.objects.filter(unit=unit).order_by("-position").values_list("position", flat=True).first() or 0
    made = JobStep.objects.bulk_create(
        JobStep(
            unit=unit,
            service=offered.get(task.service_id),
            position=position,
            code=task.code,
            words=words_for(task),
            caution=caution_for(task.code, unit.model),
            hold_point=is_hold_point(task.code, unit.model),
        )
        for position, task in enumerate(tasks, start=last + 1)
    )
    trail.write(unit, actor, "sheet_made", after=kind, facts={"steps": len(made), "retired": retired})
    return made


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
