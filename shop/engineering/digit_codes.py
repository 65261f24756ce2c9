"""Values written as digits, and the conventions that disagree about them.

The last digit is the number of zeros. A resistor counts in ohms, a ceramic, film or tantalum capacitor in picofarads;
there a last 9 divides by ten and a last 8 by a hundred (both from memory). In the part number of an electrolytic
capacitor some makers count in picofarads, up to nine zeros (477 is 470 µF, Samwha), and some in microfarads (471 is
470 µF, Panasonic). The code alone does not tell.
"""

import re
from dataclasses import dataclass
from enum import StrEnum

from shop.engineering.inputs import BadInput, Remark
from shop.engineering.preferred import Series
from shop.engineering.tolerances import LETTERS, Tolerance, settled, tolerance_readings


class Convention(StrEnum):
    """How a digit code is counted."""

    OHMS = "ohms"
    PICOFARADS = "picofarads"
    PART_NUMBER_PF = "part_number_pf"
    PART_NUMBER_UF = "part_number_uf"
    EIA_96 = "eia_96"


@dataclass(frozen=True, slots=True)
class DigitReading:
    """A value in ohms or farads, the convention that was assumed, and the tolerance when a letter settles one."""

    value: float
    convention: Convention
    tolerance: Tolerance | None = None
    remarks: tuple[Remark, ...] = ()


# Without V: digits with a V are volts (common practice).
_LETTER = f"([{LETTERS.replace('V', '')}]?)"
_DIGITS = re.compile(rf"([0-9]{{2,3}})([0-9]){_LETTER}")
_POINTED = re.compile(rf"([0-9]{{0,3}})R([0-9]{{0,3}}){_LETTER}")
_EIA = re.compile(r"([0-9]{2})([ZYRXSABHCDEF])")
# Read at developer.wildernesslabs.co, Components/Resistors/Reading: two letters are in use for three of the powers.
_EIA_POWERS = {"Z": -3, "Y": -2, "R": -2, "X": -1, "S": -1, "A": 0, "B": 1, "H": 1, "C": 2, "D": 3, "E": 4, "F": 5}
_OHM_CONVENTIONS = (Convention.OHMS, Convention.EIA_96)
_UNIT_POWERS = {
    Convention.OHMS: 0,
    Convention.PICOFARADS: -12,
    Convention.PART_NUMBER_PF: -12,
    Convention.PART_NUMBER_UF: -6,
}
# A last digit that divides, by convention; from memory.
_DIVIDING = {Convention.OHMS: {"9": -1}, Convention.PICOFARADS: {"9": -1, "8": -2}}
# What a real part of each convention has (common practice), in ohms or farads.
_USUAL = {
    Convention.OHMS: (1e-2, 1e8),
    Convention.PICOFARADS: (1e-13, 1e-3),
    Convention.PART_NUMBER_PF: (1e-7, 0.1),
    Convention.PART_NUMBER_UF: (1e-7, 0.1),
    Convention.EIA_96: (1e-2, 1e8),
}
_LIKE = ("103", "104K", "4R7", "01C")
_Parsed = tuple[float | None, str, tuple[Remark, ...]]


def read_digit_code(code: str, convention: Convention) -> DigitReading:
    """Read a code as one convention counts it: 103, 1002, 4R7, 104K, or 01C of EIA-96.

    A tolerance letter may follow, except in EIA-96, which is of 1 %. Remarks: `tolerance_disputed` (fact readings);
    `multiplier_from_memory` (facts digit, factor) for a last 8 or 9 that divides; `zero_ohm_link`; `unusual_value`
    (facts value, low, high, unit) beyond what parts of the convention have. Raises BadInput: unreadable. Sources:
    IEC 60062 for the digits, IEC 60063 for those of EIA-96; else as the module says.
    """
    typed = "".join(code.split()).upper()
    ohms = convention in _OHM_CONVENTIONS
    value, letter, remarks = (
        (_eia_96(typed), "F", ()) if convention is Convention.EIA_96 else _counted(typed, convention)
    )
    if value is None or (value == 0 and not ohms):
        raise BadInput("unreadable", "code", given=code, like=_LIKE)
    tolerance, disputed = settled(tolerance_readings(letter, None if ohms else value))
    return DigitReading(value, convention, tolerance, remarks + disputed + _about(value, convention))


def digit_readings(code: str, conventions: tuple[Convention, ...] = tuple(Convention)) -> tuple[DigitReading, ...]:
    """Return every reading of a code that a real part could have, among the conventions that come into question.

    Raises BadInput: unreadable when there is none. Otherwise like `read_digit_code`.
    """
    found = []
    for convention in conventions:
        try:
            reading = read_digit_code(code, convention)
        except BadInput:
            continue
        if all(remark.code != "unusual_value" for remark in reading.remarks):
            found.append(reading)
    if not found:
        raise BadInput("unreadable", "code", given=code, like=_LIKE)
    return tuple(found)


def electrolytic_capacitance(code: str, convention: Convention | None = None) -> DigitReading:
    """Read the capacitance, in farads, in the part number of an electrolytic capacitor.

    Without a convention the code must have one value from 0.1 µF to 100 000 µF. Raises BadInput: unreadable; ambiguous
    (fact readings), when picofarads and microfarads both give one; not_one_of for a convention of resistors.
    """
    if convention in _OHM_CONVENTIONS:
        choices = tuple(each for each in Convention if each not in _OHM_CONVENTIONS)
        raise BadInput("not_one_of", "convention", given=convention, choices=choices)
    if convention is not None:
        return read_digit_code(code, convention)
    readings = digit_readings(code, (Convention.PART_NUMBER_PF, Convention.PART_NUMBER_UF))
    if len(readings) > 1:
        raise BadInput("ambiguous", "code", given=code, readings=readings)
    return readings[0]


def _counted(typed: str, convention: Convention) -> _Parsed:
    """Return the value (None when there is none), the tolerance letter, and remarks on how the code was read.

    The code is digits with a power of ten, or digits with R for the point.
    """
    unit = _UNIT_POWERS[convention]
    if convention is Convention.OHMS and re.fullmatch("0{1,4}", typed):
        return 0.0, "", ()
    pointed = _POINTED.fullmatch(typed)
    # 47R is ohms; only as a point between or before digits is R in use for capacitors.
    if pointed and (pointed[2] or (pointed[1] and convention is Convention.OHMS)):
        return float(f"{pointed[1] or 0}.{pointed[2] or 0}e{unit}"), pointed[3], ()
    found = _DIGITS.fullmatch(typed)
    if found is None:
        return None, "", ()
    power = _DIVIDING.get(convention, {}).get(found[2])
    if power is None:
        return float(f"{found[1]}e{int(found[2]) + unit}"), found[3], ()
    remark = Remark("multiplier_from_memory", {"digit": int(found[2]), "factor": 10.0**power})
    return float(f"{found[1]}e{power + unit}"), found[3], (remark,)


def _eia_96(typed: str) -> float | None:
    found = _EIA.fullmatch(typed)
    if found is None or not 1 <= int(found[1]) <= Series.E96.size:
        return None
    return float(f"{Series.E96.hundreds[int(found[1]) - 1]}e{_EIA_POWERS[found[2]]}")


def _about(value: float, convention: Convention) -> tuple[Remark, ...]:
    if value == 0:
        return (Remark("zero_ohm_link"),)
    low, high = _USUAL[convention]
    if low <= value <= high:
        return ()
    unit = "Ω" if convention in _OHM_CONVENTIONS else "F"
    return (Remark("unusual_value", {"value": value, "low": low, "high": high, "unit": unit}),)
