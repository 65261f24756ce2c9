"""Procedures: what a unit is to be tried at, and how it stands."""

from decimal import Decimal
from typing import Any

import pytest

from shop.boards.models import DeviceModel, Service
from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.core.reasons import Missing, Refused, sentence
from shop.testing import actions, queries
from shop.testing.models import TestPoint
from shop.units.models import Unit
from tests.testing.conftest import to_testing

V = {"quantity": "V", "low": Decimal(1), "high": Decimal(2)}


def point(name: str, phase: str = "open", services: tuple[Service, ...] = (), **fields: Any) -> TestPoint:
    made = TestPoint.objects.create(phase=phase, name=name, **(V | fields))
    made.services.set(services)
    return made


def names(unit: Unit, phase: str = "open") -> list[str]:
    return [found.name for found in queries.procedure(unit, phase)]


def test_it_gathers_the_points_for_all_for_the_model_and_for_the_work(
    unit: Unit, lantern: DeviceModel, recap: Service, video_board: Service
) -> None:
    other = DeviceModel.objects.create(maker="Tessaro", name="Orrery")
    point("for all", position=4)
    point("for the model", position=3, model=lantern)
    point("for the work", position=2, services=(recap, video_board))
    point("for both", position=1, model=lantern, services=(recap,))
    point("another model", model=other)
    point("another model, this work", model=other, services=(recap,))
    point("other work", services=(video_board,))
    point("closed", phase="closed")
    assert names(unit) == ["for both", "for the work", "for the model", "for all"]
    assert names(unit, "closed") == ["closed"]


def test_it_names_a_point_once_though_two_services_ask_for_it(unit: Unit, recap: Service, video_board: Service) -> None:
    unit.services.add(video_board)
    point("asked twice", services=(recap, video_board))
    assert names(unit) == ["asked twice"]


def test_it_leaves_retired_points_out(owner: Actor, unit: Unit, rail: TestPoint) -> None:
    actions.retire_test_point(actor=owner, point_id=rail.id)
    actions.retire_test_point(actor=owner, point_id=rail.id)
    assert names(unit) == []
    assert TrailEntry.objects.filter(subject_id=rail.id, what="test_point_retired").count() == 1


@pytest.mark.parametrize("count", [1, 12])
def test_it_asks_a_fixed_number_of_queries(
    unit: Unit, recap: Service, count: int, django_assert_num_queries: Any
) -> None:
    for number in range(count):
        point(f"point {number}", services=(recap,))
    with django_assert_num_queries(1):
        queries.procedure(unit, "open")
    with django_assert_num_queries(2):
        queries.standing(unit, "open")
    with django_assert_num_queries(1):
        queries.has_measurements(unit)
    with django_assert_num_queries(2):
        list(queries.points_in_use())


def measure(actor: Actor, unit: Unit, at: TestPoint, value: str, uncertainty: str | None = None) -> None:
    spread = Decimal(uncertainty) if uncertainty else None
    actions.record_reading(
        actor=actor, unit_id=unit.id, point_id=at.id, value=Decimal(value), uncertainty=spread
    )  # fmt: skip


def test_it_tells_what_is_missing_failed_and_undecided(technician: Actor, unit: Unit) -> None:
    good, bad, vague = point("good"), point("bad"), point("vague")
    point("left out")
    measure(technician, unit, good, "1.5")
    measure(technician, unit, bad, "3")
    measure(technician, unit, vague, "1.95", "0.2")
    stands = queries.standing(unit, "open")
    assert (stands.missing, stands.failed, stands.undecided) == (("left out",), ("bad",), ("vague",))
    assert (stands.done, stands.wanted, stands.passed) == (3, 4, False)


def test_it_counts_the_newest_reading_even_when_the_clock_stands(
    technician: Actor, unit: Unit, rail: TestPoint, frozen: object
) -> None:
    for value, failed in (("4", ("5 V rail",)), ("5", ()), ("9", ("5 V rail",)), ("5.1", ())):
        measure(technician, unit, rail, value)
        assert queries.standing(unit, "open").failed == failed
    assert queries.standing(unit, "open").passed
    assert [reading.verdict for reading in queries.readings(unit)] == ["fail", "pass", "fail", "pass"]


