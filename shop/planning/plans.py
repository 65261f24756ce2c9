"""Making plans: the newest that was stored is the one that counts, whatever became of later runs."""

import time
from collections.abc import Callable, Iterable

from shop.core import clock
from shop.core.duework import REPLAN
from shop.core.models import DueWork
from shop.core.reasons import Reason
from shop.planning import solving
from shop.planning.assigning import plan_facts
from shop.planning.gathering import gather
from shop.planning.models import Plan
from shop.planning.slots import slot_start
from shop.planning.solve_apart import Answer
from shop.planning.storing import Writer, previous_of, reasons_text

# Older plans are of no use to anybody: promises keep the figures that they were made from.
KEPT = 20
State = Plan.State


def current() -> Plan | None:
    """Return the plan that counts: the newest of which something was stored, or None. One query."""
    return Plan.objects.filter(stored_at__isnull=False).order_by("-generation").first()


def last_run() -> Plan | None:
    """Return the newest run, whatever became of it, or None. One query."""
    return Plan.objects.order_by("-generation").first()


def make(effort: str, should_stop: Callable[[], bool] = lambda: False) -> Writer:
    """Make a plan, store what is found on the way, and return the writer with its run and what was stored last.

    A newer run, a newer wish for one, or should_stop stops this one as soon as it has stored something. When the
    planner cannot finish, the last plan stays and the run says why; without any plan before, the rules alone make one
    here.
    """
    before = current()
    gathered = gather(previous_of(before, slot_start(clock.now())))
    # A run that a killed worker left behind, or that is about to see this one and stop.
    Plan.objects.filter(state=State.RUNNING).update(state=State.STOPPED, ended_at=clock.now())
    run = Plan.objects.create(starts_at=gathered.start, effort=effort, facts_sha256=gathered.sha256)
    began = time.monotonic()
    writer = Writer(run, gathered)
    try:
        answer = _solved(gathered.facts, effort, writer, lambda: should_stop() or newer_than(run))
    except solving.Stopped:
        _end(run, State.STOPPED, began, notes=())
    except solving.Broken as broken:
        if current() is None:
            writer.store(Answer(by_rules(gathered.facts), time.monotonic() - began))
        _end(run, State.FAILED, began, notes=[broken.reason])
    else:
        writer.store(answer)
        _end(run, State.DONE, began, notes=answer.plan.notes)
    return writer


def _solved(facts: plan_facts.ShopFacts, effort: str, writer: Writer, should_stop: Callable[[], bool]) -> Answer:
    """Return the last answer of the planner; where there is nothing to plan, nobody needs to be asked."""
    if not facts.jobs:
        return Answer(plan_facts.Plan(), 0.0, last=True)
    return solving.solve(facts, effort=effort, on_better=writer.better, should_stop=should_stop)


def by_rules(facts: plan_facts.ShopFacts) -> plan_facts.Plan:
    """Return the plan that the rules alone make, in this process, with nothing that could be missing."""
    from shop.planning.assigning.assignment import EFFORTS, assign

    return assign(facts, effort=EFFORTS["rules"])


def newer_than(run: Plan) -> bool:
    """Tell whether another run has begun since, or is wished for now."""
    wished = DueWork.objects.filter(task=REPLAN, state=DueWork.State.DUE, due_at__lte=clock.now())
    return Plan.objects.filter(generation__gt=run.generation).exists() or wished.exists()


def _end(run: Plan, state: str, began: float, *, notes: Iterable[Reason]) -> None:
    run.state, run.ended_at, run.seconds = state, clock.now(), round(time.monotonic() - began, 2)
    run.notes = reasons_text(notes)
    run.save(update_fields=["state", "ended_at", "seconds", "notes"])
    keep = current()
    kept = [keep.pk] if keep else []
    Plan.objects.filter(generation__lte=run.generation - KEPT).exclude(pk__in=kept).delete()
