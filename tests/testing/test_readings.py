"""Readings: what is taken down, where, and what it is judged to be."""

import json
import uuid
from decimal import Decimal
from typing import Any

import pytest
from django.db import DatabaseError, IntegrityError, transaction

from shop.boards.models import DeviceModel, Service
from shop.core.actor import Actor
from shop.core.models import Photo, TrailEntry
from shop.core.reasons import Missing, Refused, sentence
from shop.people.models import User
from shop.testing import actions
from shop.testing.models import Reading, TestPoint
from shop.units.models import Unit
from tests.testing.conftest import to_testing


def measure(actor: Actor, unit: Unit, point: TestPoint, value: str | None = None, **more: Any) -> Reading:
    given = None if value is None else Decimal(value)
    return actions.record_reading(actor=actor, unit_id=unit.id, point_id=point.id, value=given, **more)


def test_it_keeps_the_value_with_its_instrument_and_who_took_it(
    technician: Actor, jun: User, unit: Unit, rail: TestPoint
) -> None:
    photo = Photo.objects.create(sha256="a" * 64, width_px=4, height_px=3, size_bytes=9)
    measure(
        technician, unit, rail, "5.02", uncertainty=Decimal("0.05"), instrument="handheld meter",
        words="at idle", photo_id=photo.id,
    )  # fmt: skip
    kept = Reading.objects.get()
    assert (kept.name, kept.quantity, kept.value, kept.uncertainty) == (
        "5 V rail", "V", Decimal("5.02"), Decimal("0.05"),
    )  # fmt: skip
    assert (kept.phase, kept.round, kept.seq, kept.verdict) == ("open", 1, 1, "pass")
    assert (kept.instrument, kept.words, kept.photo, kept.by) == ("handheld meter", "at idle", photo, jun)


def test_it_writes_figures_and_ids_into_the_trail(technician: Actor, unit: Unit, rail: TestPoint) -> None:
    reading = measure(technician, unit, rail, "4.1", words="the customer's words stay out")
    entry = TrailEntry.objects.get(subject_id=unit.id, what="reading_taken")
    facts = json.loads(entry.facts)
    assert facts == {"reading": str(reading.id), "point": str(rail.id), "round": 1, "verdict": "fail"}
    assert entry.after == "fail"


@pytest.mark.parametrize(
    ("value", "uncertainty", "verdict"),
    [
        ("5.0", None, "pass"),
        ("4.75", None, "pass"),
        ("5.25", None, "pass"),
        ("5.2501", None, "fail"),
        ("4.7499", None, "fail"),
        ("5.0", "0.1", "pass"),
        ("5.2", "0.1", "undecided"),
        ("5.3", "0.1", "undecided"),
        ("5.4", "0.1", "fail"),
        ("-5.0", "0.1", "fail"),
    ],
)
def test_it_judges_by_the_limits_and_the_uncertainty(
    technician: Actor, unit: Unit, rail: TestPoint, *, value: str, uncertainty: str | None, verdict: str
) -> None:
    spread = Decimal(uncertainty) if uncertainty else None
    assert measure(technician, unit, rail, value, uncertainty=spread).verdict == verdict


@pytest.mark.parametrize(("answer", "verdict"), [(True, "pass"), (False, "fail")])
def test_it_takes_a_yes_as_passed_and_a_no_as_failed(
    technician: Actor, unit: Unit, picture: TestPoint, answer: bool, verdict: str
) -> None:
    reading = measure(technician, to_testing(unit), picture, answer=answer)
    assert (reading.verdict, reading.answer, reading.value, reading.phase) == (verdict, answer, None, "closed")


@pytest.mark.parametrize("stage", ["intake", "queue", "pickup"])
def test_it_refuses_a_reading_anywhere_but_at_the_bench_and_in_testing(
    technician: Actor, unit: Unit, rail: TestPoint, stage: str
) -> None:
    Unit.objects.filter(pk=unit.pk).update(stage=stage, visit="")
    with pytest.raises(Refused) as refused:
        measure(technician, unit, rail, "5")
    assert refused.value.code == "reading_wrong_stage"
    assert f"1042 is in the stage {stage}" in sentence(refused.value.reasons[0])
    assert not Reading.objects.exists()


