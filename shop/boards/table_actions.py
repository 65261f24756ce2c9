"""Import of placements and of a case's fasteners from tables: a dry run line by line, then all of it or nothing."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any, TypeVar
from uuid import UUID

from django.db import transaction

from shop.boards import editions
from shop.boards.checking import checked_screw, checked_spot
from shop.boards.entries import write_screw
from shop.boards.fastener_table import read_fasteners
from shop.boards.models import SCREW_FIELDS, SPOT_FIELDS, BoardEdition, BoardRevision, CaseFastener, Placement
from shop.boards.placement_table import read_placements
from shop.boards.spots import Screw, Spot
from shop.boards.tables import Complaint
from shop.core import trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.core.reasons import Reason, Refused

T = TypeVar("T", Spot, Screw)
LARGEST_CHARS = 2_000_000
_MOST_VALUES = 900  # SQLite takes no more than a thousand in one statement


@dataclass(frozen=True, slots=True)
class Line:
    """What a line of a table does or why it cannot: change is new, changed or same for a row, else empty."""

    line: int
    named: str
    change: str
    reason: Reason | None = None
    grave: bool = False


@dataclass(frozen=True, slots=True)
class Import:
    """What a table would do or did: its lines in order; written tells whether it was done."""

    lines: tuple[Line, ...]
    written: bool

    @property
    def wrong(self) -> int:
        """Return how many lines must be mended before anything is written."""
        return len({line.line for line in self.lines if line.grave})

    def count(self, change: str) -> int:
        """Return how many rows are new, changed or same."""
        return sum(line.change == change for line in self.lines)


def import_placements(
    *, actor: Actor, revision_id: UUID | str, text: str, unit: str = "", dry_run: bool = True
) -> Import:
    """Read a table of placements into a board and return what it does to each line.

    A row adds a placement or changes the one with its designator; what a row does not give stays as it was, and what
    no row names stays. unit (mm or mil) holds where the table names none. With dry_run nothing is written.
    Raises Missing, Refused: `table_refused` when a line is wrong and it is no dry run, `table_too_long`.
    """
    permit(actor, "boards.change")
    _refuse_long(text)
    with transaction.atomic():
        revision = lock(BoardRevision, pk=revision_id)
        before = editions.latest(revision) or BoardEdition(revision=revision)
        width, height = before.size_mm or (None, None)
        read = read_placements(text, unit="mil" if unit == "mil" else "", width_mm=width, height_mm=height)
        known = {row.designator: row.spot for row in Placement.objects.filter(edition=before)} if before.number else {}
        wanted = {spot.designator: _merged(spot, known.get(spot.designator), read.given) for spot in read.spots}
        unsaid = [each for each in read.complaints if not _is_known(each, wanted)]
        lines = [*_complaints(unsaid), *_changes(wanted, known, read.lines)]
        lines += _unfit(wanted, read.lines, lines, lambda spot: checked_spot(spot, before))
        return _finish(actor, revision, lines, dry_run, lambda edition: _write_spots(edition, wanted, known))


def import_fasteners(*, actor: Actor, revision_id: UUID | str, text: str, dry_run: bool = True) -> Import:
    """Read a table of a case's fasteners into a board, as `import_placements` does with placements."""
    permit(actor, "boards.change")
    _refuse_long(text)
    with transaction.atomic():
        revision = lock(BoardRevision, pk=revision_id)
        before = editions.latest(revision) or BoardEdition(revision=revision)
        width, height = before.case_mm or (None, None)
        read = read_fasteners(text, width_mm=width, height_mm=height)
        known = {row.label: row.screw for row in CaseFastener.objects.filter(edition=before)} if before.number else {}
        wanted = {screw.label: _merged_screw(screw, known.get(screw.label), read.given) for screw in read.screws}
        lines = [*_complaints(read.complaints), *_changes(wanted, known, read.lines)]
        lines += _unfit(wanted, read.lines, lines, lambda screw: checked_screw(screw, before))
        return _finish(actor, revision, lines, dry_run, lambda edition: _write_screws(edition, wanted))


def _refuse_long(text: str) -> None:
    if len(text) > LARGEST_CHARS:
        raise Refused(Reason("table_too_long", {"most": LARGEST_CHARS}, "table"))


