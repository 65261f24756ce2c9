"""Finding a customer whatever the script, the case or the accents of what was typed.

SQLite compares without regard to case in ASCII only, so a folded copy of what is sought for stands in its own column.
"""

import unicodedata
from typing import Any

from django.db import models

_MOST_WORDS = 8
_PHONE_SIGNS = str.maketrans("", "", " +()-./")
_SHORTEST_PHONE = 3


def fold(text: str) -> str:
    """Return text without case, width or accents, in any script, blanks folded to one."""
    apart = unicodedata.normalize("NFKD", text)
    return " ".join("".join(c for c in apart if not unicodedata.combining(c)).casefold().split())


def terms(typed: str) -> list[str]:
    """Return the folded pieces that must all be found; a phone number is one piece, without its punctuation."""
    folded = fold(typed)
    digits = folded.translate(_PHONE_SIGNS)
    if digits.isdecimal() and len(digits) >= _SHORTEST_PHONE:
        return [digits.lstrip("0") or digits]
    return folded.split()[:_MOST_WORDS]


class FoldedField(models.CharField):
    """A column derived from others of its row when the row is saved, as auto_now derives a time."""

    def __init__(self, *args: Any, sources: tuple[str, ...] = (), **kwargs: Any) -> None:
        self.sources = sources
        super().__init__(*args, **kwargs)

    def deconstruct(self) -> tuple[str, str, Any, Any]:
        """Let migrations write the field down."""
        name, path, args, kwargs = super().deconstruct()
        return name, path, args, {**kwargs, "sources": self.sources}

    def pre_save(self, model_instance: models.Model, add: bool) -> str:  # noqa: ARG002
        """Fold the sources, cut to the column's length; a line end keeps one from running into the next."""
        folded = "\n".join(fold(getattr(model_instance, source)) for source in self.sources)[: self.max_length]
        setattr(model_instance, self.attname, folded)
        return folded
