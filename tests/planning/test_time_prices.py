"""What jobs choose at prices on technicians' time, held against trying everything."""

from dataclasses import replace

import numpy as np
import pytest

from shop.planning.assigning.compiled.pricing import Floats
from shop.planning.assigning.ground import Ground
from shop.planning.assigning.plan_facts import Goal
from shop.planning.assigning.plan_tables import NOBODY, tabulate
from shop.planning.assigning.pricing_time import PricedTime
from tests.planning.plan_shop import any_shop

UNTIL = 400


def cheapest(ground: Ground, time: PricedTime, prices: Floats, task: int, ready: int) -> float:
    """Return the least cost of a task and what follows it in its job, of all technicians and starts."""
    row, costs = ground.tasks[task], []
    ready = min(max(ready, ground.ready[task]), UNTIL)
    for one, slots in row.slots.items():
        calendar = ground.tables.calendars[one]
        soonest = min(max(ground.first_free[one], calendar.at[ready]), time.market.width - 1)
        for first in range(soonest, time.market.width):
            if ground.past_blocks(one, first, slots) != first:
                continue
            go_on = calendar.end[min(first + slots, len(calendar.end) - 1)] + row.lag
            paid = float(prices[one, first : first + slots].sum())
            if row.succ == NOBODY:
                costs.append(paid + cost(ground, row.job, go_on))
            else:
                costs.append(paid + cheapest(ground, time, prices, row.succ, go_on))
    return min(costs)


def cost(ground: Ground, job: int, end: int) -> int:
    late = max(0, end - ground.due[job])
    return ground.weight[job] * (min(late, 1) if ground.tables.facts.goal is Goal.LATE_JOBS else late)


@pytest.mark.parametrize("goal", [Goal.LATENESS, Goal.LATE_JOBS])
@pytest.mark.parametrize("seed", range(6))
def test_every_job_takes_what_is_cheapest_for_it_alone(seed: int, goal: Goal) -> None:
    ground = Ground(tabulate(replace(any_shop(seed, units=5), goal=goal)))
    time = PricedTime(ground, UNTIL)
    prices = np.random.default_rng(seed).random(time.no_prices().shape) * 5
    prices[np.arange(time.market.width)[None, :] >= time.market.priced[:, None]] = 0
    heads = [number for number, task in enumerate(ground.tasks) if task.pred == NOBODY]
    expected = sum(cheapest(ground, time, prices, head, 0) for head in heads) - prices.sum()
    value, wanted = time.bound(prices)
    assert value == pytest.approx(expected, rel=1e-9)
    chosen = np.zeros_like(prices)
    for number, task in enumerate(ground.tasks):
        one, first = int(time.choice.who[number]), int(time.choice.first[number])
        chosen[one, first : first + task.slots[one]] += 1
    priced = np.arange(time.market.width)[None, :] < time.market.priced[:, None]
    assert np.array_equal(wanted, np.where(priced, chosen - 1, 0))
