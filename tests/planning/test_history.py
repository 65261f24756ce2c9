"""What the shop's record says about estimates: pulled to priors, unmoved by outliers, honest about what is common."""

import math
from dataclasses import replace
from statistics import NormalDist

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.planning.promises.durations import Durations
from shop.planning.promises.estimates import Estimate
from shop.planning.promises.history import HALF_LIFE_DAYS, NEW_SHOP, History, Record, learn

HOUR = Estimate(45, 60, 120)
MEAN = HOUR.mean_min
RUNS = 20_000


def records(ratio: float, count: int, *, service: str = "recap", spread: float = 0.0, **kept: str) -> list[Record]:
    """Steps of one kind, each of a unit of its own, around a ratio of actual to estimate, at a normal's quantiles."""
    noise = [spread * NormalDist().inv_cdf((n + 0.5) / count) for n in range(count)]
    technician = kept.get("technician", "Mara")
    return [
        Record(service, kept.get("unit", f"{service} {n}"), technician, HOUR, MEAN * ratio * math.exp(error))
        for n, error in enumerate(noise)
    ]


def drawn(history: History, **wanted: object) -> np.ndarray:
    asked: dict[str, object] = {
        "step": "1", "unit": "new", "service": "recap", "technician": "Mara", "rows": np.arange(RUNS),
    } | wanted  # fmt: skip
    estimate = asked.pop("estimate", HOUR)
    return Durations(history, RUNS, seed=1).hands_on(estimate, **asked)  # type: ignore[arg-type]


def test_a_new_shop_expects_what_is_estimated() -> None:
    minutes = drawn(learn([]))
    assert float(np.mean(minutes)) == pytest.approx(MEAN, rel=0.15)
    assert float(np.median(minutes)) < MEAN
    assert learn([]).median_ratio("anything") == pytest.approx(math.exp(NEW_SHOP.log_ratio))


def test_it_learns_that_a_shop_underestimates() -> None:
    history = learn(records(1.5, 200, spread=0.2))
    assert history.median_ratio("recap", "Mara") == pytest.approx(1.5, rel=0.03)
    assert float(np.median(drawn(history))) == pytest.approx(1.5 * MEAN, rel=0.03)
    assert history.median_ratio("never seen") == pytest.approx(1.5, rel=0.25)


def test_few_records_move_it_part_of_the_way() -> None:
    """As in the prior's weights: after more records it has moved further, and never beyond what was seen."""
    moved = [learn(records(2.0, count)).median_ratio("recap", "Mara") for count in (0, 1, 3, 10, 50)]
    assert moved == sorted(moved)
    assert moved[0] < 1 < moved[2] < 1.7
    assert 1.9 < moved[4] < 2


def test_services_keep_near_the_shop_and_apart_with_their_own_record() -> None:
    seen = [*records(1.0, 100, spread=0.2), *records(2.0, 100, service="video", spread=0.2)]
    history = learn([*seen, *records(2.0, 1, service="rare")])
    assert history.median_ratio("recap", "Mara") == pytest.approx(1.0, abs=0.08)
    assert history.median_ratio("video", "Mara") == pytest.approx(2.0, abs=0.1)
    assert history.median_ratio("unknown") < history.median_ratio("rare") < 2


def test_it_tells_technicians_apart() -> None:
    fast, slow = records(0.8, 100, spread=0.2, technician="Mara"), records(1.25, 100, spread=0.2, technician="Ivo")
    history = learn([*fast, *slow])
    assert history.median_ratio("recap", "Ivo") / history.median_ratio("recap", "Mara") == pytest.approx(1.56, abs=0.1)


def test_one_forgotten_clock_moves_little() -> None:
    honest = records(1.0, 40, spread=0.2)
    forgotten = replace(honest[0], unit="forgotten", actual_min=40 * MEAN)
    before, after = learn(honest), learn([*honest, forgotten])
    assert after.median_ratio("recap") / before.median_ratio("recap") < 1.05
    assert after.spread / before.spread < 1.15


def test_outliers_that_come_often_are_expected_to_come_again() -> None:
    usual = records(1.0, 190, spread=0.2)
    disasters = [replace(record, unit=f"bad {n}", actual_min=6 * MEAN) for n, record in enumerate(usual[:10])]
    chance = float(np.mean(drawn(learn([*usual, *disasters])) > 4 * MEAN))
    assert 0.01 < chance < 0.08
    assert float(np.mean(drawn(learn(usual)) > 4 * MEAN)) < 0.005


def test_old_records_fade() -> None:
    old = [replace(record, days_ago=5 * HALF_LIFE_DAYS) for record in records(2.0, 60)]
    recent = records(1.0, 30, spread=0.1)
    assert learn([*old, *recent]).median_ratio("recap", "Mara") < 1.1


def test_a_short_record_makes_a_wide_forecast() -> None:
    """Five records are known as well as the variance of their mean says, about a quarter more in all: 1.12 as wide."""
    widths = []
    for count in (5, 20, 400):
        logs = np.log(drawn(learn(records(1.0, count, spread=0.35))))
        widths.append(float(np.percentile(logs, 95) - np.percentile(logs, 5)))
    assert widths == sorted(widths, reverse=True)
    assert widths[0] > 1.1 * widths[2]


