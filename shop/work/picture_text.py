"""How wide text is, and where its lines end, when the typeface is not known. Pure."""

import re
from collections.abc import Iterable, Iterator
from unicodedata import combining, east_asian_width

_UNIT = re.compile(r"(?<=\d) (?=\S{1,3}(?: |$))")  # between a figure and its unit no line ends


def wrapped(texts: Iterable[str], room_em: float, most: int) -> list[str]:
    """Return texts in lines of at most so many ems, each text in at most so many lines, cut with … beyond."""
    whole = (_UNIT.sub("\u00a0", " ".join(text.split())) for text in texts)
    return [line for text in whole for line in _lines(text, room_em, most)]


def _lines(text: str, room_em: float, most: int) -> Iterator[str]:
    for left in reversed(range(most)):
        if not text:
            return
        end = next((index for index in range(1, len(text)) if ems(text[: index + 1]) > room_em), len(text))
        if end < len(text):
            space = text.rfind(" ", 0, end + 1)
            end = space if space > 0 else end
        yield text[:end] if left or end == len(text) else text[: end - 1] + "…"
        text = text[end:].strip()


def ems(text: str) -> float:
    """Estimate how wide a text is in ems, rather too wide: the page's typeface is not known here."""
    return sum(map(_em_of, text))


def _em_of(mark: str) -> float:
    if combining(mark):
        return 0.0
    if east_asian_width(mark) in "WF":
        return 1.0
    if mark in " \u00a0.,:;il":
        return 0.33
    return 0.9 if mark in "mwMW×%@" else 0.7 if mark.isupper() else 0.63
