"""Refusals as data: a code and the facts, worded once.

A room lists its sentences in `sentences.py` and teaches them here when the program starts; faces call `sentence`.
A test walks the code and finds every reason that has no sentence, and every sentence that no reason uses.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

# Text or lazily translated text; this module stays free of Django, so that pure modules may use it.
Sentences = Mapping[str, object]
_SENTENCES: dict[str, object] = {}


@dataclass(frozen=True, slots=True)
class Reason:
    """Why something cannot be done: a stable code, the facts to put in its sentence, and the field it concerns."""

    code: str
    facts: Mapping[str, Any] = field(default_factory=dict)
    field: str = ""


class Refused(Exception):
    """An action said no. Nothing was written. Carries one reason or more, most useful first."""

    def __init__(self, *reasons: Reason) -> None:
        super().__init__(", ".join(reason.code for reason in reasons))
        self.reasons = reasons

    @property
    def code(self) -> str:
        """Return the code of the first reason."""
        return self.reasons[0].code


class Noted(Refused):
    """An action said no, and that it did was written down: the transaction is kept, the repeat is not."""


class Missing(Refused):
    """What was asked for does not exist, or the asker may not know that it does."""


class Stale(Refused):
    """The page that asked shows an older version than the one stored."""


def teach(sentences: Sentences) -> None:
    """Add a room's sentences. Raises ValueError when a code is taught twice."""
    for code, text in sentences.items():
        if code in _SENTENCES and _SENTENCES[code] is not text:
            raise ValueError(f"two rooms word the reason {code!r}")
        _SENTENCES[code] = text


def known_codes() -> frozenset[str]:
    """Return every code that has a sentence."""
    return frozenset(_SENTENCES)


def sentence(reason: Reason) -> str:
    """Word a reason in the reader's language. Raises KeyError for a code without a sentence."""
    return str(_SENTENCES[reason.code]).format_map(dict(reason.facts))
