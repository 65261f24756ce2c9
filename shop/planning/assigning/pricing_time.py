"""A value that no plan can go below, by putting a price on each technician's time.

The time-indexed relaxation of a plan lets every job choose its starts so that no technician is wanted more than once
in a slot. Its dual puts a price on each technician's working slots instead: every job then takes what is cheapest for
it alone, which a table over time answers exactly (`compiled.pricing`), and the sum less all the prices is a lower bound
whatever the prices are (Lagrangian relaxation: Fisher 1981). At the best prices it is the bound of that linear
relaxation with its chains in full. Prices rise where technicians are wanted more than once and fall where nobody wants
them (Polyak's step). Benches are left out, which can only lower the bound.
"""

import numpy as np

from shop.planning.assigning.compiled.pricing import Choice, Floats, Market, choose, tables_of, too_much
from shop.planning.assigning.compiled.rows import rows_of
from shop.planning.assigning.ground import Ground
from shop.planning.assigning.laying import Layout

# Smith's ratio is too high where technicians can stand in for each other; half of it is a good beginning in trial runs.
FIRST_SHARE = 0.5


class PricedTime:
    """The time of one shop up to a slot; after it time costs nothing, so the bound holds for any horizon."""

    def __init__(self, ground: Ground, until: int) -> None:
        self.ground = ground
        priced = np.array([one.at[min(until, len(one.at) - 1)] for one in ground.tables.calendars], np.int64)
        self.market = Market(rows_of(ground), priced, int(priced.max()) + 1, until + 1)
        self.choice = Choice(*np.zeros((2, len(ground.tasks)), np.int64))
        self.tables = tables_of(self.market)
        # slots of time to a working slot, nights included
        self.stretch = max(1.0, until / max(1, int(priced.max())))

    def bound(self, prices: Floats) -> tuple[float, Floats]:
        """Return the lower bound at these prices (technicians × priced slots), and how often more than once, or less,
        every slot is wanted."""
        value = choose(self.market, prices, self.tables, self.choice)
        return value, too_much(self.market, self.choice)

    def no_prices(self) -> Floats:
        """Return prices of nothing, technicians × working slots."""
        return np.zeros((len(self.market.priced), self.market.width))

    def first_prices(self, layout: Layout) -> Floats:
        """Return prices to begin with, from a layout: a slot costs what late jobs lose that lie in it or after it.

        On one technician alone, with every job late, the best prices fall by weight over length with each slot of a
        job (Smith's ratio); this is taken for all, up to where the last late job ends.
        """
        ground = self.ground
        falls = self.no_prices()
        for number, task in enumerate(ground.tasks):
            one = layout.who[number]
            if layout.job_end[task.job] > ground.due[task.job]:
                slots = task.slots[one]
                first = ground.tables.calendars[one].at[layout.start[number]]
                falls[one, first : first + slots] = ground.weight[task.job] / slots
        prices: Floats = np.cumsum(falls[:, ::-1], axis=1)[:, ::-1] * self.stretch * FIRST_SHARE
        prices[np.arange(self.market.width)[None, :] >= self.market.priced[:, None]] = 0
        return prices
