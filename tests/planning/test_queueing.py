"""Laws of waiting lines, and what cannot be. Published figures stand in tests/external/test_queueing.py."""

import math
from collections.abc import Callable

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import stats

from shop.engineering.inputs import BadInput
from shop.planning.queues.queueing import (
    allen_cunneen_wait,
    erlang_b,
    erlang_c,
    finite_source_line,
    general_service_line,
    kingman_wait,
    longer_wait,
    markov_line,
    sakasegawa_wait,
    time_there_percentile,
    wait_percentile,
    with_breakdowns,
)

servers = st.integers(1, 60)
uses = st.floats(0.01, 0.99)


@settings(deadline=None)
@given(servers, st.floats(0.01, 80))
def test_erlang_b_is_the_last_of_a_poisson_distribution_cut_off(count: int, load: float) -> None:
    expected = stats.poisson.pmf(count, load) / stats.poisson.cdf(count, load)
    assert erlang_b(count, load) == pytest.approx(expected, rel=1e-9)


@settings(deadline=None)
@given(servers, uses, st.floats(0.01, 100))
def test_the_figures_of_a_line_agree_with_each_other(count: int, use: float, rate: float) -> None:
    line = markov_line(use * count * rate, rate, count)
    assert line.utilisation == pytest.approx(use)
    assert line.present == pytest.approx(line.waiting + use * count)
    assert line.time_there == pytest.approx(line.wait + 1 / rate)
    assert line.present == pytest.approx(use * count * rate * line.time_there)
    assert 0 <= line.idle <= 1 - use + 1e-12
    assert line.delayed <= 1


@settings(deadline=None)
@given(st.integers(1, 40), uses)
def test_the_chance_of_an_empty_line_is_the_sum_of_its_series(count: int, use: float) -> None:
    load = use * count
    terms = [load**n / math.factorial(n) for n in range(count)]
    total = math.fsum(terms) + load**count / math.factorial(count) / (1 - use)
    assert markov_line(load, 1, count).idle == pytest.approx(1 / total, rel=1e-9)


@settings(deadline=None)
@given(servers, uses)
def test_one_more_pair_of_hands_never_makes_a_line_longer(count: int, use: float) -> None:
    assert markov_line(use * count, 1, count + 1).wait <= markov_line(use * count, 1, count).wait


@settings(deadline=None)
@given(servers, uses, st.floats(0, 99.9))
def test_a_percentile_is_exceeded_as_often_as_it_says_or_less(count: int, use: float, percent: float) -> None:
    wait = wait_percentile(use * count, 1, count, percent)
    longer = longer_wait(use * count, 1, count, wait)
    assert longer <= (1 - percent / 100) * (1 + 1e-9)
    assert wait == 0 or longer == pytest.approx(1 - percent / 100)


@settings(deadline=None)
@given(uses, st.floats(0.1, 50), st.floats(0, 5))
def test_the_approximations_agree_where_they_are_exact(use: float, minutes: float, cv2: float) -> None:
    exact = general_service_line(use / minutes, minutes, cv2).wait
    assert kingman_wait(use, minutes, 1, cv2) == pytest.approx(exact)
    assert allen_cunneen_wait(use, minutes, 1, 1, cv2) == pytest.approx(exact)
    assert sakasegawa_wait(use, minutes, 1, 1, cv2) == pytest.approx(exact)
    assert allen_cunneen_wait(use, minutes, 3, 1, 1) == pytest.approx(
        markov_line(3 * use / minutes, 1 / minutes, 3).wait
    )


@settings(deadline=None)
@given(st.integers(1, 20), st.floats(0.5, 0.99))
def test_sakasegawa_keeps_as_near_the_exact_line_as_it_says(count: int, use: float) -> None:
    exact = markov_line(use * count, 1, count).wait
    assert sakasegawa_wait(use, 1, count) == pytest.approx(exact, rel=0, abs=0.035)
    if use >= 0.9:
        assert sakasegawa_wait(use, 1, count) == pytest.approx(exact, rel=0.02)


@settings(deadline=None)
@given(st.integers(1, 40), st.integers(1, 10), st.floats(0.01, 3))
def test_the_finite_source_is_the_binomial_with_hands_enough_and_obeys_little(
    machines: int, count: int, rate: float
) -> None:
    line = finite_source_line(machines, rate, 1, count)
    failing = rate * (machines - line.present)
    assert line.present == pytest.approx(failing * line.time_there)
    assert line.waiting == pytest.approx(failing * line.wait, abs=1e-9)
    assert failing == pytest.approx(line.utilisation * count)
    assert 0 <= line.delayed <= 1
    enough = finite_source_line(machines, rate, 1, machines)
    assert enough.present == pytest.approx(machines * rate / (1 + rate))
    assert enough.wait == 0


def test_many_machines_that_seldom_fail_are_nearly_an_open_line() -> None:
    line, exact = finite_source_line(5000, 0.7 / 5000, 1), markov_line(0.7, 1)
    assert line.present == pytest.approx(exact.present, rel=0.01)
    assert line.delayed == pytest.approx(exact.delayed, rel=0.01)


def test_without_breakdowns_nothing_changes() -> None:
    broken = with_breakdowns(20, 0.3, 100, 0)
    assert (broken.availability, broken.service_time, broken.service_cv2) == (1, 20, 0.3)


@pytest.mark.parametrize(
    "wrong",
    [
        lambda: erlang_b(-1, 1), lambda: erlang_b(2, -1), lambda: erlang_b(10_001, 1), lambda: erlang_c(0, 0),
        lambda: erlang_c(2, 2), lambda: markov_line(2, 1), lambda: markov_line(0, 1), lambda: markov_line(1, math.inf),
        lambda: longer_wait(1, 2, 1, -1), lambda: wait_percentile(1, 2, 1, 100),
        lambda: time_there_percentile(1, 2, -1), lambda: general_service_line(1, 1, 0),
        lambda: general_service_line(0.5, 1, -1), lambda: kingman_wait(1, 1, 1, 1), lambda: kingman_wait(0.5, 0, 1, 1),
        lambda: sakasegawa_wait(0.5, 1, 0), lambda: allen_cunneen_wait(0.5, 1, 0, 1, 1),
        lambda: with_breakdowns(1, 0, 0, 1), lambda: finite_source_line(0, 1, 1), lambda: finite_source_line(3, 0, 1),
    ],
)  # fmt: skip
def test_it_refuses_what_has_no_long_run(wrong: Callable[[], object]) -> None:
    with pytest.raises(BadInput):
        wrong()


def test_an_idle_line_does_not_wait() -> None:
    assert allen_cunneen_wait(0, 1, 2, 1, 1) == 0
    assert erlang_b(0, 5) == 1
