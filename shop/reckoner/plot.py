"""A curve as lines to draw: pure geometry for an SVG of 320 × 200, with round numbers along the axes."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

WIDTH, HEIGHT = 320, 200
_LEFT, _RIGHT, _TOP, _BOTTOM = 46, 12, 12, 34


@dataclass(frozen=True, slots=True)
class Tick:
    """A mark on an axis: where, in drawing units, and which number."""

    at: float
    value: float


@dataclass(frozen=True, slots=True)
class Plot:
    """The points of the polyline, the ticks of both axes, and the point that was asked for, in drawing units."""

    line: str
    across: tuple[Tick, ...]
    up: tuple[Tick, ...]
    here: tuple[float, float] | None
    left: int = _LEFT
    right: int = WIDTH - _RIGHT
    top: int = _TOP
    bottom: int = HEIGHT - _BOTTOM


def plot(points: Sequence[tuple[float, float]], here: tuple[float, float] | None = None) -> Plot:
    """Return how to draw two points or more; the axes begin and end at round numbers. Raises ValueError for fewer."""
    if len(points) < 2:
        raise ValueError("a curve has two points or more")
    every = [*points, *([here] if here else [])]
    across, up = (round_steps([point[axis] for point in every]) for axis in (0, 1))

    def place(point: tuple[float, float]) -> tuple[float, float]:
        x = _LEFT + (point[0] - across[0]) / (across[-1] - across[0]) * (WIDTH - _LEFT - _RIGHT)
        y = HEIGHT - _BOTTOM - (point[1] - up[0]) / (up[-1] - up[0]) * (HEIGHT - _TOP - _BOTTOM)
        return round(x, 1), round(y, 1)

    return Plot(
        line=" ".join(f"{x:g},{y:g}" for x, y in map(place, points)),
        across=tuple(Tick(place((value, up[0]))[0], value) for value in across),
        up=tuple(Tick(place((across[0], value))[1], value) for value in up),
        here=place(here) if here else None,
    )


def round_steps(values: Sequence[float]) -> list[float]:
    """Return four to seven or so equal steps in 1, 2 or 5 times a power of ten that take in all the values."""
    low, high = min(values), max(values)
    span = max(high - low or abs(high) or 1.0, 1e-300)
    rough = span / 5
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in (1, 2, 5, 10) if factor * power >= rough * (1 - 1e-9))
    first, last = math.floor(low / step + 1e-9), math.ceil(high / step - 1e-9)
    return [place * step for place in range(first, max(last, first + 1) + 1)]
