"""What may stand in braces in a wording, and how it is filled in. Pure: no Django, no tables.

Nothing but names is looked up: no attribute, no index, no format. What is filled in is not read again, so a customer
whose name holds braces stays a name.
"""

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Protocol

from shop.core.reasons import Reason, Refused

Known = Mapping[str, str]
# Facts that are a yes or nothing: they decide whether a paragraph is said, and are no words themselves.
FLAGS = frozenset(
    {"by_mail", "paid", "renewed", "diagnosis", "waived", "given_back", "link", "link_withdrawn", "reply_to"}
)
_NAMED = re.compile(r"\{([a-z_]+)\}")
_BRACED = re.compile(r"\{[^{}]*\}?|\}")
_CONDITION = re.compile(r"\A\[if ([a-z_, ]+)\]\s*")


class Words(Protocol):
    """Text, or text that is translated when it is read."""

    def __str__(self) -> str: ...


@dataclass(frozen=True, slots=True)
class Line:
    """One paragraph, and when it is said: with every fact that it needs, and none of those that rule it out."""

    text: Words
    needs: tuple[str, ...] = ()
    without: tuple[str, ...] = ()

    def said(self, known: Known) -> bool:
        """Tell whether everything the line needs is known, and nothing that rules it out."""
        return all(known.get(name) for name in self.needs) and not any(known.get(name) for name in self.without)


def fill(text: Words, known: Known) -> str:
    """Return text with each {name} replaced by what is known of it; an unknown one by nothing."""
    return _NAMED.sub(lambda found: known.get(found[1], ""), str(text))


def names_in(text: Words) -> list[str]:
    """Return the names in braces, in order."""
    return _NAMED.findall(str(text))


def check(text: str, allowed: Collection[str], field: str) -> None:
    """Let text pass when its braces hold nothing but allowed names. Raises Refused: `placeholder_unknown`."""
    for braced in _BRACED.findall(text):
        named = _NAMED.fullmatch(braced)
        if not named or named[1] not in allowed:
            known = ", ".join(f"{{{name}}}" for name in sorted(allowed))
            raise Refused(Reason("placeholder_unknown", {"given": braced[:40], "known": known}, field))


def read_lines(paragraphs: str, names: Collection[str], field: str) -> tuple[Line, ...]:
    """Return the paragraphs that the owner wrote, an empty line between two.

    A paragraph may begin with a condition, `[if by_mail, not paid]`; it also needs every fact that it names. Raises
    Refused: `placeholder_unknown`, `condition_unknown`.
    """
    found = (part.strip() for part in re.split(r"\n[ \t]*\n", paragraphs.replace("\r\n", "\n")))
    return tuple(_read_line(part, names, field) for part in found if part)


def _read_line(part: str, names: Collection[str], field: str) -> Line:
    needs: list[str] = []
    without: list[str] = []
    if part.startswith("[if"):
        condition = _CONDITION.match(part)
        terms = condition[1].split(",") if condition else [part[:40]]
        for term in terms:
            _not, negated, name = term.strip().rpartition("not ")
            if condition is None or _not or name.strip() not in names:
                known = ", ".join(sorted(names))
                raise Refused(Reason("condition_unknown", {"given": term.strip()[:40], "known": known}, field))
            (without if negated else needs).append(name.strip())
        part = part[condition.end() :] if condition else part
    check(part, set(names) - FLAGS, field)
    return Line(part, tuple(dict.fromkeys([*needs, *names_in(part)])), tuple(without))


def written(line: Line) -> str:
    """Return a line as the owner would write it: `read_lines` reads the same from it."""
    text = str(line.text)
    terms = [name for name in line.needs if name not in names_in(text)] + [f"not {name}" for name in line.without]
    return f"[if {', '.join(terms)}] {text}" if terms else text