def test_steps_of_one_unit_go_wrong_together() -> None:
    dice = np.random.default_rng(3)
    shared = [
        Record("recap", f"u{unit}", "Mara", HOUR, MEAN * math.exp(common + dice.normal(0, 0.2)))
        for unit, common in enumerate(dice.normal(0, 0.3, 150))
        for _step in range(3)
    ]
    apart = [replace(record, unit=f"n{n}") for n, record in enumerate(shared)]
    assert learn(shared).unit_share == pytest.approx(0.09 / 0.13, abs=0.12)
    assert learn(apart).unit_share == NEW_SHOP.unit_share

    def correlation(history: History) -> float:
        one, two = (np.log(drawn(history, step=step)) for step in ("1", "2"))
        return float(np.corrcoef(one, two)[0, 1])

    assert correlation(learn(shared)) > 0.5
    assert correlation(learn(apart)) < 0.4


def test_a_unit_that_went_badly_is_expected_to_go_on_so() -> None:
    history = learn([*records(1.0, 100, spread=0.3), *records(2.5, 3, unit="stubborn")])
    assert float(np.median(drawn(history, unit="stubborn"))) > 1.15 * float(np.median(drawn(history)))


def test_what_nobody_knows_yet_is_wrong_for_all_units_at_once() -> None:
    """In a new shop two units' errors are clearly correlated; with a long record they hardly are."""

    def correlation(history: History) -> float:
        one, two = (np.log(drawn(history, unit=unit)) for unit in ("a", "b"))
        return float(np.corrcoef(one, two)[0, 1])

    assert correlation(learn([])) > 0.3
    assert abs(correlation(learn(records(1.0, 2000, spread=0.3)))) < 0.03


def test_a_step_under_way_is_drawn_from_what_lies_beyond() -> None:
    history = learn(records(1.0, 200, spread=0.3))
    left = drawn(history, worked_min=MEAN)
    assert float(left.min()) > 0
    fresh = drawn(history)
    beyond = fresh[fresh > MEAN] - MEAN
    assert float(np.mean(left)) == pytest.approx(float(np.mean(beyond)), rel=0.2)
    assert float(drawn(history, worked_min=100 * MEAN).min()) > 0


def test_a_wide_estimate_gives_a_wide_forecast() -> None:
    history = learn(records(1.0, 200, spread=0.3))
    narrow, wide = Estimate(58, 60, 62), Estimate(20, 60, 240)

    def width(estimate: Estimate) -> float:
        return float(np.std(np.log(drawn(history, estimate=estimate))))

    assert width(narrow) < 0.7 * width(HOUR) < 0.7 * 0.8 * width(wide)


def test_the_dice_of_a_step_do_not_depend_on_what_else_is_drawn() -> None:
    durations = Durations(learn([]), 50, seed=4)

    def one(durations: Durations, unit: str) -> np.ndarray:
        return durations.hands_on(
            HOUR, step="1", unit=unit, service="recap", technician="Mara", rows=np.arange(50)
        )  # fmt: skip

    first = one(durations, "a")
    assert not (one(durations, "b") == first).any()
    assert (one(durations, "a") == first).all()
    assert not (one(Durations(learn([]), 50, seed=5), "a") == first).any()


def test_a_soak_takes_its_time_whoever_works() -> None:
    durations = Durations(learn(records(3.0, 200)), 500, seed=1)
    assert durations.unattended(Estimate(240, 240, 240), step="soak", unit="a").tolist() == [240] * 500
    drying = durations.unattended(HOUR, step="dry", unit="a")
    assert float(np.mean(drying)) == pytest.approx(MEAN, rel=0.05)


@pytest.mark.parametrize(("actual", "days_ago"), [(-1, 0), (math.nan, 0), (math.inf, 0), (60, -1)])
def test_it_refuses_a_record_that_cannot_be(actual: float, days_ago: float) -> None:
    with pytest.raises(ValueError, match="record"):
        learn([replace(records(1.0, 1)[0], actual_min=actual, days_ago=days_ago)])


def test_a_step_that_was_ticked_off_at_once_counts_as_a_minute() -> None:
    assert learn([replace(records(1.0, 1)[0], actual_min=0, estimate=Estimate(0, 0, 0))]).spread > 0


ratios = st.lists(st.floats(0.05, 20), min_size=1, max_size=60)


@settings(deadline=None)
@given(ratios, st.floats(0.2, 5))
def test_it_is_finite_and_between_what_was_seen_and_the_prior(seen: list[float], days: float) -> None:
    told = [Record("recap", f"u{n}", "Mara", HOUR, MEAN * ratio, days) for n, ratio in enumerate(seen)]
    history = learn(told)
    prior = math.exp(NEW_SHOP.log_ratio)
    assert min(*seen, prior) * 0.99 <= history.median_ratio("recap") <= max(*seen, prior) * 1.01
    assert 0 < history.spread < 3
    assert np.isfinite(history.shape).all()
    assert (np.diff(history.shape) >= 0).all()


@settings(deadline=None)
@given(ratios, st.randoms(use_true_random=False))
def test_the_order_of_records_does_not_matter(seen: list[float], chance: object) -> None:
    told = [Record("recap", f"u{n}", "Mara", HOUR, MEAN * ratio) for n, ratio in enumerate(seen)]
    mixed = list(told)
    chance.shuffle(mixed)  # type: ignore[attr-defined]
    assert learn(mixed).median_ratio("recap", "Mara") == pytest.approx(learn(told).median_ratio("recap", "Mara"))
