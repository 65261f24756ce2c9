"""The rows that say what is left to do on units, read together: nine queries, whatever the number of units."""

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Q, QuerySet

from shop.boards.models import Service
from shop.core import clock
from shop.core.profile import profile
from shop.planning.calendars import hands_on_min, usual_calendar
from shop.planning.models import Pin, Precedence, RunsAlone
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.testing.models import Reading
from shop.units.models import Finding, Hold, Stage, Unit
from shop.work.models import WorkInterval


@dataclass(frozen=True, slots=True)
class Soak:
    """A test point that asks for time on its own: for which model and services, and how long."""

    minutes: int
    model_id: UUID | None
    service_ids: frozenset[UUID]

    def asks(self, unit: Unit, services: Iterable[Service]) -> bool:
        """Tell whether the point is asked of a unit with these services."""
        if self.model_id and self.model_id != unit.model_id:
            return False
        return not self.service_ids or any(service.pk in self.service_ids for service in services)


@dataclass(frozen=True, slots=True)
class Rows:
    """Units that are not ready yet, and by unit what concerns the plan. Minutes are hands-on minutes at the bench."""

    units: list[Unit]
    holds: dict[UUID, list[Hold]]
    approved: frozenset[UUID]
    services: dict[UUID, list[Service]]
    repair_minutes: dict[UUID, int]
    worked: dict[UUID, float]
    worked_before_approval: dict[UUID, float]
    pins: dict[UUID, UUID]
    first: frozenset[UUID]
    alone_of_service: dict[UUID, int]
    soaks: list[Soak]
    soaked: frozenset[UUID]


def read_rows(units: Sequence[Unit] | None = None) -> Rows:
    """Read what concerns these units, or all that are here and not ready for pickup."""
    found = _units() if units is None else _units().filter(pk__in=[unit.pk for unit in units])
    present = list(found)
    ids = [unit.pk for unit in present]
    approved, services, taken_findings = agreed(present)
    worked, before = worked_minutes(ids)
    alone = list(_running_alone())
    points = {each.point_id for each in alone if each.point_id}
    return Rows(
        units=present,
        holds=_by_unit(Hold.objects.filter(unit__in=ids, lifted_at=None).select_related("unit")),
        approved=approved,
        services=services,
        repair_minutes=_repairs(present, taken_findings),
        worked=worked,
        worked_before_approval=before,
        pins=dict(Pin.objects.filter(unit__in=ids, retired_at=None).values_list("unit_id", "technician_id")),
        first=frozenset(Precedence.objects.filter(unit__in=ids, retired_at=None).values_list("unit_id", flat=True)),
        alone_of_service={each.service_id: each.minutes for each in alone if each.service_id},
        soaks=[_soak(each) for each in alone if each.point],
        soaked=_soaked(present, points),
    )


def _units() -> QuerySet[Unit]:
    present = Unit.objects.filter(outcome="").exclude(stage=Stage.PICKUP)
    return present.select_related("place").prefetch_related("services").order_by("number")


def _running_alone() -> QuerySet[RunsAlone]:
    """Return what runs with nobody at it. A test point that is out of use asks for no soak any more."""
    found = RunsAlone.objects.filter(retired_at=None, point__retired_at=None)
    return found.select_related("point").prefetch_related("point__services")


def _by_unit(rows: Iterable[Hold]) -> dict[UUID, list[Hold]]:
    found: dict[UUID, list[Hold]] = defaultdict(list)
    for row in rows:
        found[row.unit_id].append(row)
    return found


def _soak(row: RunsAlone) -> Soak:
    assert row.point is not None
    return Soak(row.minutes, row.point.model_id, frozenset(each.pk for each in row.point.services.all()))


def _soaked(units: Iterable[Unit], points: set[UUID]) -> frozenset[UUID]:
    """Return the units that had their soak in this round of tests."""
    testing = {unit.pk: unit.test_round for unit in units if unit.stage == Stage.TESTING}
    seen = Reading.objects.filter(unit__in=testing, point__in=points).values_list("unit_id", "round")
    return frozenset(unit_id for unit_id, round_ in seen if testing[unit_id] == round_)


def agreed(units: Sequence[Unit]) -> tuple[frozenset[UUID], dict[UUID, list[Service]], set[UUID]]:
    """Return who has an approved quote, what services count (approved, else wished for), and findings that were taken.

    A service that stands in two lines is done once.
    """
    lines = QuoteLine.objects.filter(quote__unit__in=units, quote__state=QuoteVersion.State.APPROVED, taken=True)
    found: dict[UUID, dict[UUID, Service]] = defaultdict(dict)
    approved, findings = set(), set()
    for line in lines.select_related("service", "quote").order_by("position"):
        unit_id = line.quote.unit_id
        approved.add(unit_id)
        if line.service_id and line.service and line.kind == QuoteLine.Kind.LABOUR:
            found[unit_id][line.service_id] = line.service
        if line.finding_id:
            findings.add(line.finding_id)
    wished = {unit.pk: list(unit.services.all()) for unit in units if unit.pk not in approved}
    services = {unit.pk: wished.get(unit.pk) or list(found[unit.pk].values()) for unit in units}
    return frozenset(approved), services, findings


def _repairs(units: Sequence[Unit], taken: set[UUID]) -> dict[UUID, int]:
    """Add up what open findings take to mend: those mended with the work, and those the customer took."""
    sums: dict[UUID, int] = defaultdict(int)
    mended = Q(repair=Finding.Repair.NOW) | Q(pk__in=taken)
    rows = Finding.objects.filter(mended, unit__in=units, settled_at=None)
    for unit_id, minutes in rows.values_list("unit_id", "repair_minutes"):
        sums[unit_id] += minutes
    return sums


def worked_minutes(unit_ids: Sequence[UUID]) -> tuple[dict[UUID, float], dict[UUID, float]]:
    """Return the minutes worked by unit, and those of them before the quote was approved: its diagnosis."""
    decided = Decision.objects.filter(quote__unit__in=unit_ids, quote__state=QuoteVersion.State.APPROVED)
    approved_at: dict[UUID, datetime] = dict(decided.values_list("quote__unit_id", "created_at"))
    now, usual = clock.now(), usual_calendar(profile())
    worked: dict[UUID, float] = defaultdict(float)
    before: dict[UUID, float] = defaultdict(float)
    spans = WorkInterval.objects.filter(unit__in=unit_ids).values_list("unit_id", "began_at", "ended_at")
    for unit_id, began, ended in spans:
        minutes = hands_on_min(usual, began, ended or now)
        worked[unit_id] += minutes
        if unit_id in approved_at and began < approved_at[unit_id]:
            before[unit_id] += minutes
    return worked, before
