"""Why a unit lies where it lies, and what it costs the others when it goes first."""

from dataclasses import replace

from shop.planning.assignment import EFFORTS, assign
from shop.planning.comparing import Moved, compare, cost_of_first
from shop.planning.explaining import explain
from shop.planning.plan_facts import Bench, Fixed, Plan, ShopFacts, Step
from tests.planning.plan_shop import ALWAYS, job, person, shop

RULES, QUICK = EFFORTS["rules"], EFFORTS["quick"]


def codes(facts: ShopFacts, unit: str) -> list[str]:
    return [reason.code for reason in explain(facts, assign(facts, effort=RULES), unit)]


def test_it_says_that_a_unit_waits_for_the_one_with_the_skill() -> None:
    people = [person("ada", "solder", spans=ALWAYS), person("ben", "test", spans=ALWAYS)]
    facts = shop(people, [job("u1", due_slot=0), job("u2", due_slot=50)])
    (reason,) = explain(facts, assign(facts, effort=RULES), "u2")
    assert reason.code == "why_waits_skill"
    assert reason.facts == {"unit": "U2", "skill": "solder", "technician": "Ada", "other": "U1", "slot": 4}


def test_it_says_that_a_unit_waits_for_its_technician() -> None:
    people = [person("ada", "solder", spans=ALWAYS), person("ben", "solder", spans=ALWAYS)]
    facts = shop(people, [job(f"u{n}", due_slot=n, pinned="ada") for n in range(2)])
    (reason,) = explain(facts, assign(facts, effort=RULES), "u1")
    assert (reason.code, reason.facts["other"]) == ("why_waits_technician", "U0")


def test_it_says_that_a_unit_waits_for_a_bench() -> None:
    scope = frozenset({"scope"})
    people = [person("ada", "solder", spans=ALWAYS), person("ben", "solder", spans=ALWAYS)]
    jobs = [job(f"u{n}", Step("work", 60, "solder", scope), due_slot=n) for n in range(2)]
    facts = shop(people, jobs, benches=[Bench("b0", "The scope bench", scope)])
    (reason,) = explain(facts, assign(facts, effort=RULES), "u1")
    assert (reason.code, reason.facts["bench"], reason.facts["other"]) == ("why_waits_bench", "The scope bench", "U0")


def test_it_says_what_else_a_unit_waits_for() -> None:
    always = [person("ada", "solder", spans=ALWAYS)]
    assert codes(shop(always, [job("u1")]), "u1") == ["why_now"]
    assert codes(shop(always, [job("u1", release_slot=9)]), "u1") == ["why_not_before"]
    assert codes(shop([person("ada", "solder")], [job("u1")]), "u1") == ["why_waits_shift"]
    begun = Step("work", 60, "solder", fixed=Fixed("ada", "b0", 0))
    assert codes(shop(always, [job("u1", begun, Step("test", 60, "solder"))]), "u1") == ["why_begun", "why_follows"]
    assert codes(shop(always, [job("u1", Step("work", 60, "video"))]), "u1") == ["nobody_has_skill"]


def test_it_says_that_a_unit_was_left_where_it_was() -> None:
    facts = shop([person("ada", "solder", spans=ALWAYS)], [job("u1")])
    plan = assign(facts, effort=RULES)
    later = Plan(tuple(replace(row, start_slot=8, end_slot=12) for row in plan.placements))
    assert [reason.code for reason in explain(facts, later, "u1")] == ["why_kept"]


def test_it_says_what_going_first_costs_the_others() -> None:
    facts = shop(
        [person("ada", "solder", spans=ALWAYS)],
        [job("u1", due_slot=4), job("u2", due_slot=8), job("u3", due_slot=12)],
    )
    plan = assign(facts, effort=QUICK)
    found = cost_of_first(facts, plan, "u3", lambda changed: assign(changed, effort=QUICK))
    assert plan.value == 0
    assert found.later == (Moved("u1", 4, 8, 0, 4), Moved("u2", 8, 12, 0, 4))
    assert next(row for row in found.moved if row.job == "u3").ends_after == 4


def test_it_compares_loads_by_working_time_and_what_is_left_out() -> None:
    facts = shop(
        [person("ada", "solder"), person("ben", "solder")],
        [job("u1", Step("work", 600, "solder")), job("u2", Step("work", 60, "solder"))],
    )
    plan = assign(facts, effort=RULES)
    fewer = replace(facts, technicians=facts.technicians[:1], jobs=facts.jobs[:1])
    found = compare(facts, plan, assign(fewer, effort=RULES))
    assert sum(before for before, _after in found.loads.values()) == 44
    assert found.loads["ada"][1] + found.loads["ben"][1] == 40
    assert next(row for row in found.moved if row.job == "u2").ends_after is None
