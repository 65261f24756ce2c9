"""Who does what, when: the rules that every plan keeps, what cannot be planned, and what follows the goal."""

import sys
from dataclasses import replace
from itertools import pairwise

import pytest

from shop.core.reasons import Reason
from shop.planning.assigning.assignment import EFFORTS, assign
from shop.planning.assigning.dispatching import dispatched
from shop.planning.assigning.ground import Ground
from shop.planning.assigning.plan_facts import (
    Bench,
    Fixed,
    Goal,
    How,
    Job,
    Placement,
    Plan,
    ShopFacts,
    Step,
    Technician,
)
from shop.planning.assigning.plan_tables import tabulate
from tests.planning.plan_checks import broken_rules
from tests.planning.plan_shop import ALWAYS, any_shop, job, person, shop

QUICK = EFFORTS["quick"]
# Long enough to search in earnest, short enough for a test.
SHORT = replace(EFFORTS["usual"], work=2_000_000, levels=500_000, prices=30, exact=0.05)


def plan_of(facts: ShopFacts) -> Plan:
    plan = assign(facts, effort=SHORT)
    assert broken_rules(facts, plan) == []
    return plan


def where(plan: Plan, unit: str, step: str = "work") -> Placement:
    return next(row for row in plan.placements if (row.job, row.step) == (unit, step))


def left_out(plan: Plan) -> dict[str, Reason]:
    return {row.job: row.reason for row in plan.unplanned}


@pytest.mark.parametrize("seed", range(12))
def test_it_keeps_every_rule_in_any_shop(seed: int) -> None:
    plan_of(any_shop(seed))


@pytest.mark.parametrize("goal", list(Goal))
def test_it_is_never_worse_than_the_rules_and_never_below_its_bound(goal: Goal) -> None:
    for seed in range(3):
        facts = replace(any_shop(seed, units=12), goal=goal)
        by_rules = min(layout.value for _name, layout in dispatched(Ground(tabulate(facts))))
        plan = plan_of(facts)
        assert plan.bound <= plan.value
        if not plan.unplanned:
            assert plan.value <= by_rules


def test_it_gives_the_same_plan_for_the_same_seed() -> None:
    facts = any_shop(3, units=14)
    first, again = (assign(facts, effort=SHORT, seed=7) for _ in range(2))
    assert first == again
    assert first.notes == ()


def test_it_tells_the_first_plan_before_the_better_ones() -> None:
    told: list[Plan] = []
    facts = any_shop(5, units=14)
    last = assign(facts, effort=SHORT, on_better=told.append)
    assert told[0].how is How.HEURISTIC
    assert broken_rules(facts, told[0]) == []
    assert last.value <= told[0].value


def test_it_stops_when_asked_and_still_has_a_plan() -> None:
    facts = any_shop(5, units=14)
    plan = assign(facts, effort=EFFORTS["thorough"], should_stop=lambda: True)
    assert broken_rules(facts, plan) == []


def test_it_says_when_the_clock_stopped_it_and_still_has_a_plan() -> None:
    facts = any_shop(5, units=14)
    plan = assign(facts, effort=replace(EFFORTS["usual"], clock_s=0.0))
    assert broken_rules(facts, plan) == []
    assert [note.code for note in plan.notes] == ["planner_stopped_by_clock"]


def test_it_gives_the_work_to_whoever_can_do_it() -> None:
    facts = shop(
        [person("ada", "solder"), person("ben", "test")],
        [job("u1", Step("work", 60, "solder"), Step("test", 30, "test"))],
    )
    plan = plan_of(facts)
    assert where(plan, "u1") == Placement("u1", "work", "ada", where(plan, "u1").bench, 36, 40)
    assert where(plan, "u1", "test").technician == "ben"
    assert where(plan, "u1", "test").start_slot == 40


def test_it_takes_the_speed_into_account() -> None:
    facts = shop([person("ada", speeds={"solder": 150})], [job("u1", Step("work", 90, "solder"))])
    assert plan_of(facts).ends == {"u1": 36 + 4}


def test_it_pauses_over_night_and_keeps_the_technician_and_the_bench() -> None:
    facts = shop(
        [person("ada", "solder"), person("ben", "solder")],
        [
            job("long", Step("work", 10 * 60, "solder"), due_slot=0, weight=9),
            job("other", Step("work", 7 * 60, "solder")),
        ],
        benches=2,
    )
    plan = plan_of(facts)
    assert (where(plan, "long").start_slot, where(plan, "long").end_slot) == (36, 96 + 36 + 8)
    assert where(plan, "other").bench != where(plan, "long").bench


