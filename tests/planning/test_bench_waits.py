"""Dates where benches are scarce: closed forms, and shops played out event by event."""

import random
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import timedelta

import numpy as np
import pytest

from shop.planning.promises.bench_waits import Alone, Attended, Benches
from shop.planning.promises.desks import Desk
from shop.planning.promises.durations import Durations
from shop.planning.promises.estimates import Estimate
from shop.planning.promises.history import Numbers
from shop.planning.promises.simulation import Finishes, Outlook, Release, Task, simulate
from shop.planning.queues.queueing import markov_line
from shop.planning.worktime.working_time import Span
from tests.planning.event_simulator import Crew, Events, Process, Work
from tests.planning.test_simulation import NOTHING_KNOWN, SPANS, START, hours, outlook, task

ALWAYS = [Span(START, START + timedelta(days=300))]
RUNS = 100


def at(bench: str, *args: str | Estimate | None) -> Task:
    return replace(task(*args), benches=(bench,))  # type: ignore[arg-type]


def always(*tasks: Task, **more: object) -> Outlook:
    seen = outlook(*tasks, **more)  # type: ignore[arg-type]
    return replace(seen, working_time={name: ALWAYS for name in ("Mara", "Ivo")})


def test_two_who_share_one_bench_are_one_server() -> None:
    """With times that are known, all end at the sum of the times; each with a bench at hand ends at its own sum."""
    tasks = [task(f"{n}", technician=("Mara", "Ivo")[n % 2]) for n in range(8)]
    shared = simulate(always(*(replace(each, benches=("one",)) for each in tasks)))
    assert [hours(shared, f"{n}") for n in range(8)] == pytest.approx([n + 1 for n in range(8)], rel=0.02)
    apart = simulate(always(*tasks))
    assert [hours(apart, f"{n}") for n in range(8)] == pytest.approx([n // 2 + 1 for n in range(8)], rel=0.02)


def test_where_everybody_has_a_bench_nothing_changes() -> None:
    """Late parts, breaks and all: the finishes are equal to the last bit."""
    dice = random.Random(3)
    people = [dice.choice(("Mara", "Ivo")) for _n in range(40)]
    tasks = [task(f"{n}", technician=who, estimate=Estimate(20, 90, 200)) for n, who in enumerate(people)]
    due = {f"{n}": Release(START + timedelta(days=n % 5), parts=True) for n in range(0, 40, 3)}
    own = [replace(each, benches=(f"of {each.technician}",)) for each in tasks]
    before, after = (
        simulate(outlook(*each, experience=NOTHING_KNOWN, releases=due), 200).minutes for each in (tasks, own)
    )
    assert all(np.array_equal(before[unit], after[unit]) for unit in before)


def test_work_holds_its_bench_over_the_night() -> None:
    """Mara begins her last hour of ten at the end of Tuesday; Ivo, who works always, has the bench after that."""
    long, short = Estimate(540, 540, 540), Estimate(60, 60, 60)
    seen = outlook(at("one", "a", "bench", "Mara", long), at("one", "b", "bench", "Ivo", short))
    done = simulate(replace(seen, working_time={"Mara": SPANS, "Ivo": ALWAYS}))
    # 540 minutes from nine: 465 on the first day, so until a quarter past ten on the second.
    assert hours(done, "a") == pytest.approx(25.25, abs=0.3)
    assert hours(done, "b") == pytest.approx(26.25, abs=0.3)


def test_a_soak_holds_its_bench_and_another_waits_for_it() -> None:
    soaks = [Task(unit, "soak", None, "soak", Estimate(240, 240, 240), benches=("one",)) for unit in "ab"]
    done = simulate(always(*soaks, at("one", "c")))
    assert [hours(done, unit) for unit in "abc"] == pytest.approx([4, 8, 9], abs=0.1)


def test_a_bench_does_not_stand_empty_for_a_unit_that_waits_for_its_parts() -> None:
    """What is done before goes first, and what would be half done; what would hardly be begun waits."""
    due = {"a": Release(START + timedelta(hours=10))}
    first = at("one", "a", "bench", "Mara", Estimate(300, 300, 300))
    # Mara may have begun something else when her parts come: the first ends after 15 hours and up to 5 later.
    for minutes, earliest, latest in ((300, 4.5, 5.5), (660, 10, 12), (2400, 54, 61)):
        other = at("one", "b", "bench", "Ivo", Estimate(minutes, minutes, minutes))
        done = simulate(always(first, other, releases=due))
        assert earliest < hours(done, "b") < latest


def test_what_goes_first_moves_what_follows_at_the_bench() -> None:
    """Ten hours before a unit that is there after eight, then one of an hour: the bench is at work for 2 + 10 + 1."""
    due = {"a": Release(START + timedelta(hours=8))}
    first = Task("a", "soak", None, "soak", Estimate(120, 120, 120), benches=("one",))
    ten = at("one", "b", "bench", "Ivo", Estimate(600, 600, 600))
    done = simulate(always(first, ten, at("one", "c"), releases=due))
    assert hours(done, "b") == pytest.approx(10, abs=0.3)
    assert hours(done, "c") == pytest.approx(13, abs=0.3)


def test_without_a_bench_of_its_own_it_takes_the_first_that_frees_up() -> None:
    benches = Benches(["one", "two", "three"], 2)
    rows = np.arange(2)
    for bench, minutes in (("one", [60.0, 20.0]), ("two", [30.0, 40.0])):
        benches.put([bench], np.zeros(2), rows, Alone(np.array(minutes)))
    assert benches.put(["one", "two"], np.zeros(2), rows, Alone(np.full(2, 5.0))).tolist() == [35, 25]
    assert benches.put(["one", "two", "three"], np.zeros(2), rows, Alone(np.full(2, 5.0))).tolist() == [5, 5]


def test_where_work_never_ends_the_bench_is_not_held() -> None:
    desk, rows, none = Desk([], 1), np.arange(1), np.zeros(1)
    benches = Benches(["one"], 1)
    for _piece in range(2):
        assert benches.put(["one"], none, rows, Attended(desk, none, none + 5, rows, none, none)).tolist() == [np.inf]
    assert benches.put(["one"], none, rows, Alone(np.array([5.0]))).tolist() == [5]


def test_two_with_one_bench_wait_like_the_markov_line() -> None:
    """600 runs of 400 units for either at random, load 0.6, the last 200: M/M/1 within 4 standard errors."""
    dice, runs = np.random.default_rng(5), 600
    desks = [Desk([(0, 1e6)], runs) for _one in range(2)]
    benches, came, rows, none = Benches(["one"], runs), np.zeros(runs), np.arange(runs), np.zeros(runs)
    waits = []
    for number in range(400):
        came = came + dice.exponential(1 / 0.6, runs)
        minutes = dice.exponential(1, runs)
        piece = Attended(desks[number % 2], came, minutes, rows, none, none)
        waits.append(benches.put(["one"], came, rows, piece) - came - minutes)
    means = np.mean(waits[200:], axis=0)
    error = float(means.std(ddof=1)) / runs**0.5
    assert float(means.mean()) == pytest.approx(markov_line(0.6, 1).wait, abs=4 * error)
    assert error < 0.05 * markov_line(0.6, 1).wait


def test_in_the_event_simulator_two_crews_with_one_bench_are_lindleys_recursion() -> None:
    """In the order of coming, each begins when the one before is done: by hand, unit by unit."""
    dice, events, crews, bench = np.random.default_rng(2), Events(), [Crew(1), Crew(1)], Crew(1)
    comes, minutes = np.cumsum(dice.exponential(1 / 0.6, 500)), dice.exponential(1, 500)
    begins: dict[int, float | None] = {}

    def unit(number: int) -> Process:
        begins[number] = yield Work(crews[number % 2], lambda: float(minutes[number]), bench=bench)

    for number, moment in enumerate(comes):
        events.start(unit(number), float(moment))
    events.run(1e6)
    free = 0.0
    for number, moment in enumerate(comes):
        free = max(free, float(moment))
        assert begins[number] == pytest.approx(free)
        free += float(minutes[number])


def any_tasks(seed: int, units: int, people: int, benches: int, *, soaks: bool) -> list[Task]:
    """Return work by anybody at any bench, every fourth unit with a soak and a test after it."""
    chance, tasks = random.Random(seed), list[Task]()
    for number in range(units):
        minutes, who, bench = chance.choice((30, 60, 90, 240)), chance.randrange(people), chance.randrange(benches)
        work = Task(f"u{number}", "work", f"t{who}", "recap", Estimate(0.75 * minutes, minutes, 2 * minutes))
        tasks.append(replace(work, benches=(f"b{bench}",)))
        if soaks and number % 4 == 0:
            soak = Task(f"u{number}", "soak", None, "soak", Estimate(240, 240, 240), benches=(f"b{bench}",))
            after = Task(f"u{number}", "test", f"t{number % people}", "test", Estimate(20, 30, 60))
            tasks += [soak, replace(after, benches=(f"b{(bench + 1) % benches}",))]
    return tasks


def played(tasks: Sequence[Task], minutes: Callable[[int], float]) -> tuple[dict[str, float], list[float]]:
    """Play tasks out event by event, in their order: return when each unit ends and each task begins."""
    events, begins, ends = Events(), [0.0] * len(tasks), dict[str, float]()
    crews = {each.technician: Crew(1 if each.technician else len(tasks)) for each in tasks}
    benches = {bench: Crew(1) for each in tasks for bench in each.benches}

    def unit(name: str) -> Process:
        for place, each in enumerate(tasks):
            if each.unit == name:
                takes = lambda place=place: minutes(place)  # noqa: E731
                begins[place] = (yield Work(crews[each.technician], takes, place, benches[each.benches[0]])) or 0.0
        ends[name] = events.now

    for name in dict.fromkeys(each.unit for each in tasks):
        events.start(unit(name))
    events.run(1e9)
    return ends, begins


def drawn(tasks: Sequence[Task]) -> list[Numbers]:
    """Draw what the simulation draws: the same minutes, to be played out in another way."""
    dice, rows = Durations(NOTHING_KNOWN.history, RUNS, 0), np.arange(RUNS)
    return [
        dice.unattended(each.estimate, step=each.step, unit=each.unit)
        if each.technician is None
        else dice.hands_on(
            each.estimate, step=each.step, unit=each.unit, service=each.service, technician=each.technician, rows=rows
        )
        for each in tasks
    ]


def mean_end(finishes: Finishes) -> float:
    return float(np.mean([minutes.mean() for minutes in finishes.minutes.values()]))


@pytest.mark.parametrize("soaks", [False, True])
@pytest.mark.parametrize(("units", "people", "benches"), [(20, 2, 1), (30, 3, 2), (60, 4, 3)])
def test_it_agrees_with_shops_played_out_event_by_event(units: int, people: int, benches: int, soaks: bool) -> None:
    """The order is that in which a playing with likely times begins the work, as a plan's is."""
    tasks = any_tasks(units, units, people, benches, soaks=soaks)
    _ends, begins = played(tasks, lambda place: tasks[place].estimate.likely_min)
    tasks = [tasks[place] for place in sorted(range(len(tasks)), key=lambda place: (begins[place], place))]
    minutes = drawn(tasks)
    runs = [played(tasks, lambda place, run=run: float(minutes[place][run]))[0] for run in range(RUNS)]  # type: ignore[misc]
    true = float(np.mean([list(ends.values()) for ends in runs]))
    time = dict.fromkeys((f"t{n}" for n in range(people)), ALWAYS)
    scarce = Outlook(START, tasks, time, {}, NOTHING_KNOWN)
    plenty = replace(scarce, tasks=[replace(each, benches=()) for each in tasks])
    assert 0.98 * true < mean_end(simulate(scarce, RUNS)) < 1.18 * true
    assert mean_end(simulate(plenty, RUNS)) < 0.85 * true
