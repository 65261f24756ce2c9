"""What a face may do in this room: take readings, and change what is to be tried."""

from collections.abc import Iterable, Mapping
from decimal import Decimal
from uuid import UUID

from django.db import transaction
from django.db.models import Max

from shop.boards.models import DeviceModel, Service
from shop.core import duework, text, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.core.models import Photo
from shop.core.reasons import Reason, Refused
from shop.core.retiring import retire
from shop.core.rows import existing, no_such
from shop.testing import figures
from shop.testing.judging import answered, measured
from shop.testing.models import Phase, Reading, TestPoint
from shop.testing.queries import points_for
from shop.units.models import Stage, Unit

_PHASE_AT: dict[str, Phase] = {Stage.BENCH: Phase.OPEN, Stage.TESTING: Phase.CLOSED}
_LARGEST_POSITION = 32767


def record_reading(
    *,
    actor: Actor,
    unit_id: UUID,
    point_id: UUID,
    value: Decimal | None = None,
    uncertainty: Decimal | None = None,
    answer: bool | None = None,
    instrument: str = "",
    words: str = "",
    photo_id: UUID | None = None,
) -> Reading:
    """Record what a test point showed, with its verdict, in the unit's present round.

    value and uncertainty (expanded, k = 2) are in the point's quantity; a yes-or-no point takes answer instead.
    Raises Missing, Refused with `reading_wrong_stage`, `reading_wrong_phase`, `point_retired`, `point_of_others`,
    `reading_empty`, `answer_empty`, `reading_wants_value`, `reading_wants_answer`, `figure_impossible`,
    `figure_too_fine`, `uncertainty_negative`, `too_long`.
    """
    permit(actor, "testing.measure")
    said = _said(instrument, words)
    with transaction.atomic():
        unit = lock(Unit, pk=unit_id)
        point = _usable(point_id, unit, _phase_of(unit))
        if point.quantity:
            found = measured(
                point.name, point.quantity, value, uncertainty, answer=answer, low=point.low, high=point.high
            )
        else:
            found = answered(point.name, value, uncertainty, answer)
        reading = Reading(unit=unit, phase=point.phase, point=point, name=point.name, **found, **said)
        return _keep(reading, actor, photo_id, {"point": point.id})


def record_free_reading(
    *,
    actor: Actor,
    unit_id: UUID,
    name: str,
    quantity: str,
    value: Decimal | None,
    uncertainty: Decimal | None = None,
    low: Decimal | None = None,
    high: Decimal | None = None,
    instrument: str = "",
    words: str = "",
    photo_id: UUID | None = None,
) -> Reading:
    """Record a measurement that no procedure asks for, as diagnosis needs. Without limits it stays undecided.

    The limits go into the trail. Raises Missing, Refused with `reading_wrong_stage`, `blank`, `too_long`,
    `reading_empty`, `figure_impossible`, `figure_too_fine`, `uncertainty_negative`, `limits_crossed`.
    """
    permit(actor, "testing.measure")
    said = _said(instrument, words)
    called = text.words(name, label="What was measured", field="name", limit=80)
    counted_in = text.words(quantity, label="Quantity", field="quantity", limit=10)
    low, high = figures.limits(low, high)
    found = measured(called, counted_in, value, uncertainty, low=low, high=high)
    with transaction.atomic():
        unit = lock(Unit, pk=unit_id)
        reading = Reading(unit=unit, phase=_phase_of(unit), name=called, **found, **said)
        return _keep(reading, actor, photo_id, {"low": low, "high": high})


def _said(instrument: str, said: str) -> dict[str, str]:
    return {
        "instrument": text.words(instrument, label="Instrument", field="instrument", limit=80, required=False),
        "words": text.words(said, label="Words of the reading", field="words", limit=200, required=False),
    }


def _phase_of(unit: Unit) -> Phase:
    """Return the phase that the unit's stage is for. A unit that left is in the stage pickup, so it has none."""
    if unit.stage not in _PHASE_AT:
        facts = {"number": str(unit), "stage": unit.get_stage_display()}
        raise Refused(Reason("reading_wrong_stage", facts))
    return _PHASE_AT[unit.stage]


