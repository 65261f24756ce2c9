"""Ticking, unticking, and what may not be ticked yet."""

import json
from collections.abc import Callable
from datetime import timedelta
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from time_machine import Traveller

from shop.boards.models import DeviceModel, Service
from shop.core.actor import Actor
from shop.core.models import Photo, TrailEntry
from shop.core.reasons import Missing, Refused, sentence
from shop.people.models import Place, User
from shop.units.models import Unit
from shop.work import queries, steps
from shop.work.actions import tick, untick
from shop.work.fastener_actions import fasteners_back, fasteners_out
from shop.work.models import JobStep
from shop.work.wording import evidence_for, is_hold_point
from tests.conftest import NOW
from tests.work.conftest import tick_with_evidence


@pytest.fixture
def sheet(at_bench: Unit, technician: Actor, recap: Service) -> dict[str, JobStep]:
    return {
        step.code: step for step in steps.make_job_sheet(actor=technician, unit=at_bench, kind="work", services=[recap])
    }


def trail_of(unit: Unit, what: str) -> list[dict[str, Any]]:
    return [json.loads(entry.facts) for entry in TrailEntry.objects.filter(subject_id=unit.pk, what=what)]


def test_it_records_who_ticked_and_when_and_the_photo(
    *,
    at_bench: Unit,
    technician: Actor,
    jun: User,
    sheet: dict[str, JobStep],
    take_photo: Callable[[], Photo],
    frozen: Traveller,
) -> None:
    photo = take_photo()
    step = tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["open"].pk, photo_id=photo.pk)
    step.refresh_from_db()
    assert (step.done_by, step.photo) == (jun, photo)
    assert step.done_at == NOW
    assert trail_of(at_bench, "step_ticked") == [{"photo": str(photo.pk), "position": 3, "step": str(step.pk)}]


def test_it_ticks_once_when_ticked_twice(
    *, at_bench: Unit, technician: Actor, owner: Actor, jun: User, sheet: dict[str, JobStep], frozen: Traveller
) -> None:
    tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["unplug"].pk)
    frozen.shift(timedelta(minutes=1))
    again = tick(actor=owner, unit_id=at_bench.pk, step_id=sheet["unplug"].pk)
    assert again.done_by == jun
    assert len(trail_of(at_bench, "step_ticked")) == 1


def test_it_lets_nothing_pass_an_open_hold_point(at_bench: Unit, technician: Actor, sheet: dict[str, JobStep]) -> None:
    with pytest.raises(Refused) as refused:
        tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["first_power"].pk)
    assert refused.value.code == "hold_point_open"
    assert sheet["joints"].words in sentence(refused.value.reasons[0])
    assert not trail_of(at_bench, "step_ticked")
    tick_with_evidence(technician, at_bench, sheet["joints"])
    with pytest.raises(Refused) as refused:
        tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["first_power"].pk)
    assert sheet["look_again"].words in sentence(refused.value.reasons[0])
    tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["look_again"].pk)
    assert tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["first_power"].pk).done_at


def test_it_lets_earlier_steps_be_ticked_in_any_order(
    at_bench: Unit, technician: Actor, sheet: dict[str, JobStep]
) -> None:
    assert tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["dry"].pk).done_at
    assert tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["clean"].pk).done_at


def test_it_holds_again_when_a_hold_point_is_unticked(
    at_bench: Unit, technician: Actor, sheet: dict[str, JobStep]
) -> None:
    for code in ("joints", "look_again"):
        tick_with_evidence(technician, at_bench, sheet[code])
    untick(actor=technician, unit_id=at_bench.pk, step_id=sheet["joints"].pk)
    with pytest.raises(Refused) as refused:
        tick_with_evidence(technician, at_bench, sheet["resistance"])
    assert refused.value.code == "hold_point_open"
    assert sheet["joints"].words in sentence(refused.value.reasons[0])


def test_it_leaves_a_trace_of_an_untick(
    *,
    at_bench: Unit,
    technician: Actor,
    owner: Actor,
    jun: User,
    sheet: dict[str, JobStep],
    take_photo: Callable[[], Photo],
    frozen: Traveller,
) -> None:
    photo = take_photo()
    tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["clean"].pk, photo_id=photo.pk)
    step = untick(actor=owner, unit_id=at_bench.pk, step_id=sheet["clean"].pk)
    step.refresh_from_db()
    assert (step.done_at, step.done_by, step.photo) == (None, None, None)
    (trace,) = trail_of(at_bench, "step_unticked")
    assert (trace["ticked_by"], trace["photo"]) == (str(jun.pk), str(photo.pk))
    untick(actor=owner, unit_id=at_bench.pk, step_id=sheet["clean"].pk)
    assert len(trail_of(at_bench, "step_unticked")) == 1


