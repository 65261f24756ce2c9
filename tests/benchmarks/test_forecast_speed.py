"""How fast a whole shop is forecast: 300 units with 2,000 runs in a second on one core, twice that with few benches."""

import time
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from datetime import time as clock_time

import numpy as np
import pytest

from shop.planning.promises.estimates import Estimate
from shop.planning.promises.history import Record, learn
from shop.planning.promises.promising import by_day
from shop.planning.promises.simulation import Experience, Mend, Outlook, Release, Task, simulate
from shop.planning.worktime.working_time import Calendar, Hours, spans_between

pytestmark = pytest.mark.benchmark
START = datetime(2026, 3, 10, 8, tzinfo=UTC)
UNTIL = START + timedelta(days=365)
SHIFTS = (Hours(clock_time(9), clock_time(12, 30)), Hours(clock_time(13, 15), clock_time(17, 30)))
CALENDAR = Calendar(UTC, {day: SHIFTS for day in range(5)})
UNITS = 300


def outlook(technicians: int) -> Outlook:
    """Bench, soak, and a test that may fail for each unit; a third waits for parts; a record of 3,000 steps."""
    dice, people = np.random.default_rng(1), [f"t{n}" for n in range(technicians)]
    hour, bench, test = Estimate(45, 60, 120), Estimate(90, 120, 240), Estimate(20, 30, 60)
    records = [
        Record(f"s{n % 6}", f"u{n // 3}", people[n % technicians], hour, 60 * float(np.exp(dice.normal(0.2, 0.3))))
        for n in range(3000)
    ]
    tasks: list[Task] = []
    for n in range(UNITS):
        unit, who, tester = f"n{n}", people[n % technicians], people[(n + 1) % technicians]
        tasks += [
            Task(unit, "bench", who, f"s{n % 6}", bench),
            Task(unit, "soak", None, "soak", Estimate(240, 240, 240)),
            Task(unit, "test", tester, "s2", test, mend=Mend(who, "s3", test)),
        ]
    due = {
        f"n{n}": Release(START + timedelta(days=float(dice.integers(1, 30))), parts=True) for n in range(0, UNITS, 3)
    }
    spans = spans_between(CALENDAR, START, UNTIL)
    seen = Experience(learn(records), 10, 100, (0.0, 1.0, 2.0))
    return Outlook(START, tasks, dict.fromkeys(people, spans), due, seen)


def at_few_benches(wanted: Outlook) -> Outlook:
    """Give every piece one of as many benches as there are people: the soaks make them scarce."""
    benches = len(wanted.working_time)
    return replace(
        wanted, tasks=[replace(task, benches=(f"b{int(task.unit[1:]) * 7 % benches}",)) for task in wanted.tasks]
    )


@pytest.mark.parametrize("technicians", [4, 12])
def test_it_takes_twice_as_long_where_benches_are_waited_for(technicians: int) -> None:
    """The order is by unit, in which nearly every run finds a pause to look at: plans leave fewer."""
    wanted, took = at_few_benches(outlook(technicians)), list[float]()
    for _run in range(5):
        began = time.process_time()
        by_day(simulate(wanted, 2000), CALENDAR, UNTIL)
        took.append(time.process_time() - began)
    print(f"\n{UNITS} units, {technicians} technicians and as many benches, 2,000 runs: processor {min(took):.2f} s")
    assert min(took) < 2.0


@pytest.mark.parametrize("technicians", [4, 12])
def test_three_hundred_units_are_forecast_in_a_second(technicians: int) -> None:
    """The least of five, of the processor's time: the machine is shared, and what others take says nothing of this."""
    wanted, took, wall = outlook(technicians), list[float](), list[float]()
    for _run in range(5):
        began, began_wall = time.process_time(), time.perf_counter()
        dates = by_day(simulate(wanted, 2000), CALENDAR, UNTIL)
        promises = [dates.promise(f"n{n}", 80) for n in range(UNITS)]
        took.append(time.process_time() - began)
        wall.append(time.perf_counter() - began_wall)
    print(
        f"\n{UNITS} units, {technicians} technicians, 2,000 runs: processor {min(took):.2f} s, wall {min(wall):.2f} s; "
        f"last date {max(promise.on for promise in promises)}"
    )
    assert min(took) < 1.0
