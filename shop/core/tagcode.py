"""Codes people read and type: Crockford's base 32 with its check symbol.

Source: Douglas Crockford, "Base 32" (alphabet, the reading of I, L and O, check symbol = value modulo 37 with the
five extra symbols * ~ $ = U). The check symbol is printed and typed; an address carries the code without it.
"""

import secrets
import unicodedata

from shop.core.reasons import Reason, Refused

ALPHABET = "0123456789ABCDEFGHJKMNPQRSTVWXYZ"
CHECKS = ALPHABET + "*~$=U"
LENGTH = 7
_READ_AS = str.maketrans({"I": "1", "L": "1", "O": "0"})


def encode(value: int, length: int = LENGTH) -> str:
    """Write a number from 0 to 32**length - 1 with exactly length symbols. Raises ValueError outside that range."""
    if not 0 <= value < 32**length:
        raise ValueError(f"{value} does not fit {length} symbols")
    return "".join(ALPHABET[value >> 5 * place & 31] for place in reversed(range(length)))


def decode(code: str) -> int:
    """Return the number that a code without check symbol stands for. Raises ValueError for a foreign symbol."""
    value = 0
    for symbol in code:
        value = value * 32 + ALPHABET.index(symbol)
    return value


def check_symbol(code: str) -> str:
    """Return the check symbol of a code: its value modulo 37."""
    return CHECKS[decode(code) % 37]


def printed(code: str) -> str:
    """Write a code as labels do, in two groups with the check symbol last: ``K7Q-2M9FX``."""
    return f"{code[:3]}-{code[3:]}{check_symbol(code)}"


def new_code() -> str:
    """Draw a code at random (35 bits: a label is an address, not a secret)."""
    return encode(secrets.randbelow(32**LENGTH))


def tidy(typed: str) -> str:
    """Fold case, drop blanks and every sort of hyphen, and read I, L and O as Crockford says."""
    folded = "".join(typed.upper().replace("\u2212", "-").split()).translate(_READ_AS)
    return "".join(symbol for symbol in folded if unicodedata.category(symbol) not in ("Pd", "Cf"))


def read_typed(typed: str) -> str:
    """Return the code that a person typed with its check symbol.

    Raises Refused with `code_malformed` (not a code at all) or `code_check_wrong` (one symbol mistyped).
    """
    folded = tidy(typed)
    well_formed = len(folded) == LENGTH + 1 and set(folded[:-1]) <= set(ALPHABET) and folded[-1] in CHECKS
    if not well_formed:
        raise Refused(Reason("code_malformed", {"given": typed[:40], "length": LENGTH}))
    if check_symbol(folded[:-1]) != folded[-1]:
        raise Refused(Reason("code_check_wrong", {"given": typed[:40]}))
    return folded[:-1]