def _merged(spot: Spot, known: Spot | None, given: Mapping[str, frozenset[str]]) -> Spot:
    """Return a known placement with what the row gives, a new one as it was read."""
    if known is None:
        return spot
    names = {name for name in given[spot.designator] if name in SPOT_FIELDS}
    if spot.positive and not spot.positive_checked and not (known.positive and known.positive_checked):
        names |= {"kind", "positive", "positive_checked"}  # reckoned from the row's rotation, and nobody has looked yet
    return replace(known, **{name: getattr(spot, name) for name in names})


def _merged_screw(screw: Screw, known: Screw | None, given: Mapping[str, frozenset[str]]) -> Screw:
    """Return a known group with what its rows give, a new one as it was read."""
    if known is None:
        return screw
    merged = replace(known, **{name: getattr(screw, name) for name in given[screw.label] if name in SCREW_FIELDS})
    return replace(merged, count=max(merged.count, len(merged.places_mm)))


def _is_known(complaint: Complaint, wanted: Mapping[str, Spot]) -> bool:
    """Tell whether a row leaves out where the plus points, or has it reckoned, though the library knows it already."""
    spot = wanted.get(str(complaint.facts.get("designator", "")))
    if spot is None or not spot.positive:
        return False
    reckoned = complaint.code == "table_positive_from_rotation" and spot.positive_checked
    return reckoned or complaint.code == "table_positive_missing"


def _complaints(complaints: Sequence[Complaint]) -> list[Line]:
    return [
        Line(each.line, "", "", Reason(each.code, dict(each.facts)), each.grave) for each in complaints
    ]  # fmt: skip


def _changes(wanted: Mapping[str, T], known: Mapping[str, T], at: Mapping[str, int]) -> list[Line]:
    return [
        Line(at[name], name, "new" if name not in known else "same" if known[name] == each else "changed")
        for name, each in wanted.items()
    ]


def _unfit(wanted: Mapping[str, T], at: Mapping[str, int], told: Sequence[Line], check: Callable[[T], T]) -> list[Line]:
    """Ask of each row that is not wrong already what is asked of one that is typed in, such as the board's variants."""
    unfit = []
    wrong = {line.line for line in told if line.grave}
    for name, each in wanted.items():
        if at[name] in wrong:
            continue
        try:
            check(each)
        except Refused as refused:
            unfit += [Line(at[name], name, "", reason, grave=True) for reason in refused.reasons]
    return unfit


def _finish(
    actor: Actor, revision: BoardRevision, lines: list[Line], dry_run: bool, write: Callable[[BoardEdition], None]
) -> Import:
    done = Import(tuple(sorted(lines, key=lambda line: line.line)), written=False)
    if dry_run:
        return done
    if done.wrong:
        raise Refused(Reason("table_refused", {"count": done.wrong}, "table"))
    if not done.count("new") + done.count("changed"):
        return replace(done, written=True)
    edition = editions.to_write(revision)
    write(edition)
    facts = {"edition": edition.number, "new": done.count("new"), "changed": done.count("changed")}
    trail.write(revision, actor, "board_imported", facts=facts)
    return replace(done, written=True)


def _write_spots(edition: BoardEdition, wanted: Mapping[str, Spot], known: Mapping[str, Spot]) -> None:
    """Store what is new in one go, and what has changed."""
    changed = {name: spot for name, spot in wanted.items() if known.get(name) != spot}
    kept = Placement.objects.filter(edition=edition)
    replaced = [row.pk for row in kept if row.designator in changed]
    for start in range(0, len(replaced), _MOST_VALUES):
        Placement.objects.filter(pk__in=replaced[start : start + _MOST_VALUES]).delete()
    rows = [Placement(edition=edition, **_columns(checked_spot(spot, edition))) for spot in changed.values()]
    Placement.objects.bulk_create(rows, batch_size=500)


def _columns(spot: Spot) -> dict[str, Any]:
    return {name: getattr(spot, name) for name in SPOT_FIELDS} | {"variants": list(spot.variants)}


def _write_screws(edition: BoardEdition, wanted: Mapping[str, Screw]) -> None:
    for screw in wanted.values():
        write_screw(edition, checked_screw(screw, edition))
