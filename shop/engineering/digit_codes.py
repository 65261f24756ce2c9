"""Values written as digits and a power of ten, and the conventions that disagree about them.

The last digit is the number of zeros; on a part a last digit 9 divides by ten (from memory). A resistor counts in ohms
and a ceramic or film capacitor in picofarads. In the part number of an electrolytic capacitor some makers count in
picofarads, up to nine zeros (477 is 470 µF, Samwha), and some in microfarads (471 is 470 µF, Panasonic): the code alone
does not tell.
"""

import re
from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput
from shop.engineering.preferred import Series


class Convention(StrEnum):
    """How a digit code is counted."""

    OHMS = "ohms"
    PICOFARADS = "picofarads"
    PART_NUMBER_PF = "part_number_pf"
    PART_NUMBER_UF = "part_number_uf"
    EIA_96 = "eia_96"


@dataclass(frozen=True, slots=True)
class DigitReading:
    """A value in ohms or farads, and the convention that was assumed."""

    value: float
    convention: Convention


_DIGITS = re.compile(r"([0-9]{2,3})([0-9])")
_POINTED = re.compile(r"([0-9]{0,3})R([0-9]{0,3})")
_EIA = re.compile(r"([0-9]{2})([ZYRXSABHCDEF])")
# From memory; where two letters are in use for one power both are read.
_EIA_POWERS = {"Z": -3, "Y": -2, "R": -2, "X": -1, "S": -1, "A": 0, "B": 1, "H": 1, "C": 2, "D": 3, "E": 4, "F": 5}
_UNITS = {
    Convention.OHMS: 0,
    Convention.PICOFARADS: -12,
    Convention.PART_NUMBER_PF: -12,
    Convention.PART_NUMBER_UF: -6,
}
# What a real part of each convention has; beyond, a reading is no help to anybody.
_SENSIBLE = {
    Convention.OHMS: (1e-2, 1e8),
    Convention.PICOFARADS: (1e-13, 1e-3),
    Convention.PART_NUMBER_PF: (1e-7, 0.1),
    Convention.PART_NUMBER_UF: (1e-7, 0.1),
}


def read_digit_code(code: str, convention: Convention) -> DigitReading:
    """Read a code of three or four digits, or one with R for the point, as a convention counts it.

    Raises BadInput with `unreadable`. Sources: IEC 60062 for the digits; EIA-96 with its letters from memory.
    """
    typed = code.strip().upper()
    if convention is Convention.EIA_96:
        return DigitReading(_eia_96(code, typed), convention)
    unit = _UNITS[convention]
    if pointed := _POINTED.fullmatch(typed):
        if not (pointed[1] or pointed[2]):
            raise BadInput("unreadable", "code", given=code, like=("4R7",))
        return DigitReading(float(f"{pointed[1] or 0}.{pointed[2] or 0}e{unit}"), convention)
    found = _DIGITS.fullmatch(typed)
    if found is None:
        raise BadInput("unreadable", "code", given=code, like=("103", "4R7"))
    divides = found[2] == "9" and convention in (Convention.OHMS, Convention.PICOFARADS)
    power = -1 if divides else int(found[2])
    return DigitReading(float(f"{found[1]}e{power + unit}"), convention)


def digit_readings(code: str, conventions: tuple[Convention, ...] = tuple(Convention)) -> tuple[DigitReading, ...]:
    """Return every reading of a code that a real part could have, among the conventions that come into question.

    Raises BadInput with `unreadable` when there is
    none.
    """
    found = []
    for convention in conventions:
        try:
            reading = read_digit_code(code, convention)
        except BadInput:
            continue
        low, high = _SENSIBLE.get(convention, (0.0, float("inf")))
        if low <= reading.value <= high:
            found.append(reading)
    if not found:
        raise BadInput("unreadable", "code", given=code, like=("103", "4R7", "01C"))
    return tuple(found)


def electrolytic_capacitance(code: str, convention: Convention | None = None) -> DigitReading:
    """Read the capacitance, in farads, in the part number of an electrolytic capacitor.

    Without a convention the code must have one sensible reading: 0.1 µF to 100 000 µF. Raises BadInput: `unreadable`,
    or `ambiguous` with the `readings`.
    """
    if convention is not None:
        return read_digit_code(code, convention)
    readings = digit_readings(code, (Convention.PART_NUMBER_PF, Convention.PART_NUMBER_UF))
    if len(readings) > 1:
        raise BadInput("ambiguous", "code", given=code, readings=readings)
    return readings[0]


def _eia_96(given: str, typed: str) -> float:
    found = _EIA.fullmatch(typed)
    if found is None or not 1 <= int(found[1]) <= Series.E96.size:
        raise BadInput("unreadable", "code", given=given, like=("01C", "68X"))
    return float(f"{Series.E96.hundreds[int(found[1]) - 1]}e{_EIA_POWERS[found[2]]}")
