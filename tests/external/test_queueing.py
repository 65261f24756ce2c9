"""Waiting lines against published figures (catalogue section 9), a simulator of our own, and `ciw`."""

import csv
import math
from collections.abc import Callable, Sequence
from pathlib import Path

import ciw
import numpy as np
import pytest

from shop.planning.queues.queueing import (
    allen_cunneen_wait,
    erlang_b,
    erlang_c,
    finite_source_line,
    general_service_line,
    kingman_wait,
    little_time_there,
    longer_wait,
    markov_line,
    sakasegawa_wait,
    time_there_percentile,
    wait_percentile,
    with_breakdowns,
)
from tests.planning.event_simulator import Crew, Events, Process, Wait, Work

GRID = list(csv.DictReader((Path(__file__).parent / "data" / "erlang.csv").read_text().splitlines()))


def test_it_gives_the_county_hospital_with_one_doctor() -> None:
    """QU-01: Hillier and Lieberman, 2 arrivals and 3 treatments an hour; from memory and recomputed."""
    line = markov_line(2, 3)
    figures = (line.idle, line.present, line.waiting, line.time_there, line.wait)
    assert figures == pytest.approx((1 / 3, 2, 4 / 3, 1, 2 / 3), abs=1e-12)


def test_it_gives_the_county_hospital_with_two_doctors() -> None:
    """QU-02: the same. P0 and L also in Render et al., example 14.3 (read), with 20 and 30 an hour."""
    line = markov_line(2, 3, 2)
    figures = (line.idle, line.present, line.waiting, line.time_there, line.wait)
    assert figures == pytest.approx((1 / 2, 3 / 4, 1 / 12, 3 / 8, 1 / 24), abs=1e-12)
    ten_times = markov_line(20, 30, 2)
    assert (ten_times.idle, ten_times.present) == pytest.approx((0.5, 0.75), abs=1e-12)


@pytest.mark.parametrize(
    ("agents", "delayed_percent", "in_time_percent"),
    [(11, 68.21, 39.0), (12, 44.94, 64.0), (13, 28.53, 79.6), (14, 17.41, 88.8)],
)
def test_it_gives_a_published_call_centre(agents: int, delayed_percent: float, in_time_percent: float) -> None:
    """QU-04 and QU-05: Call Centre Helper's worked example, 10 erlangs, 180 s a call, answered within 20 s.

    Inputs read; results at second hand and recomputed.
    """
    assert 100 * erlang_c(agents, 10) == pytest.approx(delayed_percent, abs=0.005)
    in_time = 100 * (1 - longer_wait(10 / 180, 1 / 180, agents, 20))
    assert in_time == pytest.approx(in_time_percent, abs=0.05)


def test_it_gives_the_call_centres_answer_time_and_occupancy() -> None:
    """QU-05: with 14 agents 7.8 s and 71.4 %. pyworkforce 0.5.1 gives 0.174132 delayed and 0.888350 in time."""
    line = markov_line(10 / 180, 1 / 180, 14)
    assert line.wait == pytest.approx(7.8, abs=0.05)
    assert 100 * line.utilisation == pytest.approx(71.4, abs=0.05)
    assert line.delayed == pytest.approx(0.174132, abs=1e-6)
    assert 1 - longer_wait(10 / 180, 1 / 180, 14, 20) == pytest.approx(0.888350, abs=1e-6)


@pytest.mark.parametrize(("servers", "load"), [(10, 4.4612), (5, 1.3608), (3, 0.4555)])
def test_it_gives_the_traffic_table_for_one_percent(servers: int, load: float) -> None:
    """QU-08: the classical table of Erlang B; from memory and recomputed."""
    assert erlang_b(servers, load) == pytest.approx(0.01, abs=1e-5)


@pytest.mark.parametrize("row", GRID, ids=lambda row: f"{row['servers_c']} x {row['rho']}")
def test_it_gives_the_grid_of_erlangs_formulas(row: dict[str, str]) -> None:
    """QU-09: 110 rows by exact fractions, catalogue's data/erlang.csv."""
    servers, load = int(row["servers_c"]), float(row["offered_load_a"])
    assert erlang_b(servers, load) == pytest.approx(float(row["erlang_B"]), abs=1e-8)
    assert erlang_c(servers, load) == pytest.approx(float(row["erlang_C"]), abs=1e-8)
    assert markov_line(load, 1, servers).waiting == pytest.approx(float(row["Lq"]), abs=2e-8)


