"""Rated-voltage codes: a digit and a letter in part numbers and on cans, and the single letter on SMD cans.

Read in two makers' sheets: Samwha's part-number system (two characters) and nichicon's CD series (one letter, and 2A
for 100 V). On an SMD can 6.3 V is a small j, which must not be taken for the J of 63 V. Tantalum chips are not covered:
their capital J is 6.3 V (from memory).
"""

from shop.engineering.inputs import BadInput

TWO_CHARACTERS_V = {
    "0E": 2.5, "0G": 4.0, "0J": 6.3, "1A": 10.0, "1C": 16.0, "1D": 20.0, "1E": 25.0, "1V": 35.0, "1G": 40.0,
    "1H": 50.0, "1J": 63.0, "1K": 80.0, "2A": 100.0, "2C": 160.0, "2D": 200.0, "2E": 250.0, "2F": 315.0, "2V": 350.0,
    "2G": 400.0, "2W": 450.0, "2H": 500.0,
}  # fmt: skip
CAN_LETTERS_V = {"j": 6.3, "A": 10.0, "C": 16.0, "E": 25.0, "V": 35.0, "H": 50.0, "J": 63.0, "K": 80.0, "2A": 100.0}


def voltage_of_code(code: str) -> float:
    """Return the rated voltage, in volts, of a code of two characters such as 1C: 2.5 to 500 V.

    Capitals do not matter. Raises BadInput: unreadable. Source: Samwha, part-number system.
    """
    return _look_up(TWO_CHARACTERS_V, code.strip().upper(), code)


def voltage_of_can_letter(code: str) -> float:
    """Return the rated voltage, in volts, of the letter on an aluminium SMD can: 6.3 to 100 V.

    Capitals matter: j is 6.3 V and J is 63 V. Raises BadInput: unreadable. Source: nichicon, CD series.
    """
    return _look_up(CAN_LETTERS_V, code.strip(), code)


def code_of_voltage(voltage_v: float) -> str:
    """Return the code of two characters of a rated voltage in volts. Raises BadInput: not_one_of."""
    return _look_back(TWO_CHARACTERS_V, voltage_v)


def can_letter_of_voltage(voltage_v: float) -> str:
    """Return the letter on an aluminium SMD can of a rated voltage in volts. Raises BadInput: not_one_of."""
    return _look_back(CAN_LETTERS_V, voltage_v)


def _look_up(table: dict[str, float], sought: str, given: str) -> float:
    if sought not in table:
        raise BadInput("unreadable", "code", given=given, like=tuple(table)[:4])
    return table[sought]


def _look_back(table: dict[str, float], voltage_v: float) -> str:
    for code, volts in table.items():
        if volts == voltage_v:
            return code
    raise BadInput("not_one_of", "voltage_v", given=voltage_v, choices=tuple(sorted(table.values())))
