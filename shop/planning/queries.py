"""What is ahead of whom, how long it may take, and how the shop is loaded. A fixed number of queries each."""

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from uuid import UUID

from shop.core import clock
from shop.core.profile import profile
from shop.planning.keeping import outcomes
from shop.planning.models import Promise, RunsAlone
from shop.planning.promises.calibration import KeptShare, kept_shares
from shop.planning.promises.forecast import Estimate
from shop.quotes.models import QuoteLine, QuoteVersion
from shop.units.models import Hold, Stage, Unit
from shop.work.models import WorkInterval

# Likely minutes beside the services' own, and the spread of all of it: assumptions for a new shop, until it knows
# from its own record how long work really takes.
OPEN_TEST_CLOSE_MIN = 30
DIAGNOSIS_MIN = 30
CLOSING_MIN = 15
MEND_MIN = 30
LOW_FACTOR, HIGH_FACTOR = 0.75, 2.0
# Whatever the clock says, a unit that is still here needs this much.
LEAST_LEFT_MIN = 15

_ORDER = (Stage.TESTING, Stage.BENCH, Stage.QUEUE, Stage.INTAKE, Stage.PICKUP)
_IN_WORK = (Stage.TESTING, Stage.BENCH, Stage.QUEUE)


@dataclass(frozen=True, slots=True)
class TechnicianLoad:
    """What one technician has at the bench and in testing."""

    user_id: UUID
    name: str
    units: int
    minutes: int


@dataclass(frozen=True, slots=True)
class Load:
    """How the shop is loaded: units by stage, expected minutes of those in the queue, and by technician."""

    by_stage: dict[str, int]
    minutes_waiting: int
    technicians: list[TechnicianLoad]


def latest(unit: Unit) -> Promise | None:
    """Return the promise that counts, the newest, or None."""
    return Promise.objects.filter(unit=unit).order_by("-created_at", "-pk").first()


def record_of_promises() -> KeptShare | None:
    """Return how many dates promised at the shop's percent were kept, with the interval; None before any is over.

    Two queries.
    """
    percent = profile().promise_percent
    return next((share for share in kept_shares(outcomes()) if share.percent == percent), None)


def ahead_of(unit: Unit) -> list[Unit]:
    """Return the units whose work comes before this one's: in testing, at a bench, earlier in the queue.

    Units that wait for an approval, a deposit or their customer are left out: nobody knows whether they will come.
    """
    uncertain = [Hold.Kind.APPROVAL, Hold.Kind.DEPOSIT, Hold.Kind.CUSTOMER]
    held = Hold.objects.filter(lifted_at=None, kind__in=uncertain)
    others = Unit.objects.filter(outcome="", stage__in=_IN_WORK).exclude(pk=unit.pk).exclude(pk__in=held.values("unit"))
    return [other for other in others if _turn(other) < _turn(unit)]


def _turn(unit: Unit) -> tuple[int, datetime, int]:
    return _ORDER.index(Stage(unit.stage)), unit.stage_since, unit.number


def parts_due(unit: Unit) -> date | None:
    """Return the day on which the parts that the unit waits for are due, or None."""
    held = Hold.objects.filter(unit=unit, kind=Hold.Kind.PARTS, lifted_at=None)
    return held.values_list("due_on", flat=True).first()


def runs_alone(point_id: UUID) -> bool:
    """Tell whether a test point is a soak, with time of its own in a plan. One query."""
    return RunsAlone.objects.filter(point=point_id, retired_at=None).exists()


def estimates(units: Iterable[Unit]) -> dict[UUID, Estimate]:
    """Return for each unit the hands-on minutes that are left. Three queries, whatever the number of units.

    Approved services count; before an approval those wished for; without either, a diagnosis. Each failed test adds
    a mend, and what was worked already is taken off.
    """
    wanted = {unit.pk: unit for unit in units}
    services, worked = _service_minutes(wanted), _minutes_worked(wanted)
    return {pk: _left(_likely_min(unit, services.get(pk)), worked[pk]) for pk, unit in wanted.items()}


def _likely_min(unit: Unit, services_min: int | None) -> int:
    if unit.ending:
        return CLOSING_MIN
    if services_min is None:
        return DIAGNOSIS_MIN
    return services_min + OPEN_TEST_CLOSE_MIN + MEND_MIN * (unit.test_round - 1)


def _left(likely_min: float, worked_min: float) -> Estimate:
    spread = (LOW_FACTOR * likely_min, likely_min, HIGH_FACTOR * likely_min)
    low, likely, high = (max(LEAST_LEFT_MIN, minutes - worked_min) for minutes in spread)
    return Estimate(low, likely, high)


def _service_minutes(unit_ids: Iterable[UUID]) -> dict[UUID, int]:
    """Add up the services' minutes by unit; a service that stands in two lines is done once."""
    lines = QuoteLine.objects.filter(
        quote__unit_id__in=unit_ids, quote__state=QuoteVersion.State.APPROVED, kind=QuoteLine.Kind.LABOUR, taken=True,
        service__isnull=False,
    )  # fmt: skip
    approved = set(lines.order_by().values_list("quote__unit_id", "service_id", "service__minutes"))
    agreed = {unit_id for unit_id, _service, _minutes in approved}
    offered = Unit.services.through.objects.filter(unit_id__in=unit_ids)
    wished = offered.values_list("unit_id", "service_id", "service__minutes")
    sums: dict[UUID, int] = defaultdict(int)
    for unit_id, _service, minutes in [*approved, *(row for row in wished if row[0] not in agreed)]:
        sums[unit_id] += minutes
    return sums


def _minutes_worked(unit_ids: Iterable[UUID]) -> dict[UUID, float]:
    now = clock.now()
    sums: dict[UUID, float] = defaultdict(float)
    spans = WorkInterval.objects.filter(unit_id__in=unit_ids).values_list("unit_id", "began_at", "ended_at")
    for unit_id, began, ended in spans:
        sums[unit_id] += ((ended or now) - began).total_seconds() / 60
    return sums


def load() -> Load:
    """Return how the shop is loaded now. Four queries."""
    units = list(Unit.objects.filter(outcome="").select_related("technician"))
    by_stage = dict.fromkeys(Stage.values, 0)
    for unit in units:
        by_stage[unit.stage] += 1
    left = estimates(unit for unit in units if unit.stage in _IN_WORK)
    waiting = sum(left[unit.pk].mean_min for unit in units if unit.stage == Stage.QUEUE)
    return Load(by_stage, round(waiting), _by_technician(units, left))


def _by_technician(units: list[Unit], left: dict[UUID, Estimate]) -> list[TechnicianLoad]:
    theirs: dict[UUID, list[Unit]] = defaultdict(list)
    for unit in units:
        if unit.technician_id and unit.stage in (Stage.BENCH, Stage.TESTING):
            theirs[unit.technician_id].append(unit)
    loads = [
        TechnicianLoad(user_id, str(own[0].technician), len(own), round(sum(left[unit.pk].mean_min for unit in own)))
        for user_id, own in theirs.items()
    ]
    return sorted(loads, key=lambda load: (load.name, str(load.user_id)))
