"""Values written with a letter in place of the decimal point: IEC 60062 (4K7 is 4.7 kΩ, 4n7 is 4.7 nF).

The letters are the standard's. A tolerance letter may follow. "6V3" is a voltage by habit of the trade and not in the
standard: it is read as a voltage and as nothing else.
"""

import re
from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput, Remark, in_range
from shop.engineering.tolerances import LETTERS, Tolerance, settled, tolerance_readings


class Quantity(StrEnum):
    """What a code is the value of."""

    RESISTANCE = "resistance"
    CAPACITANCE = "capacitance"
    VOLTAGE = "voltage"


# The power of ten of each letter; L for milliohms.
_POWERS: dict[Quantity, dict[str, int]] = {
    Quantity.RESISTANCE: {"L": -3, "R": 0, "K": 3, "M": 6, "G": 9, "T": 12},
    Quantity.CAPACITANCE: {"p": -12, "n": -9, "µ": -6, "m": -3, "F": 0},
    Quantity.VOLTAGE: {"V": 0},
}
# As typed: u and the Greek letter for the micro sign, small letters where no other meaning is lost, ohm signs.
_ALIKE = {"u": "µ", "\N{GREEK SMALL LETTER MU}": "µ", "k": "K", "r": "R", "v": "V", "\N{OHM SIGN}": "Ω"}
_CODE = re.compile(rf"([0-9]{{0,4}})([LRKMGTpnµmFV])([0-9]{{0,4}})([{LETTERS}]?)")
_LIKE = ("R47", "4K7", "4n7", "1µ0J", "6V3")


@dataclass(frozen=True, slots=True)
class Reading:
    """What a letter code says: the value in ohms, farads or volts, and the tolerance when a letter settles one."""

    quantity: Quantity
    value: float
    tolerance: Tolerance | None = None
    remarks: tuple[Remark, ...] = ()


def read_letter_code(code: str) -> Reading:
    """Read an IEC 60062 code such as R47, 4K7, 4n7, 1µ0J, or the trade's 6V3. Up to four digits on either side.

    A capital M is mega and a small m milli. 0R is a link; no other zero is a value. Remarks: `tolerance_disputed`
    (fact readings) when makers disagree on the letter; `unit_or_tolerance` (fact letter) for a last F as in 100nF,
    which is taken for the unit, with no tolerance; `zero_ohm_link`. Raises BadInput: unreadable. Source: IEC
    60062:2016.
    """
    typed = "".join(_ALIKE.get(letter, letter) for letter in "".join(code.split()))
    typed = typed.removesuffix("Ω") if re.search("[LRKMGT]", typed) else typed.replace("Ω", "R")
    found = _CODE.fullmatch(typed)
    if found is None or not (found[1] or found[3]):
        raise BadInput("unreadable", "code", given=code, like=_LIKE)
    before, letter, after, mark = found.groups()
    quantity = next(each for each, powers in _POWERS.items() if letter in powers)
    value = float(f"{before or 0}.{after or 0}e{_POWERS[quantity][letter]}")
    if (quantity is Quantity.VOLTAGE and mark) or (value == 0 and quantity is not Quantity.RESISTANCE):
        raise BadInput("unreadable", "code", given=code, like=_LIKE)
    if quantity is Quantity.CAPACITANCE and mark == "F" and not after:
        return Reading(quantity, value, None, (Remark("unit_or_tolerance", {"letter": mark}),))
    tolerance, remarks = settled(tolerance_readings(mark, value if quantity is Quantity.CAPACITANCE else None))
    link = (Remark("zero_ohm_link"),) if value == 0 else ()
    return Reading(quantity, value, tolerance, remarks + link)


def write_letter_code(value: float, quantity: Quantity, digits: int = 2) -> str:
    """Write a value in ohms or farads as a code with so many significant digits (1 to 4), rounding to them.

    Range 0.001 Ω to 9.99 TΩ and 0.1 pF to 9.99 F. Raises BadInput: not_one_of for a voltage, not_finite, out_of_range.
    Source: IEC 60062:2016.
    """
    if quantity is Quantity.VOLTAGE:
        raise BadInput("not_one_of", "quantity", given=quantity, choices=(Quantity.RESISTANCE, Quantity.CAPACITANCE))
    in_range("digits", digits, "", 1, 4)
    ohms = quantity is Quantity.RESISTANCE
    in_range("value", value, "Ω" if ohms else "F", 1e-3 if ohms else 1e-13, 9.99e12 if ohms else 9.99)
    mantissa, power = f"{value:.{digits - 1}e}".split("e")
    powers = {power_of: letter for letter, power_of in _POWERS[quantity].items()}
    exponent = int(power)
    step = max((known for known in powers if known <= exponent), default=min(powers))
    if ohms and exponent == -1:
        step = 0  # 0.47 Ω is written R47, not 470L
    shown = f"{float(f'{mantissa}e{exponent - step}'):.{max(0, digits - 1 - exponent + step)}f}"
    whole, _point, part = shown.partition(".")
    return f"{'' if whole == '0' else whole}{powers[step]}{part}"