def test_it_lets_a_soak_run_through_the_night_without_a_technician() -> None:
    steps = Step("work", 7 * 60, "solder"), Step("soak", 12 * 60, attended=False), Step("test", 30, "solder")
    plan = plan_of(shop([person("ada", "solder")], [job("u1", *steps)]))
    soak = where(plan, "u1", "soak")
    assert (soak.technician, soak.start_slot, soak.end_slot) == (None, 64, 112)
    assert where(plan, "u1", "test").start_slot == 96 + 36


def test_it_waits_for_the_one_bench_that_has_the_equipment() -> None:
    scope = frozenset({"scope"})
    benches = [Bench("plain", "Plain"), Bench("scope", "Scope", scope)]
    jobs = [job("u1", Step("test", 60, "test", scope)), job("u2", Step("test", 60, "test", scope))]
    plan = plan_of(shop([person("ada", "test"), person("ben", "test")], jobs, benches=benches))
    assert {row.bench for row in plan.placements} == {"scope"}
    assert sorted(plan.ends.values()) == [40, 44]


def test_it_leaves_the_special_bench_to_who_needs_it() -> None:
    scope = frozenset({"scope"})
    benches = [Bench("scope", "Scope", scope), Bench("plain", "Plain")]
    jobs = [job("u1"), job("u2", Step("test", 60, "solder", scope))]
    plan = plan_of(shop([person("ada", "solder"), person("ben", "solder")], jobs, benches=benches))
    assert sorted(plan.ends.values()) == [40, 40]


def test_it_leaves_begun_work_where_it_is_and_goes_on_after_it() -> None:
    begun = Step("work", 120, "solder", fixed=Fixed("ben", "b1", 0))
    facts = shop(
        [person("ada", "solder", spans=ALWAYS), person("ben", "solder", spans=ALWAYS)],
        [job("u1", begun, Step("test", 30, "solder")), job("u2", due_slot=0, weight=9)],
    )
    plan = plan_of(facts)
    assert where(plan, "u1") == Placement("u1", "work", "ben", "b1", 0, 8)
    assert where(plan, "u2").technician == "ada"


def test_it_works_around_what_is_fixed_for_later() -> None:
    visit = Step("work", 60, "solder", fixed=Fixed("ada", "b0", 44))
    facts = shop([person("ada", "solder")], [job("visit", visit), job("u1", Step("work", 180, "solder"), due_slot=0)])
    plan = plan_of(facts)
    assert where(plan, "visit").start_slot == 44
    assert where(plan, "u1").start_slot == 48


def test_it_keeps_a_pinned_unit_with_its_technician() -> None:
    people = [person("ada", "solder"), person("ben", "solder")]
    jobs = [job(f"u{n}", due_slot=0, pinned="ada") for n in range(4)]
    assert {row.technician for row in plan_of(shop(people, jobs)).placements} == {"ada"}


def test_it_does_not_begin_before_the_release() -> None:
    plan = plan_of(shop([person("ada", "solder")], [job("u1", release_slot=100)]))
    assert where(plan, "u1").start_slot == 96 + 36


def test_it_puts_comebacks_first() -> None:
    jobs = [job("u1", due_slot=36), job("u2", due_slot=36, weight=4)]
    plan = plan_of(shop([person("ada", "solder")], jobs))
    assert plan.ends == {"u2": 40, "u1": 44}
    assert (plan.value, plan.bound, plan.how) == (4 * 4 + 8, 4 * 4 + 8, How.PROVEN)


def test_it_counts_a_promise_in_the_past() -> None:
    assert plan_of(shop([person("ada", "solder", spans=ALWAYS)], [job("u1", due_slot=-10)])).value == 14


def test_it_plans_what_it_can_and_says_why_not_the_rest() -> None:
    facts = shop(
        [person("ada", "solder")],
        [
            job("fine"),
            job("skill", Step("work", 60, "video")),
            job("bench", Step("work", 60, "solder", frozenset({"oven"}))),
            job("long", Step("work", 60 * 200, "solder")),
            job("pinned", pinned="zoe"),
            job("late", release_slot=5000),
            job("lost", Step("work", 60, "solder", fixed=Fixed("gone", "b0", 0))),
        ],
    )
    plan = plan_of(facts)
    assert set(plan.ends) == {"fine"}
    assert {key: reason.code for key, reason in left_out(plan).items()} == {
        "skill": "nobody_has_skill",
        "bench": "no_such_bench",
        "long": "longer_than_horizon",
        "pinned": "pinned_cannot",
        "late": "begins_after_horizon",
        "lost": "fixed_to_unknown",
    }
    assert left_out(plan)["skill"].facts == {"unit": "SKILL", "skill": "video"}


