"""Reads of procedures and readings. Each takes a fixed number of queries."""

from dataclasses import dataclass

from django.db.models import Q, QuerySet

from shop.testing.models import Reading, TestPoint
from shop.units.models import Unit


def points_for(unit: Unit) -> QuerySet[TestPoint]:
    """Return the test points in use that apply to a unit, in order.

    A point without a model is for every model, one without services for all work; one with both needs both.
    """
    for_model = Q(model=None) | Q(model=unit.model_id)
    for_work = Q(services=None) | Q(services__in=unit.services.all())
    return TestPoint.objects.filter(for_model, for_work, retired_at=None).distinct()


def procedure(unit: Unit, phase: str) -> list[TestPoint]:
    """Return what is to be measured and tried on a unit in a phase, in order. One query."""
    return list(points_for(unit).filter(phase=phase))


@dataclass(frozen=True, slots=True)
class Standing:
    """How far the procedure of a phase has come: names of points, and how many have a reading of how many wanted."""

    missing: tuple[str, ...]
    failed: tuple[str, ...]
    undecided: tuple[str, ...]
    done: int
    wanted: int

    @property
    def passed(self) -> bool:
        """Tell whether nothing is missing, failed or undecided."""
        return not (self.missing or self.failed or self.undecided)


def standing(unit: Unit, phase: str) -> Standing:
    """Count the newest reading of each point of the unit's present round. Two queries."""
    points = procedure(unit, phase)
    rows = Reading.objects.filter(unit=unit, phase=phase, round=unit.test_round, point__isnull=False)
    newest = dict(rows.order_by("seq").values_list("point_id", "verdict"))

    def names(verdict: str | None) -> tuple[str, ...]:
        return tuple(point.name for point in points if newest.get(point.id) == verdict)

    missing = names(None)
    return Standing(
        missing=missing,
        failed=names(Reading.Verdict.FAIL),
        undecided=names(Reading.Verdict.UNDECIDED),
        done=len(points) - len(missing),
        wanted=len(points),
    )


def has_measurements(unit: Unit) -> bool:
    """Tell whether anything was ever measured on the unit, with or without a test point. One query."""
    return Reading.objects.filter(unit=unit, value__isnull=False).exists()


def readings(unit: Unit) -> QuerySet[Reading]:
    """Return all readings of a unit in the order they were taken, with point, picture and who took them."""
    return Reading.objects.filter(unit=unit).select_related("point", "photo", "by").order_by("seq")


def points_in_use() -> QuerySet[TestPoint]:
    """Return every test point that is not retired, with its model and services, for the owner's page. Two queries."""
    return TestPoint.objects.filter(retired_at=None).select_related("model").prefetch_related("services")