def test_a_percentile_of_the_wait_is_exceeded_as_often_as_it_says() -> None:
    """QU-10: P(W > t) = C·e^(−(cμ−λ)t), by hand for 2 servers, 2 and 3 an hour, where C is 1/6."""
    assert longer_wait(2, 3, 2, 0.5) == pytest.approx(math.exp(-2) / 6, abs=1e-9)
    limit = wait_percentile(2, 3, 2, 95)
    assert longer_wait(2, 3, 2, limit) == pytest.approx(0.05, abs=1e-9)
    assert wait_percentile(2, 3, 2, 80) == 0


def test_it_gives_the_time_in_one_line_that_ninety_five_percent_keep() -> None:
    """QU-11: −ln 0.05 times the mean."""
    assert time_there_percentile(2, 3, 95) == pytest.approx(2.995732, abs=1e-6)


def test_a_steady_service_halves_the_line() -> None:
    """QU-12: Pollaczek and Khinchine at a load of 0.8: 1.6 waiting with one fixed time, 3.2 with exponential ones."""
    assert general_service_line(0.8, 1, 0).waiting == pytest.approx(1.6, abs=1e-12)
    assert general_service_line(0.8, 1, 1).waiting == pytest.approx(3.2, abs=1e-12)
    assert markov_line(0.8, 1).waiting == pytest.approx(3.2, abs=1e-12)


@pytest.mark.parametrize(("service_cv2", "minutes"), [(6.25, 1667.5), (1.0, 460.0)])
def test_long_breakdowns_make_a_long_line(service_cv2: float, minutes: float) -> None:
    """QU-13: Hopp and Spearman, chapter 8, two machines of 20 min at 95.83 %; from memory and recomputed."""
    assert kingman_wait(0.9583333333, 20, 1, service_cv2) == pytest.approx(minutes, abs=0.1)


@pytest.mark.parametrize(("to_fail_h", "to_repair_h", "service_cv2"), [(12.4, 4.133333, 6.25), (1.9, 0.633333, 1.0)])
def test_it_gives_both_machines_with_their_breakdowns(to_fail_h: float, to_repair_h: float, service_cv2: float) -> None:
    """QU-14: the same source: 15 min, c0² 0.05, down a quarter of the time in long or in short spells."""
    broken = with_breakdowns(15, 0.05, 60 * to_fail_h, 60 * to_repair_h)
    assert (broken.availability, broken.service_time) == pytest.approx((0.75, 20), abs=1e-3)
    assert broken.service_cv2 == pytest.approx(service_cv2, abs=1e-3)


def test_it_gives_the_approximations_for_three_servers() -> None:
    """QU-15 and QU-16: three at 0.9: 2.74925 by Sakasegawa, exactly 2.72354; 1.70221 where service varies by a quarter.

    Computed from the formulas.
    """
    assert sakasegawa_wait(0.9, 1, 3) == pytest.approx(2.74925, abs=1e-5)
    assert markov_line(2.7, 1, 3).wait == pytest.approx(2.72354, abs=1e-5)
    assert allen_cunneen_wait(0.9, 1, 3, 1, 0.25) == pytest.approx(1.70221, abs=1e-5)


def test_it_gives_littles_four_days() -> None:
    """QU-18: 20 in work and 5 a day stay 4 days."""
    assert little_time_there(20, 5) == 4


# --- the simulator of the shops, on lines whose figures are known -----------------------------------------------------


def waits_in_line(seed: int, servers: int, rate: float, service: Callable[[np.random.Generator], float]) -> list[float]:
    """The waits of some 8,000 customers after 1,000 to fill the line, by the event simulator."""
    dice, events, crew = np.random.default_rng(seed), Events(), Crew(servers)
    waits: list[float] = []

    def customer() -> Process:
        came = events.now
        began = yield Work(crew, lambda: service(dice))
        assert began is not None
        waits.append(began - came)

    def coming() -> Process:
        while True:
            yield Wait(float(dice.exponential(1 / rate)))
            events.start(customer(), events.now)

    events.start(coming())
    events.run(9_000 / rate)
    return waits[1000:]


def within(values: Sequence[float], expected: float) -> None:
    """Hold the mean of independent runs against what is expected, at 99.9 % (Student, two-sided, 9 degrees)."""
    assert len(values) == 10
    half = 4.781 * float(np.std(values, ddof=1)) / math.sqrt(10)
    assert abs(float(np.mean(values)) - expected) < half
    assert half < 0.25 * expected


