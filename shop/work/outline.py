"""The working order of the trade: which steps a visit to the bench still needs. Pure.

The order is common practice at a repair bench: look at the symptom while the unit is whole, take away its power and
its charge before a hand goes in, do the work, clean and dry before anything is judged, judge the joints and the
resistance of the rails before power, give the first power with limited current, close in the reverse order of
opening, and count. What was done stays done as long as nothing since then has undone its worth.
"""

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace

TEST_BEFORE = "test_before"
UNPLUG = "unplug"
OPEN = "open"
DISCHARGE = "discharge"
IDENTIFY = "identify"
PHOTOGRAPH = "photograph"
MEASURE = "measure"
SERVICE = "service"
MEND = "mend"
CLEAN = "clean"
DRY = "dry"
JOINTS = "joints"
LOOK_AGAIN = "look_again"
RESISTANCE = "resistance"
FIRST_POWER = "first_power"
OPEN_READINGS = "open_readings"
CLOSE = "close"
COUNT = "count"

LOOK = (IDENTIFY, PHOTOGRAPH, MEASURE)
FINISH = (CLEAN, DRY, JOINTS, LOOK_AGAIN, RESISTANCE, FIRST_POWER, OPEN_READINGS)
CLOSE_UP = (CLOSE, COUNT)
CODES = (TEST_BEFORE, UNPLUG, OPEN, DISCHARGE, *LOOK, SERVICE, MEND, *FINISH, *CLOSE_UP)
_NO_SOLDERING = frozenset({TEST_BEFORE, UNPLUG, OPEN, DISCHARGE, *LOOK, *FINISH, *CLOSE_UP})


@dataclass(frozen=True, slots=True)
class Task:
    """One step: its code, for a service's own step which service and in which words, and the placements it is about.

    how says with which equipment or care; a step that was done one way need not be done again the other way.
    """

    code: str
    service_id: str = ""
    words: str = ""
    refs: tuple[str, ...] = ()
    how: str = ""
    minutes: int = field(default=0, compare=False)  # where the work itself says how long it takes

    @property
    def atoms(self) -> list[tuple[str, ...]]:
        """Return what is done when it is ticked: one for each placement, or the one thing it says."""
        return [(self.code, ref) for ref in self.refs] or [(self.code, self.service_id, self.words)]


def still_to_do(
    *,
    kind: str,
    service_tasks: Sequence[Task],
    done: Sequence[Task],
    opened: bool,
    failed_tests: int,
    unknown_board: bool = False,
) -> list[Task]:
    """Return what a visit that begins now has to do, in working order.

    kind is diagnosis, work or closing; service_tasks are what the agreed services ask for, in order (see order.py);
    done are the steps that were ticked so far, in the order of the sheet; opened tells whether the case is open now;
    failed_tests is how often a test has sent the unit back, each of which asks for a mend; with an
    unknown_board its marking is read before anything is done to it. Raises ValueError for another kind.

    Unplugging and discharging are asked for on every visit that goes inside, since nobody knows what happened to the
    unit in between. Cleaning to open readings count only when they came after the last soldering, closing and
    counting only when nothing came after them.
    """
    mends = _left([Task(MEND)] * failed_tests, done)
    if kind == "closing":
        left = _close_up(done)
        if left or not mends:
            return left
        kind, service_tasks = "work", []  # what was closed and then failed its check is opened once more
    if kind == "diagnosis":
        return _go_inside(_left([Task(code) for code in LOOK], done), done, opened)
    if kind != "work":
        raise ValueError(f"a visit is for diagnosis, work or closing, not for {kind!r}")
    look = [Task(IDENTIFY)] if unknown_board and service_tasks else []
    inside = _left([*look, *service_tasks], done) + mends
    inside += [Task(code) for code in FINISH] if inside else _left_of(FINISH, _since_soldering(done))
    if not inside:
        return _close_up(done)
    return _go_inside(inside, done, opened) + [Task(code) for code in CLOSE_UP]


def _go_inside(inside: list[Task], done: Sequence[Task], opened: bool) -> list[Task]:
    """Put before the work inside what makes it safe to do."""
    if not inside:
        return []
    first = _left([Task(TEST_BEFORE)], done)
    return [*first, Task(UNPLUG), *([] if opened else [Task(OPEN)]), Task(DISCHARGE), *inside]


def _close_up(done: Sequence[Task]) -> list[Task]:
    last_inside = max((at for at, task in enumerate(done) if task.code not in CLOSE_UP), default=-1)
    return _left_of(CLOSE_UP, done[last_inside + 1 :])


def _since_soldering(done: Sequence[Task]) -> Sequence[Task]:
    last = max((at for at, task in enumerate(done) if task.code not in _NO_SOLDERING), default=-1)
    return done[last + 1 :]


def _left_of(codes: Iterable[str], done: Sequence[Task]) -> list[Task]:
    return _left([Task(code) for code in codes], done)


def _left(wanted: Iterable[Task], done: Iterable[Task]) -> list[Task]:
    """Take away from what is wanted each thing that was done, as often as it was done, placement by placement."""
    credit = Counter(atom for task in done for atom in task.atoms)
    left = []
    for task in wanted:
        undone = [atom for atom in task.atoms if not _spend(credit, atom)]
        if undone:
            left.append(replace(task, refs=tuple(atom[1] for atom in undone)) if task.refs else task)
    return left


def _spend(credit: Counter[tuple[str, ...]], atom: tuple[str, ...]) -> bool:
    """Take one of an atom from what was done; False when there is none left."""
    if not credit[atom]:
        return False
    credit[atom] -= 1
    return True
