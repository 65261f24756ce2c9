"""Job-shop instances in the usual text form, as shops: each machine is a technician with a skill of its own."""

from pathlib import Path

from shop.planning.assigning.plan_facts import Bench, Goal, Job, ShopFacts, Step, Technician

Row = list[tuple[int, int]]


def read(path: Path) -> list[Row]:
    """Return by job its (machine, duration) pairs in order.

    Lines that begin with # are left out, and so is a first line that only gives the two sizes.
    """
    lines = [line.split() for line in path.read_text().splitlines() if line.strip() and not line.startswith("#")]
    if len(lines[0]) == 2 and len(lines) > 1 and len(lines[1]) > 2:
        lines = lines[1:]
    numbers = [[int(word) for word in line] for line in lines]
    return [list(zip(line[::2], line[1::2], strict=True)) for line in numbers]


def as_shop(rows: list[Row]) -> ShopFacts:
    """Return the instance as facts: a slot is one unit of time, benches are plenty, everything done is the goal."""
    horizon = sum(length for row in rows for _machine, length in row)
    machines = sorted({machine for row in rows for machine, _length in row})
    people = tuple(Technician(f"m{one}", f"M{one}", ((0, horizon),), {f"m{one}": 100}) for one in machines)
    benches = tuple(Bench(f"b{one}", f"B{one}") for one in machines)
    jobs = tuple(
        Job(f"j{number}", f"J{number}", tuple(Step(f"s{place}", length, f"m{machine}")
            for place, (machine, length) in enumerate(row)))
        for number, row in enumerate(rows)
    )  # fmt: skip
    return ShopFacts(people, benches, jobs, horizon, slot_minutes=1, goal=Goal.LAST_END)
