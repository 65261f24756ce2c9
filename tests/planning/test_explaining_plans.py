"""Why a unit lies where it lies."""

from dataclasses import replace

from shop.planning.assigning.assignment import EFFORTS, assign
from shop.planning.assigning.explaining import explain
from shop.planning.assigning.plan_facts import Bench, Fixed, Plan, ShopFacts, Step
from tests.planning.plan_shop import ALWAYS, job, person, shop

RULES = EFFORTS["rules"]


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
