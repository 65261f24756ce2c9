"""Reference designators: what the class letters of a placement's name say that it is. Pure.

Standard: IEEE Std 315-1975 section 22, carried on by ASME Y14.44-2008. Its letters are given here from memory of it;
letters that sheets and layout programs use without the standard stand apart, also from memory.
"""

import re

from shop.boards.spots import Kind

# At most twelve characters: one to four letters, digits, and a letter or a number of its own behind them.
DESIGNATOR = re.compile(r"(?=.{2,12}\Z)[A-Z]{1,4}[0-9]+(?:[A-Z]|-[0-9]+)?\Z")

_CAPACITORS = (Kind.CAPACITOR, Kind.ELECTROLYTIC, Kind.TANTALUM, Kind.CERAMIC, Kind.FILM)
_EVERY = frozenset(Kind)
# IEEE 315 section 22.4, from memory. What the shop has no kind of its own for is OTHER.
_STANDARD: dict[str, tuple[Kind, ...]] = {
    "A": (Kind.OTHER,),  # a separable assembly
    "AR": (Kind.OTHER,),
    "AT": (Kind.OTHER,),
    "B": (Kind.OTHER,),  # motor, fan
    "BT": (Kind.BATTERY,),
    "C": _CAPACITORS,
    "CB": (Kind.SWITCH, Kind.FUSE, Kind.OTHER),  # circuit breaker
    "CP": (Kind.CONNECTOR,),
    "CR": (Kind.DIODE,),
    "D": (Kind.DIODE,),
    "DL": (Kind.OTHER,),
    "DS": (Kind.DIODE, Kind.OTHER),  # light-emitting diode or lamp
    "E": (Kind.INDUCTOR, Kind.CONNECTOR, Kind.OTHER),  # ferrite bead, terminal, spark gap
    "F": (Kind.FUSE,),
    "FL": (Kind.OTHER,),
    "G": (Kind.CRYSTAL, Kind.OTHER),  # oscillator
    "H": (Kind.OTHER,),
    "HR": (Kind.OTHER,),
    "HY": (Kind.OTHER,),
    "J": (Kind.CONNECTOR,),
    "K": (Kind.OTHER,),  # relay
    "L": (Kind.INDUCTOR,),
    "LS": (Kind.OTHER,),
    "M": (Kind.OTHER,),
    "MK": (Kind.OTHER,),
    "MP": (Kind.OTHER,),
    "P": (Kind.CONNECTOR,),
    "PS": (Kind.REGULATOR, Kind.OTHER),
    "Q": (Kind.TRANSISTOR, Kind.REGULATOR),  # a regulator on older sheets
    "R": (Kind.RESISTOR,),
    "RT": (Kind.RESISTOR,),
    "RV": (Kind.RESISTOR, Kind.OTHER),  # varistor
    "S": (Kind.SWITCH,),
    "T": (Kind.OTHER,),  # transformer
    "TB": (Kind.CONNECTOR,),
    "TC": (Kind.OTHER,),
    "TP": (Kind.OTHER,),
    "U": (Kind.IC, Kind.REGULATOR),
    "V": (Kind.OTHER,),  # electron tube
    "VR": (Kind.DIODE, Kind.REGULATOR, Kind.RESISTOR),  # the last, a variable resistor, by habit of Japanese sheets
    "W": (Kind.OTHER,),  # wire, cable
    "X": (Kind.CONNECTOR, Kind.CRYSTAL),  # a socket; a crystal by habit
    "XF": (Kind.CONNECTOR, Kind.FUSE),
    "XU": (Kind.CONNECTOR, Kind.IC),
    "Y": (Kind.CRYSTAL,),
    "Z": (Kind.OTHER, Kind.RESISTOR),  # a network
}
# Not in the standard, from memory.
_HABITS: dict[str, tuple[Kind, ...]] = {
    "BAT": (Kind.BATTERY,),
    "CN": (Kind.CONNECTOR, *_CAPACITORS),  # a connector, or a network of capacitors
    "CON": (Kind.CONNECTOR,),
    "EC": (Kind.ELECTROLYTIC,),
    "FB": (Kind.INDUCTOR,),
    "IC": (Kind.IC, Kind.REGULATOR),
    "JP": (Kind.CONNECTOR, Kind.SWITCH),
    "LED": (Kind.DIODE,),
    "RN": (Kind.RESISTOR,),
    "SW": (Kind.SWITCH,),
    "VC": _CAPACITORS,  # a trimmer
    "ZD": (Kind.DIODE,),
}
_KINDS = {letters: frozenset(kinds) for letters, kinds in (_STANDARD | _HABITS).items()}
_PARTS = re.compile(r"([^0-9]*)([0-9]*)(.*)", re.DOTALL)


def tidy(designator: str) -> str:
    """Return a designator as it is stored: upper case, without blanks."""
    return "".join(designator.split()).upper()


def letters(designator: str) -> str:
    """Return the class letters that a designator begins with, upper case; empty when it begins with none."""
    found = re.match("[A-Z]*", tidy(designator))
    return found[0] if found else ""


def kinds_of(designator: str) -> frozenset[Kind]:
    """Return the kinds that a designator's class letters allow; every kind for letters that are not known.

    Source: IEEE 315 section 22, and unofficial letters such as IC, SW and ZD; all from memory.
    """
    return _KINDS.get(letters(designator), _EVERY)


def natural_key(designator: str) -> tuple[str, int, str, int, str]:
    """Return a key that sorts designators as people do: C2 before C10, J1-2 before J1-10."""
    parts = _PARTS.match(tidy(designator))
    head, digits, rest = parts.groups() if parts else ("", "", "")
    # The longer of two numbers without leading noughts is the larger: no number is too long to compare so.
    number = digits.lstrip("0")
    return head, len(number), number, len(rest), rest
