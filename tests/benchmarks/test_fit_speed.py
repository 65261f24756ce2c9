"""How fast fits are judged: 10,000 of a place against a part in a second on one core, and as a ratio beside JSON."""

import json
import time
from collections.abc import Callable

import pytest

from shop.engineering.fit import judge
from tests.engineering.test_fit import PART, PLACE

pytestmark = pytest.mark.benchmark
CHECKS = 10_000


def seconds(act: Callable[[], object]) -> float:
    """The least of three runs of 10,000: the others were disturbed by something else."""

    def once() -> float:
        began = time.perf_counter()
        for _ in range(CHECKS):
            act()
        return time.perf_counter() - began

    return min(once() for _ in range(3))


def test_ten_thousand_fits_in_a_second() -> None:
    text = json.dumps({"designator": "C60", "capacitance_f": 470e-6, "rated_v": 16, "sizes": [10, 12.5, 5]})
    fit, plain = seconds(lambda: judge(PLACE, PART)), seconds(lambda: json.loads(text))
    print(
        f"\n10,000 fit checks: {fit:.3f} s; reading a short line of JSON as often: {plain:.3f} s; "
        f"ratio {fit / plain:.1f}"
    )
    assert fit < 1.0
