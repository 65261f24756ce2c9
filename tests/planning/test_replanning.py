"""Planning again after one change: what is not concerned stays where it is."""

import random
from dataclasses import replace

import pytest

from shop.planning.assigning.assignment import EFFORTS, assign
from shop.planning.assigning.plan_facts import Job, Plan, ShopFacts, Step
from tests.planning.plan_checks import broken_rules
from tests.planning.plan_shop import DAYS, job, person, shop

QUICK = EFFORTS["quick"]
HALF_DAY = 16


def busy_shop(seed: int = 1) -> ShopFacts:
    """Return three technicians with five days of work and promises that cannot all be kept."""
    chance = random.Random(seed)
    people = [person("ada", "solder", "test"), person("ben", "solder"), person("cleo", "solder", "test")]
    jobs = [
        job(
            f"u{n}",
            Step("work", chance.randint(4, 12) * 15, "solder"),
            Step("test", chance.randint(1, 4) * 15, "test"),
            due_slot=chance.randint(0, 4) * 96 + 68,
            weight=chance.choice((1, 1, 3)),
        )
        for n in range(30)
    ]
    return shop(people, jobs)


def planned(facts: ShopFacts) -> ShopFacts:
    """Return the facts with a plan of them as the plan before."""
    plan = assign(facts, effort=replace(EFFORTS["usual"], work=3_000_000, levels=200_000, prices=10))
    return replace(facts, jobs=tuple(_with_previous(each, plan) for each in facts.jobs))


def _with_previous(each: Job, plan: Plan) -> Job:
    return replace(each, previous=tuple(row for row in plan.placements if row.job == each.key))


def moved(facts: ShopFacts, plan: Plan) -> set[str]:
    """Return the jobs that changed hands or begin more than half a working day away from where they were."""
    was = {(row.job, row.step): row for each in facts.jobs for row in each.previous}
    found = set()
    for row in plan.placements:
        old = was.get((row.job, row.step))
        if old and (old.technician != row.technician or _apart(old.start_slot, row.start_slot) > HALF_DAY):
            found.add(row.job)
    return found


def _apart(one: int, other: int) -> int:
    low, high = sorted((one, other))
    return sum(max(0, min(until, high) - max(begin, low)) for begin, until in DAYS)


def replanned(facts: ShopFacts) -> Plan:
    plan = assign(facts, effort=QUICK)
    assert broken_rules(facts, plan) == []
    return plan


@pytest.mark.parametrize("seed", range(3))
def test_it_moves_at_most_a_tenth_of_the_others_for_a_new_unit(seed: int) -> None:
    facts = planned(busy_shop(seed))
    new = job("new", Step("work", 240, "solder"), Step("test", 60, "test"), due_slot=68, weight=5)
    with_new = replace(facts, jobs=(*facts.jobs, new))
    plan = replanned(with_new)
    assert len(moved(with_new, plan)) <= 3
    assert "new" in plan.ends


def test_it_moves_at_most_a_tenth_of_the_others_on_a_sick_day() -> None:
    facts = planned(busy_shop())
    ada, *others = facts.technicians
    away = replace(facts, technicians=(replace(ada, spans=DAYS[1:]), *others))
    concerned = {
        row.job for each in facts.jobs for row in each.previous if row.technician == "ada" and row.start_slot < 96
    }
    plan = replanned(away)
    assert concerned
    assert not any(row.technician == "ada" and row.start_slot < 96 for row in plan.placements)
    assert len(moved(away, plan) - concerned) <= (30 - len(concerned)) // 10


def test_it_moves_nearly_nothing_when_a_unit_is_gone() -> None:
    facts = planned(busy_shop())
    rest = replace(facts, jobs=facts.jobs[1:])
    assert len(moved(rest, replanned(rest))) <= 2


def test_it_is_no_worse_than_the_plan_before_when_nothing_changed() -> None:
    facts = planned(busy_shop())
    before = assign(busy_shop(), effort=replace(EFFORTS["usual"], work=3_000_000, levels=200_000, prices=10))
    plan = replanned(facts)
    assert plan.value <= before.value
    assert len(moved(facts, plan)) <= 3


def test_an_urgent_new_unit_does_not_wait_behind_everything() -> None:
    facts = planned(busy_shop())
    new = job("new", Step("work", 60, "solder"), due_slot=40, weight=50)
    plan = replanned(replace(facts, jobs=(*facts.jobs, new)))
    assert plan.ends["new"] <= 68


def test_it_gives_the_same_plan_again() -> None:
    facts = planned(busy_shop())
    new = replace(facts, jobs=(*facts.jobs, job("new", due_slot=40)))
    assert replanned(new) == replanned(new)


def test_who_could_be_helped_by_nobody_stays_where_they_are() -> None:
    """Without promises another technician makes nothing less late: no unit is set moving, and none ends later."""
    people = [person("ada", "solder", "test"), person("ben", "solder")]
    jobs = [job(f"u{n}", Step("work", 90, "solder"), Step("test", 30, "test"), due_slot=None) for n in range(6)]
    before = planned(shop(people, jobs))
    plan = replanned(replace(before, technicians=(*before.technicians, person("cleo", "solder", "test"))))
    was = {(row.job, row.step): row for each in before.jobs for row in each.previous}
    assert moved(before, plan) == set()
    for row in plan.placements:
        old = was[row.job, row.step]
        assert (row.technician, row.end_slot <= old.end_slot) == (old.technician, True)


def test_of_plans_that_are_equal_the_one_is_taken_in_which_jobs_end_sooner() -> None:
    people = [person("ada", "solder")]
    jobs = [job(f"u{n}", Step("work", 60 if n else 240, "solder"), due_slot=900) for n in range(4)]
    plan = assign(shop(people, jobs), effort=replace(EFFORTS["usual"], work=1_000_000, levels=1_000_000, exact=0.05))
    assert plan.placements[-1].job == "u0"