def test_it_refuses_a_point_of_the_other_phase_and_names_where_it_belongs(
    technician: Actor, unit: Unit, rail: TestPoint, picture: TestPoint
) -> None:
    with pytest.raises(Refused) as refused:
        measure(technician, unit, picture, answer=True)
    assert sentence(refused.value.reasons[0]) == (
        "Picture is steady is tried with the unit closed, at the stage testing. Unit 1042 is in the stage bench now."
    )
    with pytest.raises(Refused, match="reading_wrong_phase"):
        measure(technician, to_testing(unit), rail, "5")


def test_it_refuses_a_point_that_is_retired_foreign_or_unknown(
    technician: Actor, owner: Actor, unit: Unit, rail: TestPoint, video_board: Service
) -> None:
    other = DeviceModel.objects.create(maker="Tessaro", name="Orrery")
    foreign = TestPoint.objects.create(phase="open", name="12 V rail", quantity="V", low=11, high=13, model=other)
    unasked = TestPoint.objects.create(phase="open", name="Sync level", quantity="V", low=0, high=1)
    unasked.services.add(video_board)
    for point in (foreign, unasked):
        with pytest.raises(Refused, match="point_of_others"):
            measure(technician, unit, point, "12")
    actions.retire_test_point(actor=owner, point_id=rail.id)
    with pytest.raises(Refused, match="point_retired"):
        measure(technician, unit, rail, "5")
    with pytest.raises(Missing):
        actions.record_reading(actor=technician, unit_id=unit.id, point_id=uuid.uuid4(), value=Decimal(5))
    with pytest.raises(Missing):
        actions.record_reading(actor=technician, unit_id=uuid.uuid4(), point_id=rail.id, value=Decimal(5))


def test_it_refuses_a_picture_that_is_not_there(technician: Actor, unit: Unit, rail: TestPoint) -> None:
    with pytest.raises(Missing) as missing:
        measure(technician, unit, rail, "5", photo_id=uuid.uuid4())
    assert "no photo" in sentence(missing.value.reasons[0])
    assert not Reading.objects.exists()


@pytest.mark.parametrize(
    ("given", "code", "says"),
    [
        ({}, "reading_empty", "There is no value for 5 V rail. Write what the instrument shows."),
        ({"answer": True}, "reading_wants_value", "5 V rail is measured in V. Write the value instead of a yes or no."),
        ({"value": Decimal("NaN")}, "figure_impossible", "Value cannot be NaN."),
        ({"value": Decimal("sNaN")}, "figure_impossible", "Value cannot be sNaN."),
        ({"value": Decimal("Infinity")}, "figure_impossible", "Value cannot be Infinity."),
        ({"value": Decimal("-Infinity")}, "figure_impossible", "Value cannot be -Infinity."),
        ({"value": Decimal(10**8)}, "figure_impossible", "below 100,000,000"),
        ({"value": Decimal("5.00001")}, "figure_too_fine", "more than 4 decimals"),
        ({"value": Decimal(5), "uncertainty": Decimal("-0.1")}, "uncertainty_negative", "without a minus sign"),
        ({"value": Decimal(5), "uncertainty": Decimal("NaN")}, "figure_impossible", "Uncertainty cannot be NaN."),
        ({"value": Decimal(5), "instrument": "x" * 81}, "too_long", "Instrument is longer than 80"),
        ({"value": Decimal(5), "words": "x" * 201}, "too_long", "Words of the reading"),
    ],
)
def test_it_answers_bad_input_with_a_sentence_and_keeps_nothing(
    technician: Actor, unit: Unit, rail: TestPoint, *, given: dict[str, Any], code: str, says: str
) -> None:
    with pytest.raises(Refused) as refused:
        actions.record_reading(actor=technician, unit_id=unit.id, point_id=rail.id, **given)
    assert refused.value.code == code
    assert says in sentence(refused.value.reasons[0])
    assert not Reading.objects.exists()
    assert not TrailEntry.objects.filter(subject_id=unit.id).exists()


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({}, "answer_empty"),
        ({"value": Decimal(1)}, "reading_wants_answer"),
        ({"value": Decimal(1), "answer": True}, "reading_wants_answer"),
        ({"uncertainty": Decimal(1), "answer": True}, "reading_wants_answer"),
    ],
)
def test_it_wants_a_yes_or_no_where_one_is_asked(
    technician: Actor, unit: Unit, picture: TestPoint, given: dict[str, Any], code: str
) -> None:
    to_testing(unit)
    with pytest.raises(Refused) as refused:
        actions.record_reading(actor=technician, unit_id=unit.id, point_id=picture.id, **given)
    assert refused.value.code == code
    assert "Picture is steady" in sentence(refused.value.reasons[0])


