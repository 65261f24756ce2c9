"""Values written with a letter in place of the decimal point: IEC 60062 (4K7 is 4.7 kΩ, 4n7 is 4.7 nF).

The letters are the standard's. A tolerance letter may follow. "6V3" is a voltage by habit of the trade and not in the
standard: it is read as a voltage and as nothing else.
"""

import re
from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput, in_range
from shop.engineering.tolerances import Tolerance, tolerance_of


class Quantity(StrEnum):
    """What a code is the value of."""

    RESISTANCE = "resistance"
    CAPACITANCE = "capacitance"
    VOLTAGE = "voltage"


# The power of ten of each letter. L for milliohms and µ written as u are read as well.
_POWERS: dict[Quantity, dict[str, int]] = {
    Quantity.RESISTANCE: {"L": -3, "R": 0, "K": 3, "M": 6, "G": 9, "T": 12},
    Quantity.CAPACITANCE: {"p": -12, "n": -9, "µ": -6, "m": -3, "F": 0},
    Quantity.VOLTAGE: {"V": 0},
}
_ALIKE = {"u": "µ", "μ": "µ", "k": "K", "r": "R", "Ω": "R", "v": "V"}
_CODE = re.compile(r"([0-9]{0,4})([LRKMGTpnµmFV])([0-9]{0,4})([A-Z]?)")


@dataclass(frozen=True, slots=True)
class Reading:
    """What a letter code says: the value in ohms, farads or volts, and the tolerance when a letter gives one."""

    quantity: Quantity
    value: float
    tolerance: Tolerance | None = None


def read_letter_code(code: str) -> Reading:
    """Read an IEC 60062 code such as R47, 4K7, 4n7, 1µ0J, or the trade's 6V3.

    Raises BadInput with `unreadable` for anything else, and `ambiguous` for a tolerance letter that makers disagree
    on. Source: IEC 60062:2016.
    """
    typed = "".join(_ALIKE.get(letter, letter) for letter in code.strip())
    found = _CODE.fullmatch(typed)
    if found is None or not (found[1] or found[3]):
        raise BadInput("unreadable", "code", given=code, like=("R47", "4K7", "4n7", "1µ0J"))
    before, letter, after, mark = found.groups()
    quantity = next(each for each, powers in _POWERS.items() if letter in powers)
    value = float(f"{before or 0}.{after or 0}e{_POWERS[quantity][letter]}")
    if quantity is Quantity.VOLTAGE and mark:
        raise BadInput("unreadable", "code", given=code, like=("6V3",))
    return Reading(quantity, value, tolerance_of(mark, value if quantity is Quantity.CAPACITANCE else None) if mark
                   else None)  # fmt: skip


def write_letter_code(value: float, quantity: Quantity, digits: int = 2) -> str:
    """Write a value in ohms or farads as a code with so many significant digits (1 to 4), rounding to them.

    Range 0.001 Ω to 9.99 TΩ and 0.1 pF to 9.99 F. Raises BadInput. Source: IEC 60062:2016.
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
    if ohms and step < 0 and exponent == -1:
        step = 0  # 0.47 Ω is written R47, not 470L
    shown = f"{float(f'{mantissa}e{exponent - step}'):.{max(0, digits - 1 - exponent + step)}f}"
    whole, _point, part = shown.partition(".")
    return f"{'' if whole == '0' else whole}{powers[step]}{part}"
