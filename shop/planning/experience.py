"""What the shop's own record says about its estimates: from the units of the last two years. Seven queries."""

from collections.abc import Iterable
from datetime import datetime, timedelta

from django.db.models import Q

from shop.core import clock
from shop.core.profile import profile
from shop.planning import queries
from shop.planning.promises.estimates import Estimate
from shop.planning.promises.history import Record, learn
from shop.planning.promises.simulation import Experience
from shop.planning.unit_rows import agreed, worked_minutes
from shop.planning.unit_work import DIAGNOSIS, OPENING_MIN, bench_pieces
from shop.units.models import Hold, Stage, Unit

LOOK_BACK = timedelta(days=730)
# More than this many units tell nothing new about estimates.
_MOST_UNITS = 1000


def experience() -> Experience:
    """Return what is known: how long work took against its estimate, how often tests failed, how late parts came."""
    since = clock.now() - LOOK_BACK
    done = Q(outcome="", stage=Stage.PICKUP) | (~Q(outcome="") & Q(left_at__gte=since))
    found = Unit.objects.filter(done, ending="").prefetch_related("services").order_by("-number")
    units = list(found[:_MOST_UNITS])
    tested = [unit for unit in units if unit.test_round >= 1]
    return Experience(
        history=learn(records(units)),
        failed_tests=sum(unit.test_round - 1 for unit in tested),
        passed_tests=len(tested),
        parts_late_days=_parts_late(since),
    )


def records(units: list[Unit]) -> list[Record]:
    """Return one record for the work on each unit and one for its diagnosis; a unit that nobody clocked has none.

    The work of a unit is recorded under the service that takes most of it.
    """
    _approved, services, _findings = agreed(units)
    worked, before = worked_minutes([unit.pk for unit in units])
    now = clock.now()
    found = []
    for unit in units:
        common = (str(unit.pk), str(unit.technician_id), _days_ago(unit, now))
        if before[unit.pk]:
            found.append(_record(DIAGNOSIS, [_diagnosis()], before[unit.pk], common))
        pieces = [piece for piece in bench_pieces(services[unit.pk], {}, "") if piece.attended]
        if pieces and worked[unit.pk] > before[unit.pk]:
            main = max(pieces, key=lambda piece: piece.estimate.likely_min)
            opening = Estimate(OPENING_MIN, OPENING_MIN, OPENING_MIN)
            estimates = [opening, *(piece.estimate for piece in pieces)]
            found.append(_record(main.service, estimates, worked[unit.pk] - before[unit.pk], common))
    return found


def _record(service: str, estimates: Iterable[Estimate], minutes: float, common: tuple[str, str, float]) -> Record:
    unit, technician, days_ago = common
    rows = list(estimates)
    whole = Estimate(
        sum(row.low_min for row in rows), sum(row.likely_min for row in rows), sum(row.high_min for row in rows)
    )
    return Record(service, unit, technician, whole, minutes, days_ago)


def _diagnosis() -> Estimate:
    minutes = queries.DIAGNOSIS_MIN
    return Estimate(queries.LOW_FACTOR * minutes, minutes, queries.HIGH_FACTOR * minutes)


def _days_ago(unit: Unit, now: datetime) -> float:
    return max(0.0, (now - (unit.left_at or unit.stage_since)).total_seconds() / 86400)


def _parts_late(since: datetime) -> list[float]:
    """Return by how many days parts came late that had a day on which they were due; 0 when in time."""
    zone = profile().time_zone
    held = Hold.objects.filter(kind=Hold.Kind.PARTS, due_on__isnull=False, lifted_at__gte=since)
    days = [(row.lifted_at, row.due_on) for row in held if row.lifted_at and row.due_on]
    return [max(0.0, float((clock.day_of(lifted, zone) - due).days)) for lifted, due in days]
