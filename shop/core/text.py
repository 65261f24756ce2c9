"""Checks on typed text, shared by the rooms' actions."""

import unicodedata

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


def choice(given: str, allowed: "list[str]", *, label: str, field: str = "") -> str:
    """Return given when it is one of allowed, else raise Refused with `not_a_choice`."""
    if given not in allowed:
        facts = {"label": label, "given": given[:40] or "–", "choices": ", ".join(allowed)}
        raise Refused(Reason("not_a_choice", facts, field))
    return given
