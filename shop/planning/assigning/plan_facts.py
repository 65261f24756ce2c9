"""What a plan is made from, and what a plan is. Pure data; whatever cannot be is refused when it is made.

Time is counted in slots (a quarter of an hour, unless the shop says otherwise) from the start of the plan: slot 0
begins at the start, and something that ends at slot 4 has ended when slot 4 begins. Nights and days off count as
time, but nobody works in them.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum

from shop.core.reasons import Reason

Span = tuple[int, int]

SLOT_MINUTES = 15
# Longer ahead than this nobody plans: a bit over two years of quarter hours.
LONGEST_HORIZON_SLOTS = 80_000
# A start that moved by more than this much working time, or work that changed hands, counts as moved: half a day.
HALF_DAY_MINUTES = 240


class Goal(StrEnum):
    """What counts first. A shop's goal is lateness; the others are for comparisons and for what other trades ask."""

    LATENESS = "lateness"  # the sum over the jobs of weight × slots late
    LATE_JOBS = "late_jobs"  # the sum of the weights of late jobs
    LAST_END = "last_end"  # the slot at which everything is done


class How(StrEnum):
    """How a plan came about: by rules alone, improved by searching, or improved and proven to be the best."""

    HEURISTIC = "heuristic"
    IMPROVED = "improved"
    PROVEN = "proven"


@dataclass(frozen=True, slots=True)
class Technician:
    """A person: when they work as sorted spans of slots (from, until), and their skills with a speed in percent.

    100 works as fast as estimated, 150 needs two thirds of the time. A skill that is not listed is lacking. Raises
    ValueError for a span that ends before it begins, spans that overlap or are out of order, or a speed below 1.
    """

    key: str
    name: str
    spans: tuple[Span, ...]
    speeds: Mapping[str, int]

    def __post_init__(self) -> None:
        if any(begin < 0 or until <= begin for begin, until in self.spans):
            raise ValueError("a span of work begins at slot 0 or later and ends after it begins")
        if any(later[0] < earlier[1] for earlier, later in zip(self.spans, self.spans[1:], strict=False)):
            raise ValueError("spans of work are in order and do not overlap")
        if any(speed < 1 for speed in self.speeds.values()):
            raise ValueError("a speed is 1 percent or more; leave out a skill that is lacking")


@dataclass(frozen=True, slots=True)
class Bench:
    """A place to work or to leave something at, with what stands on it."""

    key: str
    name: str
    equipment: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Fixed:
    """Work that has begun or stays where it is: by whom (None when unattended), where, and from which slot on."""

    technician: str | None
    bench: str
    start_slot: int

    def __post_init__(self) -> None:
        if self.start_slot < 0:
            raise ValueError("fixed work begins at slot 0 or later; of started work give what is left")


@dataclass(frozen=True, slots=True)
class Step:
    """One piece of work on a job: likely minutes at speed 100, the skill, and what the bench needs.

    An unattended step (soak, drying) needs no technician, runs through nights and takes only a bench. kind says what
    it is like (a service, a board revision): steps of one kind in a row save setting up. Raises ValueError for no
    minutes, for an attended step without a skill, and for one fixed to nobody.
    """

    key: str
    minutes: int
    skill: str = ""
    equipment: frozenset[str] = frozenset()
    attended: bool = True
    kind: str = ""
    fixed: Fixed | None = None

    def __post_init__(self) -> None:
        if self.minutes < 1:
            raise ValueError("a step takes a minute or more")
        if self.attended and not self.skill:
            raise ValueError("a step that somebody does needs a skill")
        if self.fixed and (self.fixed.technician is not None) != self.attended:
            raise ValueError("a fixed step names a technician when somebody does it, and only then")


@dataclass(frozen=True, slots=True)
class Placement:
    """Where one step lies: by whom (None when unattended), at which bench, from one slot until another."""

    job: str
    step: str
    technician: str | None
    bench: str
    start_slot: int
    end_slot: int


@dataclass(frozen=True, slots=True)
class Job:
    """A unit's steps in order, when they may begin, and when they are promised for.

    due_slot may lie in the past (a broken promise), None promises nothing. weight says how much a slot of lateness
    counts, comebacks more. pinned keeps every step that this technician is able to do with them. previous is where
    the plan before had the steps. Raises ValueError for no steps, two steps of one key, a weight below 1, a release
    below 0, or a fixed step after one that is free.
    """

    key: str
    label: str
    steps: tuple[Step, ...]
    release_slot: int = 0
    due_slot: int | None = None
    weight: int = 1
    pinned: str | None = None
    previous: tuple[Placement, ...] = ()

    def __post_init__(self) -> None:
        if not self.steps:
            raise ValueError("a job has a step at least")
        if len({step.key for step in self.steps}) < len(self.steps):
            raise ValueError("the steps of a job have different keys")
        if self.weight < 1 or self.release_slot < 0:
            raise ValueError("a weight is 1 or more, and a job may begin at slot 0 or later")
        free = [step.fixed is None for step in self.steps]
        if free != sorted(free):
            raise ValueError("fixed steps come first in a job")


@dataclass(frozen=True, slots=True)
class ShopFacts:
    """Everything a plan is made from. Keys are different within technicians, benches and jobs (ValueError).

    horizon_slots is how far ahead is planned; what does not fit before it stays unplanned. moved_after_slots is how
    much working time a start may shift before the job counts as moved (half a day).
    """

    technicians: tuple[Technician, ...]
    benches: tuple[Bench, ...]
    jobs: tuple[Job, ...]
    horizon_slots: int
    slot_minutes: int = SLOT_MINUTES
    goal: Goal = Goal.LATENESS

    def __post_init__(self) -> None:
        for things in (self.technicians, self.benches, self.jobs):
            keys = [thing.key for thing in things]
            if len(set(keys)) < len(keys):
                raise ValueError("two technicians, benches or jobs have the same key")
        if not 1 <= self.horizon_slots <= LONGEST_HORIZON_SLOTS:
            raise ValueError(f"the horizon is from 1 to {LONGEST_HORIZON_SLOTS} slots")
        if self.slot_minutes < 1:
            raise ValueError("a slot takes a minute or more")

    @property
    def moved_after_slots(self) -> int:
        """Return the working slots by which a start may shift before the job counts as moved: half a day."""
        return HALF_DAY_MINUTES // self.slot_minutes


@dataclass(frozen=True, slots=True)
class Unplanned:
    """A job that is not in the plan, and why."""

    job: str
    reason: Reason


@dataclass(frozen=True, slots=True)
class Plan:
    """Who does what, where and when; what could not be planned; and how good it is.

    value is what the goal counts (weighted slots of lateness, for a shop), bound a value that no plan of the same
    jobs can go below, proven. unevenness is how far the loads are from even, in percent of the work. notes say what
    could not run. Placements are in order of their start.
    """

    placements: tuple[Placement, ...] = ()
    unplanned: tuple[Unplanned, ...] = ()
    value: int = 0
    bound: int = 0
    unevenness: int = 0
    how: How = How.HEURISTIC
    notes: tuple[Reason, ...] = field(default=())

    @property
    def gap(self) -> float:
        """Return how far the value may be above the best that is possible, as a share of the value, 0 to 1."""
        return (self.value - self.bound) / self.value if self.value else 0.0

    @property
    def ends(self) -> dict[str, int]:
        """Return by job the slot at which its last step ends."""
        ends: dict[str, int] = {}
        for placed in self.placements:
            ends[placed.job] = max(ends.get(placed.job, 0), placed.end_slot)
        return ends
