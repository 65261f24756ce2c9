"""What the assignment stands on: trials reckon what laying out gives, bounds hold, and checks find what is broken."""

from dataclasses import replace
from itertools import permutations, product

import numpy as np
import pytest

from shop.planning.bounding import bound
from shop.planning.dispatching import dispatched
from shop.planning.exact import Limits, solve_exactly
from shop.planning.improving import Search, improve
from shop.planning.laying import Ground, Layout, lay
from shop.planning.moves import Moves, changed, wanted
from shop.planning.plan_facts import Bench, Goal, Plan, ShopFacts, Step
from shop.planning.plan_tables import NOBODY, tabulate
from shop.planning.trial_runs import values
from shop.planning.trials import Trials
from shop.planning.trying import Trying
from tests.planning.plan_checks import broken_rules
from tests.planning.plan_shop import ALWAYS, any_shop, job, person, shop


def plenty(facts: ShopFacts) -> ShopFacts:
    """Return the facts with so many benches that none is ever waited for, and with nothing fixed."""
    benches = tuple(Bench(f"b{n}", f"B{n}", frozenset({"scope", "lamp"})) for n in range(60))
    jobs = tuple(replace(each, steps=tuple(replace(step, fixed=None) for step in each.steps)) for each in facts.jobs)
    return replace(facts, benches=benches, jobs=jobs)


def grounds() -> list[Ground]:
    shops = [any_shop(seed) for seed in range(6)]
    return [Ground(tabulate(replace(plenty(facts), goal=goal))) for facts in shops for goal in Goal]


def by_rule(ground: Ground) -> Layout:
    return min((layout for _name, layout in dispatched(ground)), key=lambda layout: layout.value)


def test_a_trial_counts_what_laying_out_gives() -> None:
    changes = 0
    for ground in grounds():
        layout = by_rule(ground)
        trying, moves = Trying(ground, layout), Moves(ground, 1)
        moves.look_at(layout)
        batch = moves.draw(150)
        found = values(Trials(ground), trying, batch)
        for row in range(len(batch.task)):
            change = changed(layout.order, layout.who, wanted(batch, row, layout.order), ground)
            if change:
                laid = lay(ground, change.order, change.who).value
                assert found[row] == laid
                assert trying.worth(change, 10**9) == laid
                changes += 1
    assert changes > 500


def test_it_never_makes_an_order_in_which_a_task_comes_before_its_predecessor() -> None:
    for ground in grounds()[:6]:
        trying, moves = Trying(ground, by_rule(ground)), Moves(ground, 2)
        moves.look_at(by_rule(ground))
        batch = moves.draw(200)
        drawn_on = trying.order
        for row in range(len(batch.task)):
            change = changed(trying.order, trying.who, wanted(batch, row, drawn_on), ground)
            if change:
                places = {task: place for place, task in enumerate(change.order)}
                assert all(t.pred == NOBODY or places[t.pred] < places[n] for n, t in enumerate(ground.tasks))
                trying.make(change)


def test_making_changes_one_after_another_keeps_the_value_right() -> None:
    for ground in grounds()[:9]:
        layout = by_rule(ground)
        trying, moves = Trying(ground, layout), Moves(ground, 3)
        moves.look_at(layout)
        batch = moves.draw(60)
        for row in range(len(batch.task)):
            change = changed(trying.order, trying.who, wanted(batch, row, layout.order), ground)
            if change:
                trying.make(change)
                assert trying.value == lay(ground, trying.order, trying.who).value


def small(seed: int, goal: Goal) -> Ground:
    chance = np.random.default_rng(seed)
    people = [person("ada", "solder", "test", spans=ALWAYS), person("ben", speeds={"solder": 150}, spans=ALWAYS)]
    jobs = [
        job(
            f"u{n}",
            Step("work", int(chance.integers(1, 9)) * 15, "solder"),
            *([Step("test", int(chance.integers(1, 5)) * 15, "test")] if n % 2 else []),
            due_slot=int(chance.integers(0, 16)),
            weight=int(chance.integers(1, 4)),
        )
        for n in range(4)
    ]
    return Ground(tabulate(shop(people, jobs, goal=goal)))


def best_of_all(ground: Ground) -> int:
    """Return the least value over every order of the tasks and everybody who can do each."""
    tasks = range(len(ground.tasks))
    orders = [
        order
        for order in permutations(tasks)
        if all(ground.pred[n] == NOBODY or order.index(ground.pred[n]) < order.index(n) for n in tasks)
    ]
    hands = list(product(*(tuple(task.slots) for task in ground.tasks)))
    return min(lay(ground, order, who).value for order in orders for who in hands)


@pytest.mark.parametrize("goal", list(Goal))
@pytest.mark.parametrize("seed", range(3))
def test_bounds_search_and_solver_meet_the_best_of_all_plans(seed: int, goal: Goal) -> None:
    ground = small(seed, goal)
    best, first = best_of_all(ground), by_rule(ground)
    found = improve(ground, first, Search(40, 1, lambda: False))
    assert found.value == best
    assert bound(ground, found, 150, lambda: False) <= best
    exact = solve_exactly(ground, first, Limits(5, 60, 1))
    assert (exact.layout.value, exact.bound) == (best, best)


def test_the_bound_is_close_where_promises_are_tight() -> None:
    """On one technician whose jobs all take one slot, the relaxation of time is exact."""
    jobs = [job(f"u{n}", Step("work", 15, "solder"), due_slot=0, weight=n % 4 + 1) for n in range(12)]
    ground = Ground(tabulate(shop([person("ada", "solder", spans=ALWAYS)], jobs)))
    layout = by_rule(ground)
    assert 0.98 * layout.value <= bound(ground, layout, 400, lambda: False) <= layout.value


def sound() -> tuple[ShopFacts, Plan]:
    from shop.planning.assignment import EFFORTS, assign

    scope = frozenset({"scope"})
    benches = [Bench("plain", "Plain"), Bench("scope", "Scope", scope)]
    steps = Step("work", 60, "solder", scope), Step("soak", 60, attended=False)
    facts = shop([person("ada", "solder"), person("ben", "test")], [job("u1", *steps), job("u2")], benches=benches)
    plan = assign(facts, effort=EFFORTS["rules"])
    assert broken_rules(facts, plan) == []
    return facts, plan


@pytest.mark.parametrize(
    ("job_key", "step", "change"),
    [
        ("u1", "work", {"technician": "ben"}),
        ("u1", "work", {"bench": "plain"}),
        ("u1", "work", {"start_slot": 10, "end_slot": 14}),
        ("u1", "work", {"end_slot": 39}),
        ("u1", "soak", {"start_slot": 30, "end_slot": 34}),
        ("u1", "soak", {"technician": "ada"}),
        ("u1", "soak", {"end_slot": 100}),
        ("u2", "work", {"start_slot": 36, "end_slot": 40, "bench": "scope"}),
        ("u2", "work", {"job": "u9"}),
        ("u2", "work", {"start_slot": 2000, "end_slot": 2004}),
    ],
)
def test_the_checks_find_what_is_broken(job_key: str, step: str, change: dict[str, object]) -> None:
    facts, plan = sound()
    rows = tuple(
        replace(row, **change) if (row.job, row.step) == (job_key, step) else row  # type: ignore[arg-type]
        for row in plan.placements
    )
    assert broken_rules(facts, replace(plan, placements=rows)) != []
