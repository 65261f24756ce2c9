"""Waiting lines: what utilisation and variation do to waiting. Pure.

Rates and times are in any one unit of time, rates per that unit. All figures are of the long run: a shop that was empty
this morning, or whose load has just changed, is not there yet. Sources: Erlang's formulas and the Markov models as in
Hillier and Lieberman, Introduction to Operations Research; approximations for general variation as in Hopp and
Spearman, Factory Physics (all from memory; the checks in tests/external are recomputed).
"""

import math
from dataclasses import dataclass

from shop.engineering.inputs import in_range, positive

_MOST_SERVERS = 10_000


@dataclass(frozen=True, slots=True)
class Line:
    """A waiting line in the long run.

    utilisation and idle (the chance that nobody is there) from 0 to 1; how many are there and how many of them wait,
    on average; the mean time there and the mean wait; delayed is the chance of waiting at all.
    """

    utilisation: float
    idle: float
    delayed: float
    present: float
    waiting: float
    time_there: float
    wait: float


def erlang_b(servers: int, load: float) -> float:
    """Return the share that is turned away where nobody can wait: servers (0 to 10 000), load offered in erlangs.

    By the recursion B(c) = aB(c−1) / (c + aB(c−1)), which is stable. Raises BadInput.
    """
    _servers(servers, 0)
    in_range("load", load, "E", 0, 1e6)
    blocked = 1.0
    for server in range(1, servers + 1):
        blocked = load * blocked / (server + load * blocked)
    return blocked


def erlang_c(servers: int, load: float) -> float:
    """Return the chance of having to wait: servers (1 to 10 000), load in erlangs below servers. Raises BadInput."""
    _servers(servers, 1)
    in_range("load", load, "E", 0, servers, high_open=True)
    blocked = erlang_b(servers, load)
    return servers * blocked / (servers - load * (1 - blocked))


def markov_line(arrival_rate: float, service_rate: float, servers: int = 1) -> Line:
    """Return M/M/c: arrivals at random, exponential service at service_rate by each of the servers.

    Raises BadInput when more comes in than the servers can do: there is no long run then.
    """
    positive("service_rate", service_rate, "", 1e9)
    positive("arrival_rate", arrival_rate, "", 1e9)
    load = arrival_rate / service_rate
    delayed = erlang_c(servers, load)
    wait = delayed / (servers * service_rate - arrival_rate)
    terms = [0.0]
    for server in range(1, servers):
        terms.append(terms[-1] + math.log(load / server))
    last = terms[-1] + math.log(load / servers) - math.log(1 - load / servers)
    highest = max(*terms, last)
    idle = math.exp(-highest) / math.fsum(math.exp(each - highest) for each in (*terms, last))
    return Line(
        utilisation=load / servers, idle=idle, delayed=delayed, wait=wait, waiting=arrival_rate * wait,
        time_there=wait + 1 / service_rate, present=arrival_rate * wait + load,
    )  # fmt: skip


def longer_wait(arrival_rate: float, service_rate: float, servers: int, time: float) -> float:
    """Return the chance in M/M/c of waiting longer than a time: C·e^(−(cμ−λ)t). Raises BadInput."""
    in_range("time", time, "", 0)
    delayed = markov_line(arrival_rate, service_rate, servers).delayed
    return delayed * math.exp(-(servers * service_rate - arrival_rate) * time)


def wait_percentile(arrival_rate: float, service_rate: float, servers: int, percent: float) -> float:
    """Return the wait in M/M/c not exceeded in so many percent (0 to below 100) of the cases. Raises BadInput."""
    in_range("percent", percent, "%", 0, 100, high_open=True)
    delayed, left = markov_line(arrival_rate, service_rate, servers).delayed, 1 - percent / 100
    return math.log(delayed / left) / (servers * service_rate - arrival_rate) if delayed > left else 0.0


def time_there_percentile(arrival_rate: float, service_rate: float, percent: float) -> float:
    """Return the time in M/M/1, wait and service, not exceeded in so many percent (0 to below 100). Raises BadInput.

    It is exponential with the mean 1 / (μ − λ).
    """
    in_range("percent", percent, "%", 0, 100, high_open=True)
    return -math.log1p(-percent / 100) * markov_line(arrival_rate, service_rate).time_there


def general_service_line(arrival_rate: float, service_time: float, service_cv2: float) -> Line:
    """Return M/G/1 by Pollaczek and Khinchine: arrivals at random, service of any shape, one server.

    service_cv2 is its variance over its mean squared: 0 for one fixed time (M/D/1), 1 for exponential. Raises BadInput.
    """
    positive("arrival_rate", arrival_rate, "", 1e9)
    positive("service_time", service_time, "", 1e9)
    in_range("service_cv2", service_cv2, "", 0, 1e6)
    use = in_range("utilisation", arrival_rate * service_time, "", 0, 1, high_open=True)
    waiting = use**2 * (1 + service_cv2) / (2 * (1 - use))
    return Line(
        utilisation=use, idle=1 - use, delayed=use, waiting=waiting, present=waiting + use,
        wait=waiting / arrival_rate, time_there=waiting / arrival_rate + service_time,
    )  # fmt: skip


