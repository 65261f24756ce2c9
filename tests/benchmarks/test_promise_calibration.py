"""Are promises kept as often as they say? A simulated year on three kinds of shop that nothing was tuned on.

A new shop without a record begins the year; every unit gets its date when it comes, and the first date told is what
counts. The target is within 3 points of the stated confidence.
"""

import time

import pytest

from shop.planning.promises.calibration import Outcome, kept_shares
from tests.benchmarks.shop_year import Kind, Truth, Year

pytestmark = pytest.mark.benchmark

STEADY = Kind(
    services={"clean": Truth(45, 1.0), "belts": Truth(75, 1.05), "check": Truth(20, 0.9)},
    orders=[("clean",), ("belts",), ("clean", "check"), ("belts", "check")],
    paces=(1.0,),
    load=0.96,
    noise=0.25,
    unit_noise=0.1,
    shares=(0.6, 0.8, 0.9, 0.95, 1.0),
    backlog_days=12,
)
UNDERESTIMATED = Kind(
    services={
        "recap": Truth(120, 1.5), "video": Truth(60, 1.3), "power": Truth(90, 1.6), "test": Truth(30, 1.2),
    },
    orders=[("recap", "test"), ("video", "test"), ("recap", "power", "test"), ("power", "video", "test")],
    paces=(0.85, 1.2),
    load=0.96,
    noise=0.4,
    unit_noise=0.25,
    shares=(0.5, 0.7, 0.8, 0.9, 1.0),
    comebacks=0.05,
    backlog_days=10,
)  # fmt: skip
HEAVY_TAILED = Kind(
    services={
        "recap": Truth(110, 1.0), "board": Truth(150, 1.2), "drive": Truth(70, 1.1), "test": Truth(35, 1.0),
        "mend": Truth(45, 1.3),
    },
    orders=[("recap", "soak", "test"), ("board", "soak", "test"), ("drive", "recap", "soak", "test")],
    paces=(0.9, 1.0, 1.15),
    load=0.95,
    noise=0.3,
    unit_noise=0.2,
    tail=3.0,
    parts_wanted=0.35,
    parts_late=(0.0, 0.0, 0.0, 1.0, 3.0, 10.0),
    failing=0.2,
    shares=(0.7, 0.85, 0.95),
    comebacks=0.03,
    soak_hours=4,
    backlog_days=12,
)  # fmt: skip
KINDS = {"steady": STEADY, "underestimated": UNDERESTIMATED, "heavy tails": HEAVY_TAILED}


@pytest.mark.parametrize("name", KINDS)
@pytest.mark.parametrize("percent", [80])
def test_promises_of_a_year_are_kept_within_three_points(name: str, percent: int) -> None:
    began = time.process_time()
    promised = Year(KINDS[name], seed=1, percent=percent).play()
    share = kept_shares([Outcome(each.on, each.percent, each.kept) for each in promised])[0]
    chance = sum(each.chance_percent for each in promised) / len(promised)
    print(
        f"\n{name}: {share.promised} promises at {percent} %, kept {share.kept_percent:.1f} % "
        f"(interval {share.low_percent:.1f} to {share.high_percent:.1f}), mean chance of the days {chance:.1f} %, "
        f"{time.process_time() - began:.0f} s"
    )
    assert share.promised > 250
    assert abs(share.kept_percent - percent) <= 3