def test_it_starts_again_with_each_round(technician: Actor, unit: Unit, rail: TestPoint) -> None:
    measure(technician, unit, rail, "5")
    assert queries.standing(unit, "open").passed
    unit.test_round = 2
    unit.save(update_fields=["test_round"])
    assert queries.standing(unit, "open").missing == ("5 V rail",)
    measure(technician, unit, rail, "4")
    assert queries.standing(unit, "open").failed == ("5 V rail",)
    unit.test_round = 1
    assert queries.standing(unit, "open").passed


def test_it_keeps_the_phases_apart(technician: Actor, unit: Unit, rail: TestPoint, picture: TestPoint) -> None:
    measure(technician, unit, rail, "5")
    to_testing(unit)
    assert queries.standing(unit, "open").passed
    assert queries.standing(unit, "closed").missing == ("Picture is steady",)


def test_it_does_not_count_free_readings_in_the_procedure(technician: Actor, unit: Unit, rail: TestPoint) -> None:
    assert not queries.has_measurements(unit)
    actions.record_free_reading(
        actor=technician, unit_id=unit.id, name="5 V rail", quantity="V", value=Decimal(4), low=Decimal(5)
    )
    stands = queries.standing(unit, "open")
    assert (stands.missing, stands.failed) == (("5 V rail",), ())
    assert queries.has_measurements(unit)


def test_it_does_not_take_a_yes_for_a_measurement(technician: Actor, unit: Unit, picture: TestPoint) -> None:
    to_testing(unit)
    actions.record_reading(actor=technician, unit_id=unit.id, point_id=picture.id, answer=True)
    assert not queries.has_measurements(unit)


def test_it_lets_the_owner_add_a_point(owner: Actor, lantern: DeviceModel, recap: Service) -> None:
    made = actions.add_test_point(
        actor=owner, phase="open", name="  First power  ", how="Current limited to 300 mA.", quantity="mA",
        high=Decimal(250), caution="Charged capacitors: discharge, wait, discharge again.", model_id=lantern.id,
        service_ids=[recap.id, recap.id], position=5,
    )  # fmt: skip
    kept = TestPoint.objects.get(pk=made.pk)
    assert (kept.name, kept.low, kept.high, kept.model, kept.position) == (
        "First power", None, Decimal(250), lantern, 5,
    )  # fmt: skip
    assert [service.code for service in kept.services.all()] == ["recap"]
    assert TrailEntry.objects.filter(subject_id=kept.id, what="test_point_added").count() == 1


def test_it_lets_nobody_else_change_what_is_tried(technician: Actor, helper: Actor, rail: TestPoint) -> None:
    for actor in (technician, helper):
        with pytest.raises(Refused, match="not_permitted"):
            actions.add_test_point(actor=actor, phase="closed", name="Sound")
        with pytest.raises(Refused, match="not_permitted"):
            actions.retire_test_point(actor=actor, point_id=rail.id)


@pytest.mark.parametrize(
    ("given", "code"),
    [
        ({"phase": "half open"}, "not_a_choice"),
        ({"name": ""}, "blank"),
        ({"name": "x" * 81}, "too_long"),
        ({"quantity": "V"}, "limits_missing"),
        ({"low": Decimal(1)}, "limits_without_quantity"),
        ({"quantity": "V", "low": Decimal(2), "high": Decimal(1)}, "limits_crossed"),
        ({"quantity": "V", "low": Decimal("NaN")}, "figure_impossible"),
        ({"quantity": "V", "high": Decimal("1.00001")}, "figure_too_fine"),
        ({"position": -1}, "out_of_range"),
        ({"position": 40000}, "out_of_range"),
    ],
)
def test_it_answers_a_bad_point_with_a_sentence(owner: Actor, given: dict[str, Any], code: str) -> None:
    asked: dict[str, Any] = {"phase": "open", "name": "Rail"} | given
    with pytest.raises(Refused) as refused:
        actions.add_test_point(actor=owner, **asked)
    assert refused.value.code == code
    assert sentence(refused.value.reasons[0])
    assert not TestPoint.objects.exists()


def test_it_refuses_a_point_for_an_unknown_model_or_service(owner: Actor, rail: TestPoint) -> None:
    with pytest.raises(Missing, match="missing"):
        actions.add_test_point(actor=owner, phase="closed", name="Sound", model_id=rail.id)
    with pytest.raises(Missing, match="missing"):
        actions.add_test_point(actor=owner, phase="closed", name="Sound", service_ids=[rail.id])
    assert TestPoint.objects.count() == 1
