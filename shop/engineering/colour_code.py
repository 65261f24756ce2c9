"""Resistor colour bands both ways (IEC 60062): three to six bands, the value, its tolerance and its drift.

Digits, multipliers and the tolerances of brown, red, green, blue, violet, gold and silver were read at
resistorcolorcodes.org/chart. On orange, yellow and grey as tolerances published pages disagree (0.05 % or none, 0.02 %
or none, 0.05 %, 0.01 %, 0.1 % or none): such bands are ambiguous. Temperature coefficients are from memory, and as on
that page.
"""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from shop.engineering.bands import COLOURS
from shop.engineering.inputs import BadInput, Remark, in_range
from shop.engineering.preferred import series_with
from shop.engineering.tolerances import Tolerance

_DIGITS = {colour.name: colour.digit for colour in COLOURS}
_POWERS = _DIGITS | {"gold": -1, "silver": -2, "pink": -3}
_TOLERANCES = {"brown": 1.0, "red": 2.0, "green": 0.5, "blue": 0.25, "violet": 0.1, "gold": 5.0, "silver": 10.0}
# In percent, ±: orange and yellow kodekata.net and resistorcolorcodes.org; grey those two, and 0.01 from memory.
_DISPUTED = {
    "orange": (Tolerance(0.05, 0.05),),
    "yellow": (Tolerance(0.02, 0.02),),
    "grey": (Tolerance(0.01, 0.01, from_memory=True), Tolerance(0.05, 0.05), Tolerance(0.1, 0.1)),
}
_DRIFTS = {"black": 250, "brown": 100, "red": 50, "orange": 15, "yellow": 25, "green": 20, "blue": 10, "violet": 5,
           "grey": 1}  # fmt: skip
NO_BAND_PERCENT = 20.0
_ALIKE = {"gray": "grey", "purple": "violet"}


@dataclass(frozen=True, slots=True)
class Banded:
    """A resistor as its bands say: ohms, ± percent, and ppm/K when a sixth band says so."""

    resistance_ohm: float
    tolerance_percent: float
    drift_ppm_k: int | None = None
    remarks: tuple[Remark, ...] = ()

    @property
    def limits_ohm(self) -> tuple[float, float]:
        """Return the least and the greatest resistance allowed."""
        part = self.tolerance_percent / 100
        return self.resistance_ohm * (1 - part), self.resistance_ohm * (1 + part)


def read_bands(colours: Sequence[str]) -> Banded:
    """Read three to six colours, from the end where the bands stand closer.

    Three bands have two digits and 20 %; four two digits; five and six three. Remarks: `reads_both_ways` (facts
    resistance_ohm and tolerance_percent from the other end, preferred and other_preferred: whether each is of a series)
    when only the spacing tells; `from_memory` (fact of: drift); `zero_ohm_link`. Raises BadInput: out_of_range for the
    number of bands; unreadable for a colour that cannot stand where it does; wrong_way_round when the bands read from
    the other end only; ambiguous (facts resistance_ohm, readings: the tolerances) when the tolerance is disputed.
    """
    named = _named(colours)
    read, other = _read(named), _read(named[::-1])
    if read is None:
        raise _refused(named, "unreadable" if other is None else "wrong_way_round")
    if other is None or named == named[::-1]:
        return read
    facts = {
        "resistance_ohm": other.resistance_ohm,
        "tolerance_percent": other.tolerance_percent,
        "preferred": _preferred(read),
        "other_preferred": _preferred(other),
    }
    return replace(read, remarks=(Remark("reads_both_ways", facts), *read.remarks))