def exponential(dice: np.random.Generator) -> float:
    return float(dice.exponential())


def always(dice: np.random.Generator) -> float:
    return 1.0


@pytest.mark.parametrize(("servers", "use"), [(1, 0.7), (2, 0.75), (4, 0.75)])
def test_the_simulator_reproduces_erlang_c_and_the_markov_line(servers: int, use: float) -> None:
    runs = [waits_in_line(seed, servers, servers * use, exponential) for seed in range(10)]
    line = markov_line(servers * use, 1, servers)
    within([float(np.mean(waits)) for waits in runs], line.wait)
    within([float(np.mean(np.array(waits) > 1e-9)) for waits in runs], line.delayed)
    late = [float(np.mean(np.array(waits) > line.wait)) for waits in runs]
    within(late, longer_wait(servers * use, 1, servers, line.wait))


def test_the_simulator_reproduces_a_fixed_service_time() -> None:
    runs = [waits_in_line(100 + seed, 1, 0.8, always) for seed in range(10)]
    within([float(np.mean(waits)) for waits in runs], general_service_line(0.8, 1, 0).wait)


def down_on_average(seed: int, machines: int, rate: float, servers: int) -> tuple[float, float]:
    """The machines that are down and those that wait, on average over a long time."""
    dice, events, crew = np.random.default_rng(seed), Events(), Crew(servers)
    down, waiting, until = [0.0], [0.0], 5_000.0

    def machine() -> Process:
        while True:
            yield Wait(float(dice.exponential(1 / rate)))
            failed, began = events.now, (yield Work(crew, lambda: float(dice.exponential())))
            assert began is not None
            down[0] += events.now - failed
            waiting[0] += began - failed

    for _machine in range(machines):
        events.start(machine())
    events.run(until)
    return down[0] / until, waiting[0] / until


@pytest.mark.parametrize(("machines", "rate", "servers"), [(5, 0.2, 1), (8, 0.4, 2)])
def test_the_simulator_reproduces_the_finite_source(machines: int, rate: float, servers: int) -> None:
    runs = [down_on_average(seed, machines, rate, servers) for seed in range(10)]
    line = finite_source_line(machines, rate, 1, servers)
    within([down for down, _waiting in runs], line.present)
    within([waiting for _down, waiting in runs], line.waiting)


# --- ciw 3.2.7 on the same models -------------------------------------------------------------------------------------


def ciw_wait(seed: int, servers: int, rate: float, service: ciw.dists.Distribution) -> float:
    network = ciw.create_network(
        arrival_distributions=[ciw.dists.Exponential(rate)],
        service_distributions=[service],
        number_of_servers=[servers],
    )
    ciw.seed(seed)
    simulation = ciw.Simulation(network)
    simulation.simulate_until_max_time(4_000 / rate)
    records = simulation.get_all_records()
    return float(np.mean([record.waiting_time for record in records if record.arrival_date > 500 / rate]))


def test_ciw_agrees_on_the_markov_line() -> None:
    within([ciw_wait(seed, 2, 1.5, ciw.dists.Exponential(1)) for seed in range(10)], markov_line(1.5, 1, 2).wait)


def test_ciw_agrees_on_a_fixed_service_time() -> None:
    steady = [ciw_wait(seed, 1, 0.7, ciw.dists.Deterministic(1)) for seed in range(10)]
    within(steady, general_service_line(0.7, 1, 0).wait)


def test_ciw_agrees_on_the_finite_source() -> None:
    """A closed network: five machines run (a node that never makes wait) and are mended by one."""

    def down(seed: int) -> float:
        network = ciw.create_network(
            arrival_distributions=[ciw.dists.Sequential([1e-6] * 5 + [1e9]), None],
            service_distributions=[ciw.dists.Exponential(0.2), ciw.dists.Exponential(1)],
            number_of_servers=[float("inf"), 1],
            routing=[[0.0, 1.0], [1.0, 0.0]],
        )
        ciw.seed(seed)
        simulation = ciw.Simulation(network)
        simulation.simulate_until_max_time(2_000)
        mended = [record for record in simulation.get_all_records() if record.node == 2]
        return float(sum(record.exit_date - record.arrival_date for record in mended)) / 2_000

    within([down(seed) for seed in range(10)], finite_source_line(5, 0.2, 1).present)
