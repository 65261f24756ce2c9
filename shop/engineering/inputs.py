"""What the calculations share: how an impossible input is refused, and how an answer is qualified.

A refusal names the input and the range in which the calculation holds; nothing returns a number outside of it. A
remark says what a reader must know beside the number. Both are codes with facts: the words stand where people read.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field


class BadInput(ValueError):
    """An input that the calculation cannot take: why, which one, and the facts for a sentence about it.

    Codes: missing, unreadable, not_finite, out_of_range (facts value, low, high, unit; a limit may be None, and
    low_open or high_open say that the limit itself is not allowed), ambiguous (facts readings), or one of the module's
    own.
    """

    def __init__(self, code: str, name: str, **facts: object) -> None:
        self.code, self.name, self.facts = code, name, facts
        super().__init__(f"{name}: {code} {facts}")


@dataclass(frozen=True, slots=True)
class Remark:
    """What qualifies an answer: a code, and the facts of its sentence with units in their names."""

    code: str
    facts: Mapping[str, object] = field(default_factory=dict)


def in_range(
    name: str,
    value: float,
    unit: str,
    low: float | None = None,
    high: float | None = None,
    *,
    low_open: bool = False,
    high_open: bool = False,
) -> float:
    """Return the value when it is a finite number from low to high, in the unit; an open limit is itself excluded.

    Raises BadInput otherwise.
    """
    if not math.isfinite(value):
        raise BadInput("not_finite", name, value=value)
    below = low is not None and (value <= low if low_open else value < low)
    above = high is not None and (value >= high if high_open else value > high)
    if below or above:
        facts = {"value": value, "low": low, "high": high, "low_open": low_open, "high_open": high_open, "unit": unit}
        raise BadInput("out_of_range", name, **facts)
    return value


def positive(name: str, value: float, unit: str, high: float | None = None) -> float:
    """Return the value when it is finite and above zero, and not above high. Raises BadInput otherwise."""
    return in_range(name, value, unit, 0, high, low_open=True)
