"""How far plans of tight shops are from what is possible at best, beside the usual rules, and how fast they come.

The gap is (value - bound) / bound, against prices on technicians' time (`bounding`), reckoned longer here than a
plan would. Seconds are by the wall clock, with the process's own beside them, since other programs take their share.
"""

import random
import time
from dataclasses import dataclass, replace
from statistics import median

import pytest

from shop.planning.assigning.assignment import EFFORTS, Effort, assign
from shop.planning.assigning.bounding import bound
from shop.planning.assigning.dispatching import dispatched
from shop.planning.assigning.exact import Limits, solve_exactly
from shop.planning.assigning.ground import Ground
from shop.planning.assigning.improving import Search, improve
from shop.planning.assigning.laying import Layout
from shop.planning.assigning.plan_facts import Plan, ShopFacts
from shop.planning.assigning.plan_tables import tabulate
from shop.planning.assigning.replanning import Kept
from tests.benchmarks.tight_shops import Tight, draw, every
from tests.external.job_shop import as_shop, read
from tests.external.test_scheduling import DATA
from tests.planning.plan_checks import broken_rules

pytestmark = pytest.mark.benchmark
PRICES = 6000


@dataclass(frozen=True, slots=True)
class Measured:
    """One shop planned: the values of the rules and of the plan, the bound, and seconds."""

    rules: dict[str, int]
    value: int
    bound: int
    first_s: float
    wall_s: float
    cpu_s: float

    @property
    def gap(self) -> float:
        return (self.value - self.bound) / self.bound if self.bound else float(self.value > 0)


def measure(tight: Tight, effort: Effort) -> Measured:
    facts = draw(tight)
    told: list[float] = []
    wall, cpu = time.perf_counter(), time.process_time()
    plan = assign(facts, effort=effort, on_better=lambda _plan: told.append(time.perf_counter() - wall))
    wall_s, cpu_s = time.perf_counter() - wall, time.process_time() - cpu
    assert broken_rules(facts, plan) == []
    rules = {name: layout.value for name, layout in dispatched(Ground(tabulate(facts)))}
    assert plan.value <= min(rules.values())
    return Measured(rules, plan.value, max(plan.bound, long_bound(facts, plan)), told[0], wall_s, cpu_s)


def long_bound(facts: ShopFacts, plan: Plan) -> int:
    """Return the bound after many prices; the plan is the known value to begin from."""
    ground = Ground(tabulate(facts))
    best = min((layout for _name, layout in dispatched(ground)), key=lambda layout: layout.value)
    known = Layout(best.order, best.who, best.start, best.end, best.job_end, plan.value)
    return bound(ground, known, PRICES, lambda: False).bound


def table(shops: list[Tight], effort: Effort) -> list[Measured]:
    head = "units x people  factor range nights    EDD   WSPT    ATC   ours  bound    gap  first   wall    cpu"
    print(f"\n{head}")
    rows = []
    for tight in shops:
        row = measure(tight, effort)
        rows.append(row)
        rules = " ".join(f"{row.rules[name]:6}" for name in ("EDD", "WSPT", "ATC"))
        print(
            f"{tight.units:6} x {tight.people:<6} {tight.factor:6} {tight.spread:6} {tight.nights!s:>6} {rules} "
            f"{row.value:6} {row.bound:6} {100 * row.gap:5.1f}% "
            f"{row.first_s:5.2f}s {row.wall_s:5.1f}s {row.cpu_s:5.1f}s",
            flush=True,
        )
    gaps = [row.gap for row in rows]
    print(f"median gap {100 * median(gaps):.1f}%, worst {100 * max(gaps):.1f}%")
    return rows


def test_forty_units_by_four() -> None:
    table([*every(40, 4, 1), *every(40, 4, 2), Tight(40, 4, 0.6, 0.4, 1, nights=True)], EFFORTS["usual"])


def test_a_hundred_and_twenty_units_by_eight() -> None:
    table(every(120, 8, 1), EFFORTS["thorough"])


def test_three_hundred_units_by_twelve() -> None:
    rows = table([Tight(300, 12, factor, 0.4, 1) for factor in (0.4, 0.6, 0.8)], EFFORTS["thorough"])
    assert max(row.first_s for row in rows) < 2


@pytest.mark.parametrize(("units", "people"), [(12, 2), (14, 2), (12, 3)])
def test_how_much_of_a_gap_is_the_bound_s(units: int, people: int) -> None:
    """Small shops whose best plan CP-SAT proves: the search meets it, and the bound lies below it all the same."""
    ground = Ground(tabulate(draw(Tight(units, people, 0.4, 0.6, 1))))
    first = min((layout for _name, layout in dispatched(ground)), key=lambda layout: layout.value)
    found = improve(ground, first, Search(50_000_000, 0))
    proven = solve_exactly(ground, found, Limits(120, 300, 0))
    below = bound(ground, found, PRICES, lambda: False).bound
    print(f"\n{units} x {people}: found {found.value}, proven {proven.bound}, bound {below}")
    assert found.value == proven.layout.value == proven.bound >= below


@pytest.mark.parametrize(("units", "people"), [(40, 4), (120, 8)])
def test_planning_again_after_one_change(units: int, people: int) -> None:
    facts = draw(Tight(units, people, 0.6, 0.4, 1, nights=True))
    plan = assign(facts, effort=replace(EFFORTS["usual"], work=100_000_000, prices=0))
    jobs = tuple(
        replace(job, previous=tuple(row for row in plan.placements if row.job == job.key)) for job in facts.jobs
    )
    urgent = replace(random.Random(1).choice(jobs), key="new", label="NEW", due_slot=68, weight=5, previous=())
    changed = replace(facts, jobs=(*jobs, urgent))
    wall, cpu = time.perf_counter(), time.process_time()
    again = assign(changed, effort=EFFORTS["quick"])
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    moved = len(moved_jobs(changed, again))
    afresh = assign(changed, effort=replace(EFFORTS["usual"], work=100_000_000, prices=0))
    print(
        f"\n{units} x {people} and one more: {moved} of {units} moved, value {again.value} (afresh {afresh.value}), "
        f"{wall:.1f} s by the clock, {cpu:.1f} s of its own"
    )
    assert moved <= units // 10


def moved_jobs(facts: ShopFacts, plan: Plan) -> set[str]:
    """Return the untouched jobs that changed hands or begin more than half a working day from where they were."""
    tables = tabulate(facts)
    kept = Kept(tables)
    place = {(row.job, row.step): row for row in plan.placements}
    rows = [place[tables.jobs[task.job].key, task.step.key] for task in tables.tasks]
    who = [kept.people[row.technician or ""] for row in rows]
    layout = Layout([], who, [row.start_slot for row in rows], [], [], 0)
    return {tables.jobs[job].key for job in kept.moved(layout)}


def test_the_job_shop_of_ten_by_ten() -> None:
    """SC-01: ft10 (Muth and Thompson 1963), 930, within a hundredth in a minute."""
    facts = as_shop(read(DATA / "jobshop" / "ft10.txt"))
    wall, cpu = time.perf_counter(), time.process_time()
    plan = assign(facts, effort=Effort(work=4_000_000, levels=0, prices=0, exact=60, clock_s=60))
    wall, cpu = time.perf_counter() - wall, time.process_time() - cpu
    print(f"\nft10: {plan.value}, bound {plan.bound}, {wall:.0f} s by the clock, {cpu:.0f} s of its own")
    assert broken_rules(facts, plan) == []
    assert plan.value <= 930 * 1.01