def test_it_leaves_out_what_does_not_fit_before_the_horizon() -> None:
    jobs = [job(f"u{n}", Step("work", 6 * 60, "solder"), due_slot=0, weight=n + 1) for n in range(3)]
    plan = plan_of(shop([person("ada", "solder", spans=((0, 60),))], jobs, horizon=60))
    assert set(plan.ends) == {"u1", "u2"}
    assert {key: reason.code for key, reason in left_out(plan).items()} == {"u0": "no_room_before_horizon"}


def test_it_plans_nothing_without_technicians_or_jobs() -> None:
    assert left_out(plan_of(shop([], [job("u1")])))["u1"].code == "no_technicians"
    assert plan_of(shop([person("ada", "solder")], [])).placements == ()


def test_it_plans_what_needs_no_technician_where_there_is_none() -> None:
    plan = plan_of(shop([], [job("u1", Step("soak", 60, attended=False))]))
    assert plan.ends == {"u1": 4}


def test_it_shares_work_out_evenly_where_that_costs_nothing() -> None:
    people = [person("ada", "solder"), person("ben", "solder")]
    plan = plan_of(shop(people, [job(f"u{n}", due_slot=900) for n in range(8)]))
    assert plan.unevenness == 0
    assert sorted(sum(row.technician == one.key for row in plan.placements) for one in people) == [4, 4]


def test_it_puts_like_jobs_in_a_row_where_that_costs_nothing() -> None:
    kinds = ["a", "b"] * 4
    jobs = [job(f"u{n}", Step("work", 60, "solder", kind=kind), due_slot=900) for n, kind in enumerate(kinds)]
    plan = assign(shop([person("ada", "solder")], jobs), effort=replace(SHORT, levels=2_000_000))
    row = [kinds[int(placed.job[1:])] for placed in plan.placements]
    assert sum(earlier != later for earlier, later in pairwise(row)) == 1


def test_it_changes_few_hands_where_that_costs_nothing() -> None:
    people = [person("ada", "solder"), person("ben", "solder")]
    before = [Placement(f"u{n}", "work", "ada" if n % 2 else "ben", "b0", 36, 40) for n in range(8)]
    jobs = [job(f"u{n}", due_slot=900, previous=(before[n],)) for n in range(8)]
    plan = assign(shop(people, jobs), effort=replace(SHORT, levels=2_000_000))
    assert {row.job: row.technician for row in plan.placements} == {row.job: row.technician for row in before}


@pytest.mark.parametrize(
    "make",
    [
        lambda: Technician("a", "A", ((4, 2),), {}),
        lambda: Technician("a", "A", ((0, 8), (4, 9)), {}),
        lambda: Technician("a", "A", ((0, 8),), {"solder": 0}),
        lambda: Step("work", 0, "solder"),
        lambda: Step("work", 10),
        lambda: Step("work", 10, "solder", fixed=Fixed(None, "b0", 0)),
        lambda: Fixed("ada", "b0", -1),
        lambda: Job("u", "U", ()),
        lambda: job("u", Step("work", 1, "solder"), Step("work", 1, "solder")),
        lambda: job("u", weight=0),
        lambda: job("u", Step("work", 1, "solder"), Step("test", 1, "solder", fixed=Fixed("ada", "b0", 3))),
        lambda: shop([person("ada"), person("ada")], []),
        lambda: shop([], [], horizon=0),
    ],
)
def test_it_refuses_facts_that_cannot_be(make: object) -> None:
    with pytest.raises(ValueError, match=r"\w"):
        make()  # type: ignore[operator]


def test_it_says_that_the_solver_is_missing_and_still_has_a_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "ortools.sat.python", None)
    facts = shop([person("ada", "solder")], [job("u1", due_slot=0), job("u2", due_slot=0)])
    plan = plan_of(facts)
    assert [note.code for note in plan.notes] == ["solver_missing"]
    assert set(plan.ends) == {"u1", "u2"}


def test_without_the_compiler_the_rules_and_the_solver_still_make_a_plan(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "shop.planning.assigning.improving", None)
    facts = shop([person("ada", "solder")], [job("u1", due_slot=0), job("u2", due_slot=0)])
    plan = plan_of(facts)
    assert [note.code for note in plan.notes] == ["search_missing"]
    assert set(plan.ends) == {"u1", "u2"}
    assert (plan.how, plan.value) == (How.PROVEN, plan.bound)