def _usable(point_id: UUID, unit: Unit, phase: Phase) -> TestPoint:
    """Return a test point that is in use, belongs to the unit's procedure, and to what can be tried now."""
    point = existing(TestPoint, point_id, field="point")
    if point.retired_at:
        raise Refused(Reason("point_retired", {"point": point.name}, "point"))
    if point.phase != phase:
        facts = {"point": point.name, "number": str(unit), "stage": unit.get_stage_display()}
        facts |= {"phase": point.get_phase_display(), "wanted": str(_stage_for(point.phase).label)}
        raise Refused(Reason("reading_wrong_phase", facts, "point"))
    if not points_for(unit).filter(pk=point.pk).exists():
        raise Refused(Reason("point_of_others", {"point": point.name, "number": str(unit)}, "point"))
    return point


def _stage_for(phase: str) -> Stage:
    return next(Stage(stage) for stage, its_phase in _PHASE_AT.items() if its_phase == phase)


def _keep(reading: Reading, actor: Actor, photo_id: UUID | None, facts: Mapping[str, object]) -> Reading:
    """Number and store a reading of a locked unit, and write the trail."""
    unit = reading.unit
    if photo_id:
        existing(Photo, photo_id, field="photo")
    last = Reading.objects.filter(unit=unit).aggregate(last=Max("seq"))["last"] or 0
    reading.seq, reading.round = last + 1, unit.test_round
    reading.by_id, reading.photo_id = UUID(actor.id), photo_id
    reading.save(force_insert=True)
    known = {"reading": reading.id, "round": reading.round, "verdict": reading.verdict}
    trail.write(unit, actor, "reading_taken", after=reading.verdict, facts=known | dict(facts))
    return reading


def add_test_point(
    *,
    actor: Actor,
    phase: str,
    name: str,
    how: str = "",
    quantity: str = "",
    low: Decimal | None = None,
    high: Decimal | None = None,
    caution: str = "",
    model_id: UUID | None = None,
    service_ids: Iterable[UUID] = (),
    position: int = 100,
) -> TestPoint:
    """Add something to be tried from now on: a quantity with limits, or a yes or no. Owner only.

    Without model_id it is for every model, without service_ids for all work. Raises Missing, Refused with
    `not_a_choice`, `blank`, `too_long`, `out_of_range`, `limits_missing`, `limits_without_quantity`,
    `limits_crossed`, `figure_impossible`, `figure_too_fine`.
    """
    permit(actor, "testing.change")
    point = TestPoint(
        phase=text.choice(phase, Phase.values, label="Phase", field="phase"),
        name=text.words(name, label="Name of the test point", field="name", limit=80),
        how=text.words(how, label="How it is tried", field="how", required=False),
        quantity=text.words(quantity, label="Quantity", field="quantity", limit=10, required=False),
        caution=text.words(caution, label="Caution", field="caution", limit=300, required=False),
        position=_position(position),
    )
    point.low, point.high = figures.limits(low, high)
    _refuse_half_limits(point)
    wanted = set(service_ids)
    with transaction.atomic():
        if model_id:
            existing(DeviceModel, model_id, field="model")
        services = list(Service.objects.filter(pk__in=wanted))
        if missing := wanted - {service.id for service in services}:
            raise no_such(Service, min(missing, key=str), "services")
        point.model_id = model_id
        point.save(force_insert=True)
        point.services.set(services)
        trail.write(point, actor, "test_point_added", facts={"phase": phase, "low": point.low, "high": point.high})
    return point


def _position(given: int) -> int:
    if not 0 <= given <= _LARGEST_POSITION:
        raise Refused(Reason("out_of_range", {"label": "Position", "low": 0, "high": _LARGEST_POSITION}, "position"))
    return given


def _refuse_half_limits(point: TestPoint) -> None:
    """A measured point needs a limit, and a yes or no can have none."""
    limited = point.low is not None or point.high is not None
    if point.quantity and not limited:
        raise Refused(Reason("limits_missing", {"name": point.name}, "low"))
    if limited and not point.quantity:
        raise Refused(Reason("limits_without_quantity", {"name": point.name}, "quantity"))


def retire_test_point(*, actor: Actor, point_id: UUID) -> TestPoint:
    """Take a test point out of every procedure; its readings stay. Retiring twice is retiring once. Owner only."""
    permit(actor, "testing.change")
    with transaction.atomic():
        point = lock(TestPoint, pk=point_id)
        retire(point, actor, "test_point_retired")
        duework.plan_anew()  # it may have been a soak
    return point
