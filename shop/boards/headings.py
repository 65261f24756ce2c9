"""The headings of a table that another program wrote: which line, which dividing sign, which units. Pure.

They are compared without case, blanks and signs.
"""

import csv
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass

_LOOK_FOR_HEAD = 60  # lines
# An inch is 25.4 mm by the agreement of 1959, a mil or thou its thousandth.
MM_PER = {"mm": 1.0, **dict.fromkeys(("mil", "mils", "thou"), 0.0254), **dict.fromkeys(("in", "inch", "inches"), 25.4)}
_UNIT_LINE = re.compile(
    r"[#\s]*(?:.*\bunits?\b(?:\s+used)?\s*[:=]?\s*)?(mm|mils?|thou|inch(?:es)?|in)\b(?:\s*[,;.].*)?"
)
_HEADING = re.compile(r"(.*?)\s*(?:[(\[]([^)\]]*)[)\]]|[_\s](mm|mils?|thou|inch(?:es)?))")


@dataclass(frozen=True, slots=True)
class Head:
    """A line that may be the headings: its index, what divides it, headings as written, and each one's field or ""."""

    index: int
    delimiter: str
    headings: tuple[str, ...]
    fields: tuple[str, ...]

    @property
    def found(self) -> frozenset[str]:
        """Return the fields that a heading was found for."""
        return frozenset(self.fields) - {""}


def find_head(lines: Sequence[str], known: Mapping[str, str], needed: Collection[str]) -> Head | None:
    """Return the first line that reads as headings, else the first with words in it, so that it can be complained of.

    known: the field that each squashed heading means; needed: the fields without which they are no headings. None when
    there are no words at all. A comment, or words with nothing but blanks between them, must be headings for the
    greater part.
    """
    first = None
    for index, line in enumerate(lines[:_LOOK_FOR_HEAD]):
        comment = line.lstrip().startswith("#")
        heads = [
            _head_of(index, line.lstrip("# \t") if comment else line, sign, known) for sign in (",", ";", "\t", " ")
        ]
        best = max(heads, key=lambda head: len(head.found))
        complete = bool(best.found) and best.found.issuperset(needed)
        if comment or best.delimiter == " ":
            good = complete and 2 * len(best.found) > len(best.headings) > 1
        else:
            good = complete or len(best.found) > 1
        if good:
            return best
        if line.strip() and not comment:
            first = first or best
    return first


def _head_of(index: int, line: str, delimiter: str, known: Mapping[str, str]) -> Head:
    # Cut, so that no line is too long for the csv module.
    words = line.split() if delimiter == " " else next(csv.reader([line[:20_000]], delimiter=delimiter), [])
    headings = [word.strip(' "\r\n') for word in words]
    while headings and not headings[-1]:
        headings.pop()  # the line ends with a delimiter
    return Head(index, delimiter, tuple(headings), tuple(known.get(bare_heading(heading), "") for heading in headings))


def unit_line(lines: Iterable[str]) -> str:
    """Return the unit (a key of MM_PER) that a line of its own names, as `# Units: mil` does; "" when none does."""
    found = (_UNIT_LINE.fullmatch(line.strip()[:200].lower()) for line in lines)
    return next((match[1] for match in found if match), "")


def unit_of(heading: str) -> str:
    """Return the unit (a key of MM_PER) behind a heading, as in `X (mil)`; "" when there is none."""
    found = _HEADING.fullmatch(heading[:80])
    unit = (found[2] or found[3] or "").strip().lower() if found else ""
    return unit if unit in MM_PER else ""


def bare_heading(heading: str) -> str:
    """Return a heading without its unit, in the form in which headings are compared."""
    found = _HEADING.fullmatch(heading[:80])
    return squash(found[1] if found else heading)


def squash(words: str) -> str:
    """Return a heading or a word in the form in which they are compared: letters and digits, without case."""
    return "".join(letter for letter in words.casefold() if letter.isalnum())
