"""Why a job lies where it lies in a plan, step by step, from the plan alone. Pure.

A step that begins later than it might waits for something: for a technician who is at something else or not at work,
for a bench, or for the step before. What is told is what ends last, since that is what has to change.
"""

from collections.abc import Iterator, Sequence

from shop.core.reasons import Reason
from shop.planning.assigning.plan_facts import Job, Placement, Plan, ShopFacts, Step, Technician


def explain(facts: ShopFacts, plan: Plan, job_key: str) -> list[Reason]:
    """Return for each step of a job, in order, why it begins when it does; for a job left out, why it is.

    Facts name units and people by their labels, and slots from the plan's start. Raises KeyError for a job that is
    not among the facts.
    """
    job = {job.key: job for job in facts.jobs}[job_key]
    for row in plan.unplanned:
        if row.job == job_key:
            return [row.reason]
    placed = {row.step: row for row in plan.placements if row.job == job_key}
    found, ready = [], job.release_slot
    for step in job.steps:
        found.append(_Waiting(facts, plan, job, step, placed[step.key]).reason(ready))
        ready = placed[step.key].end_slot
    return found


class _Waiting:
    """One step, and what it waits for."""

    def __init__(self, facts: ShopFacts, plan: Plan, job: Job, step: Step, placed: Placement) -> None:
        self.facts, self.plan, self.job, self.step, self.placed = facts, plan, job, step, placed
        self.labels = {other.key: other.label for other in facts.jobs}

    def reason(self, ready: int) -> Reason:
        """Return why the step begins when it does, given when its job was ready for it."""
        unit, slot = self.job.label, self.placed.start_slot
        if self.step.fixed:
            return Reason("why_begun", {"unit": unit, "slot": slot})
        if slot <= ready:
            return self._at_once(unit, slot)
        one = next((one for one in self.facts.technicians if one.key == self.placed.technician), None)
        busy = max(self._before(self._of_person()), default=None, key=lambda row: row.end_slot) if one else None
        bench = max(self._before(self._of_bench()), default=None, key=lambda row: row.end_slot)
        if one and busy and busy.end_slot > ready and self._works_on(one, busy.end_slot):
            return self._waits_for(one, busy)
        if bench and bench.end_slot == slot:
            name = next(bench.name for bench in self.facts.benches if bench.key == self.placed.bench)
            other = self.labels[bench.job]
            return Reason("why_waits_bench", {"unit": unit, "bench": name, "other": other, "slot": slot})
        if one and self._works_on(one, ready):
            return Reason("why_waits_shift", {"unit": unit, "technician": one.name, "slot": slot})
        return Reason("why_kept", {"unit": unit, "slot": slot})

    def _at_once(self, unit: str, slot: int) -> Reason:
        if self.step is not self.job.steps[0]:
            return Reason("why_follows", {"unit": unit, "slot": slot})
        if self.job.release_slot:
            return Reason("why_not_before", {"unit": unit, "slot": slot})
        return Reason("why_now", {"unit": unit, "slot": slot})

    def _waits_for(self, one: Technician, busy: Placement) -> Reason:
        """Say that the technician is busy, or that everybody with the skill is: who alone has it is waited for."""
        unit, other, slot = self.job.label, self.labels[busy.job], self.placed.start_slot
        able = sum(self.step.skill in each.speeds for each in self.facts.technicians)
        if able == 1:
            skill = self.step.skill
            return Reason("why_waits_skill", {
                "unit": unit, "skill": skill, "technician": one.name, "other": other, "slot": slot,
            })  # fmt: skip
        return Reason("why_waits_technician", {"unit": unit, "technician": one.name, "other": other, "slot": slot})

    def _works_on(self, one: Technician, since: int) -> bool:
        """Tell whether the step begins in the technician's first working slot from a slot on."""
        return not any(max(begin, since) < min(until, self.placed.start_slot) for begin, until in one.spans)

    def _before(self, rows: Sequence[Placement]) -> Iterator[Placement]:
        return (row for row in rows if row is not self.placed and row.end_slot <= self.placed.start_slot)

    def _of_person(self) -> list[Placement]:
        return [row for row in self.plan.placements if row.technician == self.placed.technician]

    def _of_bench(self) -> list[Placement]:
        return [row for row in self.plan.placements if row.bench == self.placed.bench]