def test_it_lets_nobody_but_the_bench_measure(helper: Actor, unit: Unit, rail: TestPoint) -> None:
    with pytest.raises(Refused, match="not_permitted"):
        measure(helper, unit, rail, "5")
    with pytest.raises(Refused, match="not_permitted"):
        actions.record_free_reading(actor=helper, unit_id=unit.id, name="Rail", quantity="V", value=Decimal(5))


def test_it_keeps_a_free_reading_undecided_until_limits_are_given(technician: Actor, unit: Unit) -> None:
    kept = actions.record_free_reading(
        actor=technician, unit_id=unit.id, name="Ripple on the 5 V rail", quantity="mV", value=Decimal(210)
    )
    assert (kept.verdict, kept.point, kept.phase) == ("undecided", None, "open")
    limited = actions.record_free_reading(
        actor=technician, unit_id=unit.id, name="Ripple on the 5 V rail", quantity="mV", value=Decimal(210),
        high=Decimal(50),
    )  # fmt: skip
    assert (limited.verdict, limited.seq) == ("fail", 2)
    last = TrailEntry.objects.filter(subject_id=unit.id).order_by("-seq")[0]
    assert json.loads(last.facts)["high"] == "50"


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"name": " "}, "blank"),
        ({"quantity": ""}, "blank"),
        ({"quantity": "volts of sync"}, "too_long"),
        ({"value": None}, "reading_empty"),
        ({"value": Decimal("NaN")}, "figure_impossible"),
        ({"low": Decimal(6), "high": Decimal(5)}, "limits_crossed"),
        ({"low": Decimal("-Infinity")}, "figure_impossible"),
    ],
)
def test_it_answers_a_bad_free_reading_with_a_sentence(
    technician: Actor, unit: Unit, given: dict[str, Any], code: str
) -> None:
    asked: dict[str, Any] = {"name": "Rail", "quantity": "V", "value": Decimal(5)} | given
    with pytest.raises(Refused) as refused:
        actions.record_free_reading(actor=technician, unit_id=unit.id, **asked)
    assert refused.value.code == code
    assert sentence(refused.value.reasons[0])


@pytest.mark.parametrize("act", ["update", "delete"])
def test_it_cannot_be_changed_behind_the_application(technician: Actor, unit: Unit, rail: TestPoint, act: str) -> None:
    measure(technician, unit, rail, "4")
    rows = Reading.objects.all()
    with pytest.raises(DatabaseError, match="only grows"), transaction.atomic():
        rows.update(verdict="pass") if act == "update" else rows._raw_delete(rows.db)
    assert Reading.objects.get().verdict == "fail"


def test_it_numbers_the_readings_of_each_unit_once(technician: Actor, unit: Unit, rail: TestPoint, jun: User) -> None:
    first = measure(technician, unit, rail, "5")
    with pytest.raises(IntegrityError), transaction.atomic():
        Reading.objects.create(
            unit=unit, seq=first.seq, phase="open", name="again", quantity="V", value=5, verdict="pass", by=jun
        )