def kingman_wait(utilisation: float, service_time: float, arrival_cv2: float, service_cv2: float) -> float:
    """Return the mean wait before one server, about: (ca² + ce²)/2 · u/(1 − u) · te (Kingman 1961). Raises BadInput.

    Exact for M/G/1. It is best at high utilisation, and too high where arrivals are very regular and it is low.
    """
    _general(utilisation, service_time, arrival_cv2, service_cv2)
    return (arrival_cv2 + service_cv2) / 2 * utilisation / (1 - utilisation) * service_time


def sakasegawa_wait(
    utilisation: float, service_time: float, servers: int, arrival_cv2: float = 1.0, service_cv2: float = 1.0
) -> float:
    """Return the mean wait before servers side by side, about: te · (ca² + ce²)/2 · u^(√(2(m+1))−1) / (m(1−u)).

    Source: Sakasegawa, Ann. Inst. Stat. Math. 29, 1977 (from memory). Against M/M/c with up to 20 servers from half
    load on it is within 0.035 service times, and from a load of 0.9 on within 2 %. Raises BadInput.
    """
    _general(utilisation, service_time, arrival_cv2, service_cv2)
    _servers(servers, 1)
    power = math.sqrt(2 * (servers + 1)) - 1
    variation = (arrival_cv2 + service_cv2) / 2
    return variation * math.pow(utilisation, power) / (servers * (1 - utilisation)) * service_time


def allen_cunneen_wait(
    utilisation: float, service_time: float, servers: int, arrival_cv2: float, service_cv2: float
) -> float:
    """Return the mean wait before servers side by side, about: that of M/M/c times (ca² + ce²)/2. Raises BadInput."""
    _general(utilisation, service_time, arrival_cv2, service_cv2)
    _servers(servers, 1)
    if utilisation == 0:
        return 0.0
    exact = markov_line(utilisation * servers / service_time, 1 / service_time, servers).wait
    return (arrival_cv2 + service_cv2) / 2 * exact


@dataclass(frozen=True, slots=True)
class Broken:
    """What breakdowns make of a service time: the share of time it can be had, its mean with them, and its cv²."""

    availability: float
    service_time: float
    service_cv2: float


def with_breakdowns(
    service_time: float, service_cv2: float, time_to_fail: float, time_to_repair: float, repair_cv2: float = 1.0
) -> Broken:
    """Return a service time with the breakdowns that interrupt it, all in one unit of time.

    A = mf / (mf + mr), te = t0 / A, ce² = c0² + (1 + cr²) · A(1 − A) · mr / t0: long rare breakdowns hurt more than
    short frequent ones. Source: Hopp and Spearman, chapter 8 (from memory). Raises BadInput.
    """
    positive("service_time", service_time, "", 1e9)
    positive("time_to_fail", time_to_fail, "", 1e9)
    in_range("time_to_repair", time_to_repair, "", 0, 1e9)
    in_range("service_cv2", service_cv2, "", 0, 1e6)
    in_range("repair_cv2", repair_cv2, "", 0, 1e6)
    had = time_to_fail / (time_to_fail + time_to_repair)
    cv2 = service_cv2 + (1 + repair_cv2) * had * (1 - had) * time_to_repair / service_time
    return Broken(had, service_time / had, cv2)


def finite_source_line(machines: int, fail_rate: float, service_rate: float, servers: int = 1) -> Line:
    """Return the machine repair model: so many machines (1 to 10 000), each of which fails at a rate while it runs.

    present are those that are down, waiting those of them that nobody mends yet; delayed is the chance that one that
    fails finds all servers busy. Source: the birth and death equations. Raises BadInput.
    """
    _servers(machines, 1)
    _servers(servers, 1)
    positive("fail_rate", fail_rate, "", 1e9)
    positive("service_rate", service_rate, "", 1e9)
    logs = [0.0]
    for down in range(machines):
        logs.append(logs[-1] + math.log((machines - down) * fail_rate / (min(down + 1, servers) * service_rate)))
    weights = [math.exp(each - max(logs)) for each in logs]
    total = math.fsum(weights)
    chances = [each / total for each in weights]
    present = math.fsum(down * chance for down, chance in enumerate(chances))
    waiting = math.fsum((down - servers) * chance for down, chance in enumerate(chances) if down > servers)
    running = math.fsum((machines - down) * chance for down, chance in enumerate(chances))
    rate = fail_rate * running
    failing = math.fsum((machines - down) * chance for down, chance in enumerate(chances) if down >= servers)
    return Line(
        utilisation=(present - waiting) / servers, idle=chances[0], delayed=failing / running,
        present=present, waiting=waiting, time_there=present / rate, wait=waiting / rate,
    )  # fmt: skip


def little_time_there(present: float, arrival_rate: float) -> float:
    """Return the mean time there, W = L / λ, of any line in the long run (Little 1961). Raises BadInput."""
    in_range("present", present, "", 0)
    return present / positive("arrival_rate", arrival_rate, "")


def _general(utilisation: float, service_time: float, arrival_cv2: float, service_cv2: float) -> None:
    in_range("utilisation", utilisation, "", 0, 1, high_open=True)
    positive("service_time", service_time, "", 1e9)
    in_range("arrival_cv2", arrival_cv2, "", 0, 1e6)
    in_range("service_cv2", service_cv2, "", 0, 1e6)


def _servers(count: int, least: int) -> None:
    in_range("servers", count, "", least, _MOST_SERVERS)
