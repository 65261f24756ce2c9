"""Small shops and random ones for tests of the assignment."""

import random
from collections.abc import Mapping, Sequence

from shop.planning.assigning.plan_facts import Bench, Fixed, Goal, Job, ShopFacts, Span, Step, Technician

# Ten working days of eight hours from 9:00, in quarter hours; the plan begins at midnight.
DAYS = tuple((day * 96 + 36, day * 96 + 68) for day in range(10))
ALWAYS = ((0, 960),)
HORIZON = 960


def person(
    name: str, *skills: str, spans: Sequence[Span] = DAYS, speeds: Mapping[str, int] | None = None
) -> Technician:
    return Technician(name, name.title(), tuple(spans), speeds or dict.fromkeys(skills, 100))


def job(key: str, *steps: Step, **fields: object) -> Job:
    return Job(key, key.upper(), steps or (Step("work", 60, "solder"),), **fields)  # type: ignore[arg-type]


def shop(
    technicians: Sequence[Technician],
    jobs: Sequence[Job],
    *,
    benches: int | Sequence[Bench] = 6,
    horizon: int = HORIZON,
    goal: Goal = Goal.LATENESS,
) -> ShopFacts:
    there = [Bench(f"b{one}", f"Bench {one}") for one in range(benches)] if isinstance(benches, int) else benches
    return ShopFacts(tuple(technicians), tuple(there), tuple(jobs), horizon, goal=goal)


def any_shop(seed: int, units: int = 10, people: int = 3) -> ShopFacts:
    """Return a shop with something of everything: nights, speeds, soaks, few benches, fixed work, pins, releases."""
    chance = random.Random(seed)
    skills = ["solder", "test", "video"]
    spans = DAYS if chance.random() < 0.7 else ALWAYS
    technicians = []
    for one in range(people):
        can = chance.sample(skills, 2) if one else skills
        technicians.append(
            Technician(f"t{one}", f"T{one}", spans, {skill: chance.choice((80, 100, 150)) for skill in can})
        )
    equipment = [frozenset({"scope"}), frozenset(), frozenset({"scope", "lamp"}), frozenset()]
    benches = [Bench(f"b{n}", f"B{n}", equipment[n % 4]) for n in range(chance.choice((2, 3, 30)))]
    jobs = [_any_job(f"u{n}", chance, skills, n) for n in range(units)]
    return shop(technicians, jobs, benches=benches)


def _any_job(key: str, chance: random.Random, skills: Sequence[str], number: int) -> Job:
    steps = [Step("work", chance.randint(1, 16) * 15, chance.choice(skills), kind=chance.choice(("", "a", "b")))]
    if chance.random() < 0.3:
        steps.append(Step("soak", chance.randint(4, 50) * 15, attended=False))
    if chance.random() < 0.8:
        scope = frozenset({"scope"}) if chance.random() < 0.5 else frozenset[str]()
        steps.append(Step("test", chance.randint(1, 8) * 15, chance.choice(skills), scope))
    if chance.random() < 0.1:
        steps.insert(0, Step("rest", 45, attended=False))
    elif number < 2 and chance.random() < 0.5:
        fixed = Fixed("t0", f"b{number}", chance.choice((0, 0, 40, 140)))
        steps[0] = Step(steps[0].key, steps[0].minutes, "solder", kind=steps[0].kind, fixed=fixed)
    return Job(
        key,
        key.upper(),
        tuple(steps),
        release_slot=chance.choice((0, 0, 0, 50, 120)),
        due_slot=chance.choice((None, -40, 60, 160, 260, 360)),
        weight=chance.choice((1, 1, 2, 5)),
        pinned=chance.choice((None, None, None, "t0", "t1")),
    )
