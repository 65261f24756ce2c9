"""Resistor colour bands both ways (IEC 60062): three to six bands, the value, its tolerance and its drift.

Digits, multipliers and the tolerances of brown, red, green, blue, violet, gold and silver were read; published pages
disagree on the tolerances of orange, yellow, grey and white, so those are read as none. Temperature coefficients are
from memory.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from shop.engineering.bands import COLOURS
from shop.engineering.inputs import BadInput, in_range

_DIGITS = {colour.name: colour.digit for colour in COLOURS}
_POWERS = _DIGITS | {"gold": -1, "silver": -2, "pink": -3}
_TOLERANCES = {"brown": 1.0, "red": 2.0, "green": 0.5, "blue": 0.25, "violet": 0.1, "gold": 5.0, "silver": 10.0}
_DRIFTS = {"black": 250, "brown": 100, "red": 50, "orange": 15, "yellow": 25, "green": 20, "blue": 10, "violet": 5,
           "grey": 1}  # fmt: skip
NO_BAND_PERCENT = 20.0
_ALIKE = {"gray": "grey", "purple": "violet"}


@dataclass(frozen=True, slots=True)
class Banded:
    """A resistor as its bands say: ohms, ± percent, and parts per million a kelvin when a sixth band says so."""

    resistance_ohm: float
    tolerance_percent: float
    drift_ppm_k: int | None = None

    @property
    def limits_ohm(self) -> tuple[float, float]:
        """Return the least and the greatest resistance allowed."""
        part = self.tolerance_percent / 100
        return self.resistance_ohm * (1 - part), self.resistance_ohm * (1 + part)


def read_bands(colours: Sequence[str]) -> Banded:
    """Read three to six colours, from the end where the bands stand closer.

    Three bands have two digits and 20 %; four two digits; five and six three. Raises BadInput: `unreadable` for a
    colour that cannot stand where it does, `wrong_way_round` when the bands read from the other end only.
    """
    named = [_ALIKE.get(each.strip().lower(), each.strip().lower()) for each in colours]
    if not 3 <= len(named) <= 6:
        raise BadInput("out_of_range", "bands", value=len(named), low=3, high=6, unit="")
    read = _read(named)
    if read is not None:
        return read
    if _read(named[::-1]) is not None:
        raise BadInput("wrong_way_round", "bands", given=" ".join(named))
    raise BadInput("unreadable", "bands", given=" ".join(named), like=("yellow violet red gold",))


def may_be_read_both_ways(colours: Sequence[str]) -> bool:
    """Tell whether bands without gold or silver make sense from either end, so that the spacing must decide."""
    named = [_ALIKE.get(each.strip().lower(), each.strip().lower()) for each in colours]
    return named != named[::-1] and _read(named) is not None and _read(named[::-1]) is not None


def bands_for(resistance_ohm: float, tolerance_percent: float) -> tuple[str, ...]:
    """Return the colours for a resistance of 0.001 Ω to 999 GΩ: four, or five where a third digit or 2 % asks for it.

    Rounded to three significant digits. A tolerance of 20 % has no band. Raises BadInput: `out_of_range`,
    `not_one_of`.
    """
    in_range("resistance_ohm", resistance_ohm, "Ω", 1e-3, 999e9)
    names = {percent: name for name, percent in _TOLERANCES.items()} | {NO_BAND_PERCENT: ""}
    if tolerance_percent not in names:
        raise BadInput("not_one_of", "tolerance_percent", given=tolerance_percent, choices=tuple(sorted(names)))
    mantissa, power = f"{resistance_ohm:.2e}".split("e")
    digits = mantissa.replace(".", "")
    if digits[2] == "0" and tolerance_percent >= 2:
        digits = digits[:2]
    exponent = int(power) - len(digits) + 1
    colours = {place: name for name, place in _POWERS.items()}
    if exponent not in colours:  # 100 mΩ with three digits would need a power of ten that has no colour
        digits, exponent = digits[:2], int(power) - 1
        if exponent not in colours:
            raise BadInput("out_of_range", "resistance_ohm", value=resistance_ohm, low=0.01, high=99e9, unit="Ω")
    bands = [*(COLOURS[int(digit)].name for digit in digits), colours[exponent], names[tolerance_percent]]
    return tuple(filter(None, bands))


def _read(named: list[str]) -> Banded | None:
    many = 2 if len(named) <= 4 else 3
    digits, power, rest = named[:many], named[many], named[many + 1 :]
    tolerance = _TOLERANCES.get(rest[0]) if rest else NO_BAND_PERCENT
    drift = _DRIFTS.get(rest[1]) if len(rest) > 1 else None
    wrong = any(each not in _DIGITS for each in digits) or power not in _POWERS or tolerance is None
    if wrong or (len(rest) > 1 and drift is None) or (digits[0] == "black" and len(set(digits)) > 1):
        return None
    whole = int("".join(str(_DIGITS[each]) for each in digits))
    value = float(f"{whole}e{_POWERS[power]}")
    return Banded(value, tolerance, drift) if tolerance is not None and math.isfinite(value) else None