@pytest.mark.parametrize("stage", ["intake", "queue", "testing", "pickup"])
def test_it_ticks_only_at_the_bench(at_bench: Unit, technician: Actor, sheet: dict[str, JobStep], stage: str) -> None:
    Unit.objects.filter(pk=at_bench.pk).update(stage=stage, visit="")
    for act in (tick, untick):
        with pytest.raises(Refused) as refused:
            act(actor=technician, unit_id=at_bench.pk, step_id=sheet["unplug"].pk)
        assert refused.value.code == "not_at_bench"
        assert stage in sentence(refused.value.reasons[0])


def test_it_does_not_know_steps_of_other_units_retired_steps_or_photos_that_are_not_there(
    at_bench: Unit, technician: Actor, sheet: dict[str, JobStep], recap: Service
) -> None:
    other = Unit.objects.create(number=118, model=at_bench.model, stage="bench", visit="work")
    (foreign, *_rest) = steps.make_job_sheet(actor=technician, unit=other, kind="closing")
    steps.make_job_sheet(actor=technician, unit=at_bench, kind="closing")
    for step_id in (foreign.pk, sheet["unplug"].pk, uuid4()):
        with pytest.raises(Missing) as missing:
            tick(actor=technician, unit_id=at_bench.pk, step_id=step_id)
        assert missing.value.reasons[0].facts["thing"] == "step"
    (close, _count) = queries.open_steps(at_bench)
    with pytest.raises(Missing):
        tick(actor=technician, unit_id=at_bench.pk, step_id=close.pk, photo_id=uuid4())
    close.refresh_from_db()
    assert close.done_at is None


def test_it_lets_only_bench_people_work(at_bench: Unit, helper: Actor, sheet: dict[str, JobStep]) -> None:
    for act in (tick, untick):
        with pytest.raises(Refused, match="not_permitted"):
            act(actor=helper, unit_id=at_bench.pk, step_id=sheet["unplug"].pk)
    with pytest.raises(Refused, match="not_permitted"):
        fasteners_out(actor=helper, unit_id=at_bench.pk, where="Bottom", count=1)
    with pytest.raises(Refused, match="not_permitted"):
        fasteners_back(actor=helper, unit_id=at_bench.pk, group_id=uuid4(), count=1)


def test_it_does_not_count_while_a_fastener_is_out(
    at_bench: Unit, technician: Actor, sheet: dict[str, JobStep]
) -> None:
    for code in ("joints", "look_again"):
        tick_with_evidence(technician, at_bench, sheet[code])
    group = fasteners_out(actor=technician, unit_id=at_bench.pk, where="Rear corners", kind="PH1 × 12 mm", count=4)
    fasteners_back(actor=technician, unit_id=at_bench.pk, group_id=group.pk, count=3)
    with pytest.raises(Refused) as refused:
        tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["count"].pk)
    assert refused.value.code == "fasteners_still_out"
    assert "Rear corners (1)" in sentence(refused.value.reasons[0])
    fasteners_back(actor=technician, unit_id=at_bench.pk, group_id=group.pk, count=1)
    assert tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["count"].pk).done_at


def test_work_ends_when_it_began_at_the_earliest_though_the_clock_was_set_back(
    at_bench: Unit, technician: Actor, jun: User, bench_one: Place, frozen: Traveller
) -> None:
    interval = steps.begin(actor=technician, unit=at_bench, bench=bench_one, user=jun)
    frozen.shift(timedelta(hours=-1))
    assert steps.end(unit=at_bench)
    interval.refresh_from_db()
    assert interval.ended_at == interval.began_at


def test_it_ticks_the_joints_with_a_photo_only(
    at_bench: Unit, technician: Actor, sheet: dict[str, JobStep], take_photo: Callable[[], Photo]
) -> None:
    joints = sheet["joints"]
    for value in (None, Decimal(1)):
        with pytest.raises(Refused) as refused:
            tick(actor=technician, unit_id=at_bench.pk, step_id=joints.pk, value=value)
        assert (refused.value.code, refused.value.reasons[0].field) == ("evidence_photo", "photo")
        assert joints.words in sentence(refused.value.reasons[0])
    joints.refresh_from_db()
    assert joints.done_at is None
    photo = take_photo()
    assert tick(actor=technician, unit_id=at_bench.pk, step_id=joints.pk, photo_id=photo.pk).photo == photo


