"""Figures by day as lines to draw: pure geometry for an SVG of 320 × 170, with round numbers up the side."""

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from shop.reckoner.plot import Tick, round_steps

WIDTH, HEIGHT = 320, 170
_LEFT, _RIGHT, _TOP, _BOTTOM = 34, 10, 10, 26
_WEEK = 7
_LEAST_HIGH = 4.0


@dataclass(frozen=True, slots=True)
class DayTick:
    """A day named below the plot, and where."""

    at: float
    on: date


@dataclass(frozen=True, slots=True)
class DayPlot:
    """The points of each polyline, the ticks of the figures, and the days that are named, one a week."""

    lines: tuple[str, ...]
    up: tuple[Tick, ...]
    days: tuple[DayTick, ...]
    left: int = _LEFT
    right: int = WIDTH - _RIGHT
    top: int = _TOP
    bottom: int = HEIGHT - _BOTTOM


def day_plot(days: Sequence[date], *rows: Sequence[float]) -> DayPlot:
    """Return how to draw rows of figures, one figure for each day. Raises ValueError for fewer than two days."""
    if len(days) < 2:
        raise ValueError("a line has two days or more")
    # Units are whole: below this the steps would be parts of one.
    steps = round_steps([0.0, _LEAST_HIGH, *(figure for row in rows for figure in row)])
    high = steps[-1]

    def x_of(place: int) -> float:
        return round(_LEFT + place / (len(days) - 1) * (WIDTH - _LEFT - _RIGHT), 1)

    def y_of(figure: float) -> float:
        return round(HEIGHT - _BOTTOM - figure / high * (HEIGHT - _TOP - _BOTTOM), 1)

    return DayPlot(
        lines=tuple(" ".join(f"{x_of(at):g},{y_of(figure):g}" for at, figure in enumerate(row)) for row in rows),
        up=tuple(Tick(y_of(value), value) for value in steps if value >= 0),
        days=tuple(DayTick(x_of(at), day) for at, day in enumerate(days) if at % _WEEK == 0),
    )
