"""Checks on typed text, shared by the rooms' actions."""

import unicodedata
from collections.abc import Collection

from shop.core.reasons import Reason, Refused


def words(text: str, *, label: str, field: str = "", limit: int = 2000, required: bool = True) -> str:
    """Return text trimmed, in NFC, without control characters other than line ends.

    Raises Refused with `blank` or `too_long`, naming the field by its label.
    """
    normal = unicodedata.normalize("NFC", text)
    kept = "".join(c for c in normal if c in "\n\t" or unicodedata.category(c) not in ("Cc", "Cs")).strip()
    if required and not kept:
        raise Refused(Reason("blank", {"label": label}, field))
    if len(kept) > limit:
        raise Refused(Reason("too_long", {"label": label, "limit": limit}, field))
    return kept


# Marks that make what follows read from the other side: a name with one of them can look like another name.
_TURNING = frozenset("\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
_HIDDEN = frozenset({"Cc", "Cs", "Zl", "Zp"})


def line(text: str, *, label: str, field: str = "", limit: int = 120, required: bool = True) -> str:
    """Return text as one line in NFC, blanks folded to one: for names, codes and everything that ends in a header.

    Raises Refused with `hidden_character` (a control character, a line end inside, a mark that turns the direction),
    `blank` or `too_long`.
    """
    kept = unicodedata.normalize("NFC", text).strip()
    if any(c in _TURNING or unicodedata.category(c) in _HIDDEN for c in kept):
        raise Refused(Reason("hidden_character", {"label": label}, field))
    return words(" ".join(kept.split()), label=label, field=field, limit=limit, required=required)


def whole(number: int, *, low: int, high: int, label: str, field: str = "") -> int:
    """Return number when it lies from low to high, else raise Refused with `out_of_range`."""
    if not low <= number <= high:
        raise Refused(Reason("out_of_range", {"label": label, "low": low, "high": high}, field))
    return number


def choice(given: str, allowed: Collection[str], *, label: str, field: str = "") -> str:
    """Return given when it is one of allowed, else raise Refused with `not_a_choice`."""
    if given not in allowed:
        facts = {"label": label, "given": given[:40] or "–", "choices": ", ".join(allowed)}
        raise Refused(Reason("not_a_choice", facts, field))
    return given
