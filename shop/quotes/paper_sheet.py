"""A decision's paper as plain data, worded: `paper_words` fills it, `paper_drawing` draws it."""

from dataclasses import dataclass

_GROUP_DIGITS = 4
_GROUPS_IN_A_ROW = 8


@dataclass(frozen=True, slots=True)
class Circumstances:
    """Who answered and from where, and where and for whom the paper is written.

    by_role is the actor's role; zone and locale (like en_US) are those to write for; check_at is the full address of
    the page that checks papers.
    """

    by_role: str
    address: str
    agent: str
    zone: str
    locale: str
    check_at: str


@dataclass(frozen=True, slots=True)
class Grid:
    """A table: head, rows, the columns' shares of the width, and from which column on there are figures.

    In a cell the first line says what, the lines after it explain.
    """

    head: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    shares: tuple[float, ...]
    figures_from: int


Pairs = tuple[tuple[str, str], ...]


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that stands on the paper. A grid without rows is left out."""

    title: str
    about: str
    sender: str
    answer: Pairs
    remarks: Pairs
    lines: Grid
    left: Grid
    taxes: Grid
    sums: Pairs
    terms: Pairs
    closing: str
    hashes: Pairs
    check: str
    check_address: str


def grouped(sha256: str) -> str:
    """Return a hash in groups of four digits, eight to a line, for an eye that compares."""
    groups = [sha256[at : at + _GROUP_DIGITS] for at in range(0, len(sha256), _GROUP_DIGITS)]
    rows = [groups[at : at + _GROUPS_IN_A_ROW] for at in range(0, len(groups), _GROUPS_IN_A_ROW)]
    return "\n".join(" ".join(row) for row in rows)


def one_line(text: str) -> str:
    """Return text on one line."""
    return " ".join(text.split())
