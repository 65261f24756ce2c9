"""Holds a plan against its facts, rule by rule, and reckons nothing as the planners do."""

from collections import defaultdict
from collections.abc import Iterator, Sequence
from itertools import pairwise

from shop.planning.assigning.plan_facts import Bench, Job, Placement, Plan, ShopFacts, Step, Technician


def broken_rules(facts: ShopFacts, plan: Plan) -> list[str]:
    """Return what a plan breaks, in words for whoever reads a test: an empty list for a plan that holds."""
    return [*_jobs(facts, plan), *_technicians(facts, plan), *_benches(facts, plan)]


def _jobs(facts: ShopFacts, plan: Plan) -> Iterator[str]:
    unplanned = {row.job for row in plan.unplanned}
    by_job: dict[str, list[Placement]] = defaultdict(list)
    for placed in plan.placements:
        by_job[placed.job].append(placed)
    for job in facts.jobs:
        placed_steps = {placed.step: placed for placed in by_job.pop(job.key, [])}
        if job.key in unplanned:
            if placed_steps:
                yield f"{job.key} is planned and left out"
        elif set(placed_steps) != {step.key for step in job.steps}:
            yield f"{job.key} has {sorted(placed_steps)}"
        else:
            yield from _job(facts, job, [placed_steps[step.key] for step in job.steps])
    yield from (f"{key} is unknown" for key in by_job)


def _job(facts: ShopFacts, job: Job, row: Sequence[Placement]) -> Iterator[str]:
    people = {one.key: one for one in facts.technicians}
    benches = {bench.key: bench for bench in facts.benches}
    yield from (
        f"{job.key}: {later.step} begins before {earlier.step} ends"
        for earlier, later in pairwise(row)
        if later.start_slot < earlier.end_slot
    )
    for step, placed in zip(job.steps, row, strict=True):
        if placed.end_slot > facts.horizon_slots and not step.fixed:
            yield f"{job.key}: {step.key} ends after the horizon"
        if step.fixed:
            yield from _fixed(job, step, placed)
            continue
        if placed.start_slot < job.release_slot:
            yield f"{job.key}: {step.key} begins before its release"
        yield from _bench(job, step, benches[placed.bench])
        if step.attended:
            yield from _hands(facts, job, step, placed, people.get(placed.technician or ""))
        elif placed.end_slot - placed.start_slot != -(-step.minutes // facts.slot_minutes) or placed.technician:
            yield f"{job.key}: {step.key} does not run alone for its time"


def _fixed(job: Job, step: Step, placed: Placement) -> Iterator[str]:
    assert step.fixed
    if (placed.technician, placed.bench) != (step.fixed.technician, step.fixed.bench):
        yield f"{job.key}: {step.key} has left its technician or bench"
    if placed.start_slot < step.fixed.start_slot:
        yield f"{job.key}: {step.key} begins before it was fixed"


def _bench(job: Job, step: Step, bench: Bench) -> Iterator[str]:
    if not step.equipment <= bench.equipment:
        yield f"{job.key}: {step.key} lies at {bench.key}, which lacks {sorted(step.equipment - bench.equipment)}"


def _hands(facts: ShopFacts, job: Job, step: Step, placed: Placement, one: Technician | None) -> Iterator[str]:
    if not one or step.skill not in one.speeds:
        yield f"{job.key}: {step.key} is done by somebody who cannot"
        return
    able = [each.key for each in facts.technicians if step.skill in each.speeds]
    if job.pinned in able and placed.technician != job.pinned:
        yield f"{job.key}: {step.key} has left the technician it is pinned to"
    worked = sum(max(0, min(until, placed.end_slot) - max(begin, placed.start_slot)) for begin, until in one.spans)
    if worked != -(-step.minutes * 100 // (one.speeds[step.skill] * facts.slot_minutes)):
        yield f"{job.key}: {step.key} takes {worked} working slots"
    if not any(begin <= placed.start_slot < until for begin, until in one.spans):
        yield f"{job.key}: {step.key} begins outside working time"


def _technicians(facts: ShopFacts, plan: Plan) -> Iterator[str]:
    for one in facts.technicians:
        theirs = sorted(_span(placed) for placed in plan.placements if placed.technician == one.key)
        for earlier, later in pairwise(theirs):
            if later[0] < earlier[1]:
                yield f"{one.key} is at two things at once: {earlier} and {later}"


def _benches(facts: ShopFacts, plan: Plan) -> Iterator[str]:
    """Fixed work may lie where other fixed work lies: that is how it was found."""
    fixed = {(job.key, step.key) for job in facts.jobs for step in job.steps if step.fixed}
    for bench in facts.benches:
        here = sorted((placed for placed in plan.placements if placed.bench == bench.key), key=_span)
        for number, earlier in enumerate(here):
            for later in here[number + 1 :]:
                both_fixed = {(earlier.job, earlier.step), (later.job, later.step)} <= fixed
                if later.start_slot < earlier.end_slot and not both_fixed:
                    yield f"{bench.key} is taken twice: by {earlier.job} and {later.job}"


def _span(placed: Placement) -> tuple[int, int]:
    return placed.start_slot, placed.end_slot
