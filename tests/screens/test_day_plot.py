"""The curves of units by day: their axis counts whole units."""

from datetime import date, timedelta

import pytest

from shop.screens.day_plot import day_plot

DAYS = [date(2026, 3, 2) + timedelta(days=count) for count in range(15)]


@pytest.mark.parametrize("most", [0, 1, 2, 3, 8, 40])
def test_the_axis_names_whole_units_only(most: int) -> None:
    plot = day_plot(DAYS, [0] * 14 + [most])
    assert all(tick.value == int(tick.value) for tick in plot.up)
    assert plot.up[-1].value >= most
