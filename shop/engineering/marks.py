"""What a mark on a part may say: every reading of it, each with the convention that was assumed.

A mark does not tell which convention its maker followed: "104K" is 0.1 µF ± 10 %, 100 kΩ ± 10 % or 104 kΩ. The readings
are those of IEC 60062 letter codes, of digit codes, of rated-voltage codes, of the plain number (of picofarads on old
ceramics, of microfarads on cans), and of the voltage and value in one on film capacitors (2A104J). The last two are
common practice.
"""

import re
from dataclasses import dataclass

from shop.engineering.digit_codes import Convention, digit_readings, read_digit_code
from shop.engineering.inputs import BadInput, Remark
from shop.engineering.letter_codes import Quantity, read_letter_code
from shop.engineering.preferred import Series, series_with
from shop.engineering.tolerances import Tolerance, settled, tolerance_readings
from shop.engineering.voltage_codes import TWO_CHARACTERS_V, voltage_of_can_letter, voltage_of_code

LETTER_CODE, VOLTAGE_CODE, CAN_LETTER, VOLTAGE_AND_VALUE = "letter_code", "voltage_code", "can_letter", "voltage_value"
PLAIN_PF, PLAIN_UF = "plain_pf", "plain_uf"
CONVENTIONS = (
    LETTER_CODE, *map(str, Convention), PLAIN_PF, PLAIN_UF, VOLTAGE_CODE, CAN_LETTER, VOLTAGE_AND_VALUE,
)  # fmt: skip
# A plain number has no nought before its digits, and no V behind them: that makes volts.
_PLAIN = re.compile(r"([1-9][0-9]{0,4}|[0-9]{0,3}\.[0-9]{1,3})([A-UW-Z]?)")
# The power of ten of a plain number's unit, and what parts with one have in farads (common practice).
_PLAIN_UNITS = {PLAIN_PF: (-12, 1e-12, 1e-7), PLAIN_UF: (-6, 1e-9, 0.1)}
_OHMS = (Convention.OHMS, Convention.EIA_96)


@dataclass(frozen=True, slots=True)
class MarkReading:
    """One reading of a mark: ohms, farads or volts, by a convention; and what else the mark says in it."""

    quantity: Quantity
    value: float
    convention: str
    tolerance: Tolerance | None = None
    rated_voltage_v: float | None = None
    remarks: tuple[Remark, ...] = ()


def readings_of(mark: str, quantity: Quantity | None = None) -> tuple[MarkReading, ...]:
    """Return every reading of a mark that a real part could have; only those of a quantity when it is known.

    Values in ohms, farads or volts. Raises BadInput: unreadable when there is none. Sources: as the modules of the
    conventions say. "6V3" is a voltage and nothing else.
    """
    found = (*_letter(mark), *_digits(mark), *_plain(mark), *_voltages(mark), *_voltage_and_value(mark))
    wanted = tuple(each for each in found if quantity is None or each.quantity is quantity)
    if not wanted:
        raise BadInput("unreadable", "mark", given=mark, like=("4K7", "103", "104K", "01C", "1H", "2A104J"))
    return wanted


def read_mark(mark: str, quantity: Quantity | None = None, convention: str | None = None) -> MarkReading:
    """Return the one reading of a mark; the convention is one of CONVENTIONS, and is asked for when it is open.

    Readings that give the same value of the same quantity are one. Raises BadInput: unreadable; ambiguous (fact
    readings) when more than one value comes into question; not_one_of for the convention (facts given, choices).
    """
    if convention is not None and convention not in CONVENTIONS:
        raise BadInput("not_one_of", "convention", given=convention, choices=CONVENTIONS)
    found = readings_of(mark, quantity)
    chosen = tuple(each for each in found if convention in (None, each.convention))
    if not chosen:
        choices = tuple(dict.fromkeys(each.convention for each in found))
        raise BadInput("not_one_of", "convention", given=convention, choices=choices)
    if len({(each.quantity, each.value) for each in chosen}) > 1:
        raise BadInput("ambiguous", "mark", given=mark, readings=chosen)
    return chosen[0]


def _letter(mark: str) -> tuple[MarkReading, ...]:
    try:
        read = read_letter_code(mark)
    except BadInput:
        return ()
    return (MarkReading(read.quantity, read.value, LETTER_CODE, read.tolerance, None, read.remarks),)


def _digits(mark: str) -> tuple[MarkReading, ...]:
    try:
        found = digit_readings(mark)
    except BadInput:
        return ()
    return tuple(
        MarkReading(
            Quantity.RESISTANCE if each.convention in _OHMS else Quantity.CAPACITANCE,
            each.value,
            str(each.convention),
            each.tolerance,
            None,
            each.remarks,
        )
        for each in found
    )


def _plain(mark: str) -> tuple[MarkReading, ...]:
    """Return the readings as the number itself, which is one only when it is of the E24 series."""
    plain = _PLAIN.fullmatch("".join(mark.split()).upper())
    found = []
    for convention, (power, low, high) in _PLAIN_UNITS.items():
        value = float(f"{plain[1]}e{power}") if plain else 0.0
        if plain is None or not low <= value <= high or Series.E24 not in series_with(value):
            continue
        tolerances = tolerance_readings(plain[2], value)
        if plain[2] and not tolerances:
            continue
        tolerance, remarks = settled(tolerances)
        found.append(MarkReading(Quantity.CAPACITANCE, value, convention, tolerance, None, remarks))
    return tuple(found)


def _voltages(mark: str) -> tuple[MarkReading, ...]:
    found = []
    for convention, read in ((VOLTAGE_CODE, voltage_of_code), (CAN_LETTER, voltage_of_can_letter)):
        try:
            found.append(MarkReading(Quantity.VOLTAGE, read(mark), convention))
        except BadInput:
            continue
    return tuple(found)


def _voltage_and_value(mark: str) -> tuple[MarkReading, ...]:
    typed = mark.strip().upper()
    voltage_v = TWO_CHARACTERS_V.get(typed[:2])
    if voltage_v is None:
        return ()
    try:
        read = read_digit_code(typed[2:], Convention.PICOFARADS)
    except BadInput:
        return ()
    return (MarkReading(Quantity.CAPACITANCE, read.value, VOLTAGE_AND_VALUE, read.tolerance, voltage_v, read.remarks),)
