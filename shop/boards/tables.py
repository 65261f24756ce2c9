"""Tables that other programs wrote: which sign divides the columns, what the headings mean, which rows there are. Pure.

A table is comma-, semicolon- or tab-separated text with quotes as RFC 4180 has them, or words aligned with blanks whose
heading line begins with #. What is wrong with it comes back as complaints; nothing raises. Codes, with those of what is
read in its `cells`: table_empty, nul_character, quote_unreadable, column_missing, column_twice, row_ragged,
rows_too_many, number_unreadable, number_out_of_range, word_unknown; and as remarks column_unknown, column_second,
lines_before_head.
"""

import csv
import io
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from shop.boards.headings import Head, bare_heading, find_head, squash, unit_line, unit_of

MOST_ROWS = 10_000
_FORMULA = re.compile(r"[\s']*[=+\-@]")


@dataclass(frozen=True, slots=True)
class Complaint:
    """What is wrong in a line (from 1) of a table: a code and facts; a grave one stops the import, others remark."""

    line: int
    code: str
    facts: Mapping[str, object] = field(default_factory=dict)
    grave: bool = True


@dataclass(frozen=True, slots=True)
class Row:
    """The cells of one row by our field names, without blanks around them, and the line that it begins in."""

    line: int
    cells: Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Table:
    """What was read: the fields that have a column, the unit of each that names one, and of the others ("" unknown)."""

    rows: tuple[Row, ...] = ()
    columns: frozenset[str] = frozenset()
    units: Mapping[str, str] = field(default_factory=dict)
    unit: str = ""
    delimiter: str = ","
    complaints: tuple[Complaint, ...] = ()


def read_table(text: str, known: Mapping[str, tuple[str, ...]], needed: Collection[str] = ()) -> Table:
    """Return the rows of a table under our field names. known: each field's headings, the best first.

    Headings count without case, blanks and signs; a unit may stand behind them as in `X (mil)`. Of two headings for one
    field the better known one is taken. Lines that begin with # are comments. At most 10,000 rows are read.
    """
    if "\0" in text:
        return Table(complaints=(Complaint(text.count("\n", 0, text.index("\0")) + 1, "table_nul_character"),))
    lines = list(io.StringIO(text.removeprefix("\ufeff"), newline=""))
    head = find_head(lines, {squash(word): name for name in known for word in known[name]}, needed)
    if head is None:
        return Table(complaints=(Complaint(1, "table_empty"),))
    chosen, complaints = _choose(head, known)
    before = [line for line in lines[: head.index] if line.strip() and not line.lstrip().startswith("#")]
    if before:
        complaints.append(Complaint(1, "table_lines_before_head", {"count": len(before)}, grave=False))
    missing = [name for name in needed if name not in chosen]
    if missing:
        facts = {"columns": tuple(missing), "seen": tuple(shortened(heading) for heading in head.headings)}
        return Table(complaints=(*complaints, Complaint(head.index + 1, "table_column_missing", facts)))
    rows = tuple(_rows(lines[head.index + 1 :], head, chosen, complaints))
    units = {name: unit for name, at in chosen.items() if (unit := unit_of(head.headings[at]))}
    # One heading with a unit speaks for those beside it, unless the file says more.
    unit = unit_line(lines[: head.index]) or (next(iter(units.values())) if len(set(units.values())) == 1 else "")
    return Table(rows, frozenset(chosen), units, unit, head.delimiter, tuple(complaints))


def write_table(header: Sequence[str], rows: Iterable[Sequence[str | float | None]]) -> str:
    """Return CSV by RFC 4180; a text that a spreadsheet would take for a formula gets an apostrophe in front."""
    out = io.StringIO()
    writer = csv.writer(out)
    writer.writerow(header)
    writer.writerows([_written(cell) for cell in row] for row in rows)
    return out.getvalue()


def shortened(text: str) -> str:
    """Return a text of at most 40 letters, as a fact of a complaint."""
    return text if len(text) <= 40 else f"{text[:39]}…"


def _choose(head: Head, known: Mapping[str, tuple[str, ...]]) -> tuple[dict[str, int], list[Complaint]]:
    """Return the column of each field, and complaints about the columns that are none or one too many."""
    chosen: dict[str, int] = {}
    complaints = []
    line, plain = head.index + 1, [bare_heading(heading) for heading in head.headings]
    for at, (heading, name) in enumerate(zip(head.headings, head.fields, strict=True)):
        facts = {"column": shortened(heading)}
        if not name:
            complaints += [Complaint(line, "table_column_unknown", facts, grave=False)] if heading else []
        elif plain[at] in plain[:at]:
            complaints.append(Complaint(line, "table_column_twice", facts))
        elif name not in chosen:
            chosen[name] = at
        else:
            rank = [squash(word) for word in known[name]]
            best, other = sorted((chosen[name], at), key=lambda column: rank.index(plain[column]))
            chosen[name] = best
            facts = {"column": shortened(head.headings[other]), "taken": shortened(head.headings[best])}
            complaints.append(Complaint(line, "table_column_second", facts, grave=False))
    return chosen, complaints


def _rows(lines: Sequence[str], head: Head, chosen: Mapping[str, int], complaints: list[Complaint]) -> Iterator[Row]:
    """Yield the rows below the headings that have a cell for each; complain of the others."""
    wanted = len(head.headings)
    records = (
        (at, cells) for at, cells in _records(lines, head.delimiter) if cells is None or any(map(str.strip, cells))
    )
    for count, (at, cells) in enumerate(records):
        line = head.index + 2 + at
        if count == MOST_ROWS:
            complaints.append(Complaint(line, "table_rows_too_many", {"most": MOST_ROWS}))
            return
        if cells is None:
            complaints.append(Complaint(line, "table_quote_unreadable"))
        elif len(cells) < wanted or any(map(str.strip, cells[wanted:])):
            complaints.append(Complaint(line, "table_row_ragged", {"cells": len(cells), "columns": wanted}))
        else:
            yield Row(line, {name: _read(cells[column]) for name, column in chosen.items()})


def _records(lines: Sequence[str], delimiter: str) -> Iterator[tuple[int, list[str] | None]]:
    """Yield where each record begins, and its cells or, for the last one, None when its quotes cannot be read."""
    begun, inside = 0, False

    def feed() -> Iterator[str]:
        nonlocal begun, inside
        for at, line in enumerate(lines):
            if inside:  # a cell in quotes goes on: no comment, whatever it begins with
                yield line
            elif not line.lstrip().startswith("#"):
                begun, inside = at, True
                yield line

    if delimiter == " ":
        yield from ((at, line.split()) for at, line in enumerate(lines) if not line.lstrip().startswith("#"))
        return
    try:
        for cells in csv.reader(feed(), delimiter=delimiter, strict=True, skipinitialspace=True):
            inside = False
            yield begun, cells
    except csv.Error:
        yield begun, None


def _read(cell: str) -> str:
    bare = cell.strip()
    return bare[1:] if bare.startswith("'") and _FORMULA.match(bare) else bare


def _written(cell: str | float | None) -> str:
    """Return a cell as text: numbers in full, so that they come back the same, and no text that reads as a formula."""
    if cell is None:
        return ""
    if isinstance(cell, str):
        return f"'{cell}" if _FORMULA.match(cell) else cell
    return repr(float(cell)).removesuffix(".0")
