"""What a new edition changes against the one that the customer saw before, line by line. Pure."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Any


class How(StrEnum):
    """What became of a line."""

    ADDED = "added"
    DROPPED = "dropped"
    CHANGED = "changed"


@dataclass(frozen=True, slots=True)
class LineChange:
    """One line that is new, gone or different. Sums are what the line came and comes to, in minor units.

    why is the line's own reason, as written on the new edition, or on the old one for a line that is gone.
    """

    how: How
    words: str
    words_before: str
    before_minor: int
    after_minor: int
    why: str
    optional: bool


# What makes a line another one for whoever pays it.
_TELLING = ("words", "quantity", "unit_minor", "net_minor", "tax_class", "optional", "one_of", "needs", "source")


def changes(before: Mapping[str, Any], after: Mapping[str, Any]) -> tuple[LineChange, ...]:
    """Return how the lines of one content (see `quotes.content`) differ from an earlier one's, in the new order.

    Lines are the same by their key; those that are gone come last. A line that reads and costs the same is left out.
    """
    old = {line["key"]: line for line in before["lines"]}
    new = {line["key"]: line for line in after["lines"]}
    found = [_changed(old.get(key), line) for key, line in new.items() if not _same(old.get(key), line)]
    return (*found, *(_dropped(line) for key, line in old.items() if key not in new))


def _same(old: Mapping[str, Any] | None, new: Mapping[str, Any]) -> bool:
    return old is not None and all(old.get(name) == new.get(name) for name in _TELLING)


def _changed(old: Mapping[str, Any] | None, new: Mapping[str, Any]) -> LineChange:
    return LineChange(
        how=How.CHANGED if old else How.ADDED,
        words=new["words"],
        words_before=old["words"] if old else "",
        before_minor=old["net_minor"] if old else 0,
        after_minor=new["net_minor"],
        why=new.get("why", ""),
        optional=new["optional"],
    )


def _dropped(old: Mapping[str, Any]) -> LineChange:
    return LineChange(How.DROPPED, old["words"], old["words"], old["net_minor"], 0, old.get("why", ""), old["optional"])
