"""Seeded shops whose promises are tight and whose technicians can stand in for each other in part.

Promises are drawn as is usual for such trials: with all work shared out evenly over the technicians, a share (the
tardiness factor) of them lies before it could be done, spread over a range of the whole.
"""

import random
from dataclasses import dataclass
from itertools import product

from shop.planning.assigning.plan_facts import Bench, Job, ShopFacts, Step, Technician

FACTORS, RANGES = (0.4, 0.6, 0.8), (0.4, 0.6)
SKILLS = tuple(f"skill {number}" for number in range(10))
DAY = 32


@dataclass(frozen=True, slots=True)
class Tight:
    """One shop to draw: its size, the tardiness factor, the range of promises, a seed, and whether there are nights."""

    units: int
    people: int
    factor: float
    spread: float
    seed: int
    nights: bool = False


def every(units: int, people: int, seed: int) -> list[Tight]:
    """Return a shop for each factor and range."""
    return [Tight(units, people, factor, spread, seed) for factor, spread in product(FACTORS, RANGES)]


def draw(tight: Tight) -> ShopFacts:
    """Return the facts: each unit has bench work of 1 to 4 hours, then testing of 15 to 90 minutes."""
    chance = random.Random(f"{tight}")
    work = [(chance.randint(4, 16), chance.randint(1, 6)) for _ in range(tight.units)]
    even = sum(map(sum, work)) / tight.people
    days = int(3 * even / DAY) + 6
    spans = tuple((day * 96 + 36, day * 96 + 36 + DAY) for day in range(days)) if tight.nights else ((0, days * DAY),)
    jobs = [_job(f"u{number}", lengths, even, tight, chance) for number, lengths in enumerate(work)]
    benches = tuple(Bench(f"b{number}", f"B{number}") for number in range(tight.people))
    return ShopFacts(_people(tight, spans, chance), benches, tuple(jobs), spans[-1][1] + 1)


def _people(tight: Tight, spans: tuple[tuple[int, int], ...], chance: random.Random) -> tuple[Technician, ...]:
    """Everybody has six of the ten skills, each skill somebody."""
    while True:
        skills = [sorted(chance.sample(SKILLS, 6)) for _ in range(tight.people)]
        if {skill for own in skills for skill in own} == set(SKILLS):
            return tuple(
                Technician(f"t{one}", f"T{one}", spans, {skill: chance.choice((80, 100, 100, 125)) for skill in own})
                for one, own in enumerate(skills)
            )


def _job(key: str, lengths: tuple[int, int], even: float, tight: Tight, chance: random.Random) -> Job:
    low, high = even * (1 - tight.factor - tight.spread / 2), even * (1 - tight.factor + tight.spread / 2)
    due = max(sum(lengths), round(chance.uniform(low, high)))
    if tight.nights:
        due = due // DAY * 96 + 36 + due % DAY
    bench, test = lengths
    steps = Step("work", bench * 15, chance.choice(SKILLS)), Step("test", test * 15, chance.choice(SKILLS))
    return Job(key, key.upper(), steps, due_slot=due, weight=chance.choice((1, 1, 1, 2, 3)))
