"""How large the picture of a board with 2,000 placements is, and how fast it is drawn on one core."""

import random
import time

import pytest

from shop.boards.spots import Kind, Spot
from shop.work.bench_picture import Scene, draw

pytestmark = pytest.mark.benchmark
PLACEMENTS = 2_000


def board() -> Scene:
    """A board of 400 × 300 mm, every 25th placement wanted, its parts turned every way."""
    chance = random.Random(1)
    spots = [
        Spot(
            designator=f"C{index}",
            value="100 µF",
            rating="25 V",
            kind=Kind.ELECTROLYTIC if index % 3 else Kind.RESISTOR,
            x_mm=chance.uniform(0, 400),
            y_mm=chance.uniform(0, 300),
            width_mm=chance.uniform(1, 20),
            depth_mm=chance.uniform(1, 20),
            rotation_deg=chance.uniform(0, 360),
        )
        for index in range(PLACEMENTS)
    ]
    wanted = frozenset(spot.designator for spot in spots[::25])
    return Scene(width_mm=400, height_mm=300, spots=spots, wanted=wanted, present=frozenset({"C1000"}))


def test_two_thousand_placements_stay_small_and_are_drawn_at_once() -> None:
    scene, took = board(), []
    for _ in range(3):
        began = time.perf_counter()
        svg = draw(scene)
        took.append(time.perf_counter() - began)
    size = len(svg.encode())
    print(f"\n{PLACEMENTS:,} placements: {size:,} bytes, drawn in {min(took):.3f} s")
    assert size < 200_000
    assert min(took) < 0.3