def bands_for(resistance_ohm: float, tolerance_percent: float) -> tuple[str, ...]:
    """Return the colours for a resistance and a ± tolerance of 0.1 to 20 %: two digits when they say it, else three.

    Under 2 % there are always three. A tolerance of 20 % has no band, so there only two digits can be told apart. Range
    0.01 Ω (three digits only: 0.1 Ω) to 999 GΩ (two digits only: 99 GΩ). Raises BadInput: not_finite, out_of_range;
    not_one_of for the tolerance, and for a resistance of more digits (facts given, choices: the nearest with bands).
    """
    names = {percent: name for name, percent in _TOLERANCES.items()} | {NO_BAND_PERCENT: ""}
    if tolerance_percent not in names:
        raise BadInput("not_one_of", "tolerance_percent", given=tolerance_percent, choices=tuple(sorted(names)))
    least = 2 if tolerance_percent >= 2 else 3
    most = 2 if tolerance_percent == NO_BAND_PERCENT else 3
    low, high = 10.0 ** (least - 1 + min(_POWERS.values())), (10**most - 1) * 10.0 ** max(_POWERS.values())
    in_range("resistance_ohm", resistance_ohm, "Ω", low, high)
    nearest = {}
    for digits in range(least, most + 1):
        bands, value = _banded(resistance_ohm, digits)
        if math.isclose(value, resistance_ohm, rel_tol=1e-9):
            return tuple(filter(None, (*bands, names[tolerance_percent])))
        nearest[abs(value - resistance_ohm)] = value
    raise BadInput("not_one_of", "resistance_ohm", given=resistance_ohm, choices=(nearest[min(nearest)],))


def _banded(resistance_ohm: float, digits: int) -> tuple[tuple[str, ...], float]:
    """Return the bands, without tolerance, and the value nearest to a resistance with so many digits.

    Where its power of ten has no colour there are no bands and the value is 0.
    """
    mantissa, power = f"{resistance_ohm:.{digits - 1}e}".split("e")
    whole, exponent = mantissa.replace(".", ""), int(power) - digits + 1
    multipliers = [name for name, place in _POWERS.items() if place == exponent]
    if not multipliers:
        return (), 0.0
    return (*(COLOURS[int(digit)].name for digit in whole), *multipliers), float(f"{whole}e{exponent}")


def _named(colours: Sequence[str]) -> list[str]:
    named = [_ALIKE.get(each.strip().lower(), each.strip().lower()) for each in colours]
    in_range("colours", len(named), "", 3, 6)
    return named


def _read(named: list[str]) -> Banded | None:
    """Return what the bands say in this direction; None when they say nothing."""
    many = 2 if len(named) <= 4 else 3
    digits, power, rest = named[:many], named[many], named[many + 1 :]
    tolerance = _TOLERANCES.get(rest[0]) if rest else NO_BAND_PERCENT
    drift = _DRIFTS.get(rest[1]) if len(rest) > 1 else None
    if not set(digits) <= set(_DIGITS) or power not in _POWERS or tolerance is None:
        return None
    # A leading black says nothing, unless all are black: a link.
    if (len(rest) > 1 and drift is None) or (digits[0] == "black" and len(set(digits)) > 1):
        return None
    value = float(f"{''.join(str(_DIGITS[each]) for each in digits)}e{_POWERS[power]}")
    memory = () if drift is None else (Remark("from_memory", {"of": "drift"}),)
    link = (Remark("zero_ohm_link"),) if value == 0 else ()
    return Banded(value, tolerance, drift, memory + link)


def _refused(named: list[str], otherwise: str) -> BadInput:
    """Return why the bands say nothing: a disputed tolerance, or otherwise the code that is given."""
    place = 3 if len(named) <= 4 else 4
    if len(named) > 3 and named[place] in _DISPUTED:
        settled = _read([*named[:place], "gold", *named[place + 1 :]])
        if settled is not None:
            readings = _DISPUTED[named[place]]
            given = " ".join(named)
            return BadInput(
                "ambiguous", "colours", given=given, readings=readings, resistance_ohm=settled.resistance_ohm
            )
    return BadInput(otherwise, "colours", given=" ".join(named), like=("yellow violet red gold",))


def _preferred(read: Banded) -> bool:
    return read.resistance_ohm > 0 and bool(series_with(read.resistance_ohm))
