"""Two plans of the same shop side by side, and what it would cost to let a job go first. Pure."""

from collections.abc import Callable
from dataclasses import dataclass, replace

from shop.planning.plan_facts import Job, Placement, Plan, ShopFacts


@dataclass(frozen=True, slots=True)
class Moved:
    """A job in two plans: the slots at which it ends (None where it is left out), and by how many it is late."""

    job: str
    ends_before: int | None
    ends_after: int | None
    late_before: int
    late_after: int


@dataclass(frozen=True, slots=True)
class Differences:
    """The jobs whose ends differ, in the order of the facts, and by technician the slots of work before and after."""

    moved: tuple[Moved, ...]
    loads: dict[str, tuple[int, int]]

    @property
    def later(self) -> tuple[Moved, ...]:
        """Return the jobs that are later against their promise than before."""
        return tuple(job for job in self.moved if job.late_after > job.late_before)


def compare(facts: ShopFacts, before: Plan, after: Plan) -> Differences:
    """Return what differs between two plans of the facts' jobs; a job that one of them lacks is late by nothing there.

    Load is working time, so a night between two parts of a step does not count.
    """
    ends_before, ends_after = before.ends, after.ends
    moved = [
        Moved(job.key, was, now, _late(job, was), _late(job, now))
        for job in facts.jobs
        if (was := ends_before.get(job.key)) != (now := ends_after.get(job.key))
    ]
    return Differences(tuple(moved), _loads(facts, before, after))


def cost_of_first(facts: ShopFacts, plan: Plan, job_key: str, assign: Callable[[ShopFacts], Plan]) -> Differences:
    """Return what changes when a job goes first: the shop is planned again with its slots weighing more than all.

    Lateness is against the promises as they are. Raises KeyError for a job that is not among the facts.
    """
    first = {job.key: job for job in facts.jobs}[job_key]
    weight = sum(job.weight for job in facts.jobs) + 1
    urgent = replace(first, due_slot=0, weight=weight, previous=())
    jobs = tuple(urgent if job is first else job for job in facts.jobs)
    return compare(facts, plan, assign(replace(facts, jobs=jobs)))


def _late(job: Job, end: int | None) -> int:
    return 0 if end is None or job.due_slot is None else max(0, end - job.due_slot)


def _loads(facts: ShopFacts, before: Plan, after: Plan) -> dict[str, tuple[int, int]]:
    return {one.key: (_load(one.spans, one.key, before), _load(one.spans, one.key, after)) for one in facts.technicians}


def _load(spans: tuple[tuple[int, int], ...], key: str, plan: Plan) -> int:
    return sum(_inside(spans, placed) for placed in plan.placements if placed.technician == key)


def _inside(spans: tuple[tuple[int, int], ...], placed: Placement) -> int:
    return sum(max(0, min(until, placed.end_slot) - max(begin, placed.start_slot)) for begin, until in spans)