def test_it_ticks_the_resistance_with_a_reading_in_ohms_only(
    at_bench: Unit, technician: Actor, sheet: dict[str, JobStep], take_photo: Callable[[], Photo]
) -> None:
    for code in ("joints", "look_again"):
        tick_with_evidence(technician, at_bench, sheet[code])
    with pytest.raises(Refused) as refused:
        tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["resistance"].pk, photo_id=take_photo().pk)
    assert (refused.value.code, refused.value.reasons[0].field) == ("evidence_reading", "value")
    assert "a reading in ohms" in sentence(refused.value.reasons[0])
    assert tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["resistance"].pk, value=Decimal(480)).done_at


@pytest.fixture
def mains_sheet(at_bench: Unit, technician: Actor, recap: Service) -> dict[str, JobStep]:
    """The sheet of a unit with mains inside."""
    at_bench.model.mains_inside = True
    at_bench.model.save()
    made = steps.make_job_sheet(actor=technician, unit=at_bench, kind="work", services=[recap])
    return {step.code: step for step in made}


def test_it_wants_a_reading_in_volts_before_anybody_goes_into_a_mains_unit(
    at_bench: Unit, technician: Actor, mains_sheet: dict[str, JobStep]
) -> None:
    discharge = mains_sheet["discharge"]
    with pytest.raises(Refused) as refused:
        tick(actor=technician, unit_id=at_bench.pk, step_id=discharge.pk)
    assert "a reading in volts" in sentence(refused.value.reasons[0])
    with pytest.raises(Refused, match="hold_point_open"):
        tick(actor=technician, unit_id=at_bench.pk, step_id=mains_sheet["service"].pk)
    assert tick(actor=technician, unit_id=at_bench.pk, step_id=discharge.pk, value=Decimal("0.04")).done_at
    assert tick(actor=technician, unit_id=at_bench.pk, step_id=mains_sheet["service"].pk).done_at


@pytest.mark.parametrize("volts", ["2.01", "-2.01", "325", "Infinity", "-Infinity"])
def test_it_refuses_to_go_on_while_more_than_two_volts_are_left(
    at_bench: Unit, technician: Actor, mains_sheet: dict[str, JobStep], volts: str
) -> None:
    discharge = mains_sheet["discharge"]
    with pytest.raises(Refused) as refused:
        tick(actor=technician, unit_id=at_bench.pk, step_id=discharge.pk, value=Decimal(volts))
    assert (refused.value.code, refused.value.reasons[0].field) == ("still_charged", "value")
    assert f"still holds {volts} V" in sentence(refused.value.reasons[0])
    discharge.refresh_from_db()
    assert not discharge.done_at


@pytest.mark.parametrize("volts", ["0", "2", "-2"])
def test_it_takes_two_volts_for_empty(
    at_bench: Unit, technician: Actor, mains_sheet: dict[str, JobStep], volts: str
) -> None:
    discharge = mains_sheet["discharge"]
    assert tick(actor=technician, unit_id=at_bench.pk, step_id=discharge.pk, value=Decimal(volts)).done_at


def test_it_asks_for_no_volts_where_neither_mains_nor_a_tube_is_inside(
    at_bench: Unit, technician: Actor, sheet: dict[str, JobStep]
) -> None:
    assert tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["discharge"].pk).done_at
    tube = DeviceModel(tube_inside=True)
    assert (evidence_for("discharge", tube), is_hold_point("discharge", tube)) == ("volts", True)


def test_it_asks_for_nothing_when_it_was_ticked_already(
    at_bench: Unit, technician: Actor, sheet: dict[str, JobStep]
) -> None:
    first = tick_with_evidence(technician, at_bench, sheet["joints"])
    again = tick(actor=technician, unit_id=at_bench.pk, step_id=sheet["joints"].pk)
    assert again.photo_id == first.photo_id is not None


def test_it_takes_no_reading_that_is_no_figure_for_empty(
    at_bench: Unit, technician: Actor, mains_sheet: dict[str, JobStep]
) -> None:
    with pytest.raises(Refused):
        tick(actor=technician, unit_id=at_bench.pk, step_id=mains_sheet["discharge"].pk, value=Decimal("NaN"))


@pytest.mark.parametrize("ohms", ["0", "0.99", "-5"])
def test_it_refuses_first_power_over_a_short(at_bench: Unit, technician: Actor, recap: Service, ohms: str) -> None:
    steps.make_job_sheet(actor=technician, unit=at_bench, kind="work", services=[recap])
    while (step := queries.present_step(queries.sheet(at_bench))) and step.code != "resistance":
        tick_with_evidence(technician, at_bench, step)
    assert step is not None
    with pytest.raises(Refused, match="rail_shorted"):
        tick(actor=technician, unit_id=at_bench.pk, step_id=step.pk, value=Decimal(ohms))
    assert tick(actor=technician, unit_id=at_bench.pk, step_id=step.pk, value=Decimal(1)).done_at
