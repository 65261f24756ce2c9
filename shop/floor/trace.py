"""The trace: a unit's journey drawn as the printed-circuit trace it really took. Pure geometry, in SVG user units.

One pad for each visit to a stage, in the order of time, the first one square as pin 1 is; a cut where the unit was
held; where it went back, the trace goes through a via and runs on the other side of the board; what lies ahead is thin
and unrouted; a ring where the unit is now. The trace folds at the right edge as a meander does, so that a long history
fits a phone.
"""

from collections.abc import Sequence
from dataclasses import dataclass, field
from datetime import datetime

PER_ROW = 4
SLOT = 88
ROW = 92
MARGIN_X = 52
# How far the trace swings out at a fold: beyond the words under the last pad.
FOLD = 40
CORNER = 12
MARGIN_Y = 34
# Where a trace that goes back leaves its side: so far behind the pad, to clear its ring.
LEAD = 26
WORDS = 62
JOURNEY = ("intake", "queue", "bench", "testing", "pickup")


@dataclass(frozen=True, slots=True)
class Stop:
    """One thing that happened: a visit to a stage (kind "pad"), a hold ("gap"), or leaving ("end").

    back says that the unit came here from a later stage; until is when a hold ended (None: it still holds).
    """

    kind: str
    label: str
    at: datetime
    back: bool = False
    note: str = ""
    until: datetime | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """A pad, gap or end as drawn: its place, its words, and on which side of the board (0 front, 1 back).

    now says that the unit is here.
    """

    x: int
    y: int
    stop: Stop
    side: int
    now: bool = False

    @property
    def below(self) -> int:
        """Return the baseline of the first line of words under the mark."""
        return self.y + 28

    @property
    def second(self) -> int:
        """Return the baseline of the second line of words."""
        return self.y + 42

    @property
    def third(self) -> int:
        """Return the baseline of the third line of words."""
        return self.y + 55


@dataclass(frozen=True, slots=True)
class Run:
    """A stretch of copper between two marks as an SVG path.

    Where it changes sides it does so at a via: then stub is the copper up to there, on the side that it leaves.
    """

    path: str
    side: int
    stub: str = ""
    via: tuple[int, int] | None = None


@dataclass(frozen=True, slots=True)
class Ahead:
    """A stage not reached yet."""

    x: int
    y: int
    label: str

    @property
    def below(self) -> int:
        """Return the baseline of the words under the mark."""
        return self.y + 28


@dataclass(slots=True)
class Drawing:
    """Everything a template needs to draw the trace."""

    width: int
    height: int
    marks: list[Mark] = field(default_factory=list)
    runs: list[Run] = field(default_factory=list)
    ahead: list[Ahead] = field(default_factory=list)
    ahead_path: str = ""


def _place(slot: int) -> tuple[int, int]:
    """Return the centre of a slot; odd rows run from right to left, as a meander does."""
    row, column = divmod(slot, PER_ROW)
    if row % 2:
        column = PER_ROW - 1 - column
    return MARGIN_X + column * SLOT, MARGIN_Y + row * ROW


def _path(start: tuple[int, int], end: tuple[int, int]) -> str:
    """Return copper from start to end: straight in a row, with 45-degree corners around the fold between rows."""
    (x1, y1), (x2, y2) = start, end
    if y1 == y2:
        return f"M{x1} {y1}H{x2}"
    turn, edge = _fold(x1)
    return f"M{x1} {y1}H{edge - turn}l{turn} {CORNER}V{y2 - CORNER}l{-turn} {CORNER}H{x2}"


def _fold(x: int) -> tuple[int, int]:
    """Return how a corner turns at the fold beside x, and where the copper runs down."""
    return (CORNER, x + FOLD) if x > SLOT else (-CORNER, x - FOLD)


def _detour(start: tuple[int, int], end: tuple[int, int], side: int) -> Run:
    """Return the way back: copper to a via, then on the other side past the row to the pad."""
    (x1, y1), (x2, y2) = start, end
    if y1 == y2:
        ahead = 1 if x2 > x1 else -1
        via, turn = (x1 + ahead * LEAD, y1), ahead * CORNER
        back = f"M{via[0]} {y1}l{turn} {-CORNER}H{x2 - ahead * LEAD}l{turn} {CORNER}H{x2}"
        return Run(back, side, f"M{x1} {y1}H{via[0]}", via)
    turn, edge = _fold(x1)
    via = (edge, (y1 + y2) // 2)
    stub = f"M{x1} {y1}H{edge - turn}l{turn} {CORNER}V{via[1]}"
    return Run(f"M{edge} {via[1]}V{y2 - CORNER}l{-turn} {CORNER}H{x2}", side, stub, via)


def draw(stops: Sequence[Stop], ahead: Sequence[str]) -> Drawing:
    """Lay out the stops in their order, and after them the labels of the stages ahead.

    Returns a Drawing whose width is fixed and whose height grows by rows. Raises ValueError without any stop.
    """
    if not stops:
        raise ValueError("a unit without a history has no trace")
    rows = -(-(len(stops) + len(ahead)) // PER_ROW)
    drawing = Drawing(width=2 * MARGIN_X + (PER_ROW - 1) * SLOT, height=MARGIN_Y + (rows - 1) * ROW + WORDS)
    side, present = 0, _present(stops)
    for slot, stop in enumerate(stops):
        here = _place(slot)
        side = 1 - side if stop.back else side
        drawing.marks.append(Mark(*here, stop, side, now=slot == present))
        if slot:
            before = _place(slot - 1)
            drawing.runs.append(_detour(before, here, side) if stop.back else Run(_path(before, here), side))
    for slot, label in enumerate(ahead, start=len(stops)):
        drawing.ahead.append(Ahead(*_place(slot), label))
        drawing.ahead_path += _path(_place(slot - 1), _place(slot))
    return drawing


def _present(stops: Sequence[Stop]) -> int | None:
    """Return which stop is where the unit is: the last but for holds that are over; None where there are only those."""
    return next((slot for slot in reversed(range(len(stops))) if stops[slot].until is None), None)


def stages_ahead(stage: str, *, ended: bool = False) -> tuple[str, ...]:
    """Return the stages after this one on the straight way; after a decline only pickup."""
    if stage not in JOURNEY:
        return ()
    rest = JOURNEY[JOURNEY.index(stage) + 1 :]
    return rest[-1:] if ended else rest


def went_back(before: str, after: str) -> bool:
    """Tell whether a move led against the journey's direction."""
    return before in JOURNEY and after in JOURNEY and JOURNEY.index(after) < JOURNEY.index(before)
