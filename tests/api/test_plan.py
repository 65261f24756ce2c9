"""The plan over the API: what it says, what it is made from, the owner's word on a unit, and what if."""

from datetime import timedelta
from typing import Any

import pytest
from pytest_django import Settings

from shop.boards.models import Service
from shop.core import clock
from shop.core.actor import SYSTEM
from shop.core.models import DueWork
from shop.people.models import User
from shop.planning import actions, solving
from shop.planning.models import DayOff, Pin, Plan, Shift
from shop.units.models import Hold, Unit
from tests.api.conftest import Device


@pytest.fixture
def planned(queued: Unit, jun: User, ottilie: User) -> Unit:
    """Ada's Lantern, here again free of charge, in a plan."""
    Unit.objects.filter(pk=queued.pk).update(free_of_charge=True)
    DueWork.objects.all().delete()
    actions.make_plan(actor=SYSTEM, effort=solving.QUICK)
    return Unit.objects.get(pk=queued.pk)


def seen(unit: Unit) -> str:
    return f'"{Unit.objects.get(pk=unit.pk).version}"'


def day(count: int) -> str:
    return (clock.now().date() + timedelta(days=count)).isoformat()


def test_it_tells_the_plan_to_all_staff(planned: Unit, tablet: Device, desk: Device) -> None:
    told = desk.get("plan").json()
    assert told["generation"] == Plan.objects.get().generation
    assert [step["kind"] for step in told["steps"]] == ["bench", "testing"]
    assert {step["unit_id"] for step in told["steps"]} == {str(planned.pk)}
    [dates] = told["dates"]
    assert dates["sure_percent"] == 80
    assert (told["late_minutes"], told["trouble"], told["left_out"]) == (0, [], [])
    assert tablet.get("plan").json() == told


def test_a_shop_without_a_plan_has_none(boss: Device) -> None:
    told = boss.get("plan").json()
    assert (told["generation"], told["steps"], told["running"]) == (None, [], False)
    assert boss.get("plan/promises").json()["items"] == []


def test_it_says_what_is_left_out_and_why_the_last_run_failed(planned: Unit, boss: Device, settings: Settings) -> None:
    hold = Hold.objects.create(unit=planned, kind="approval")
    actions.make_plan(actor=SYSTEM)
    [row] = boss.get("plan").json()["left_out"]
    assert (row["unit_id"], row["reason"]["code"]) == (str(planned.pk), "plan_waits_approval")
    hold.delete()
    settings.PLANNING_MEMORY_MB = 30
    actions.make_plan(actor=SYSTEM)
    [trouble] = boss.get("plan").json()["trouble"]
    assert "The last plan stays" in trouble["detail"]


def test_it_tells_one_units_place_and_why(planned: Unit, tablet: Device, queued: Unit) -> None:
    told = tablet.get(f"units/{planned.pk}/plan").json()
    assert told["planned"]["unit_id"] == str(planned.pk)
    assert [reason["code"] for reason in told["why"]][-1] == "why_follows"
    assert (told["left_out"], told["pinned_to"], told["goes_first"]) == (None, None, False)


def test_the_owner_pins_and_lets_go_with_the_version_that_was_seen(
    planned: Unit, boss: Device, tablet: Device, jun: User
) -> None:
    body = {"technician": str(jun.pk), "words": "She knows it"}
    assert boss.post(f"units/{planned.pk}/pin", body).status_code == 428
    old = seen(planned)
    answer = boss.post(f"units/{planned.pk}/pin", body, if_match=old)
    assert answer.status_code == 200
    assert answer["ETag"] == seen(planned)
    assert boss.post(f"units/{planned.pk}/pin", body, if_match=old).status_code == 412
    assert Pin.objects.filter(retired_at=None).count() == 1
    assert boss.get(f"units/{planned.pk}/plan").json()["pinned_to"] == str(jun.pk)
    assert boss.post(f"units/{planned.pk}/unpin", if_match=seen(planned)).status_code == 200
    refused = boss.post(f"units/{planned.pk}/unpin", if_match=seen(planned))
    assert (refused.status_code, refused.json()["reasons"][0]["code"]) == (409, "not_pinned")
    assert tablet.post(f"units/{planned.pk}/pin", body, if_match=seen(planned)).status_code == 403


def test_going_first_shows_its_cost_and_is_taken_back(planned: Unit, boss: Device) -> None:
    cost = boss.get(f"units/{planned.pk}/plan/cost-of-first").json()
    assert (cost["later"], cost["reason"]) == ([], None)
    assert cost["own_end"]
    assert boss.post(f"units/{planned.pk}/first", {"words": "travels"}, if_match=seen(planned)).status_code == 200
    assert boss.get(f"units/{planned.pk}/plan").json()["goes_first"]
    assert boss.post(f"units/{planned.pk}/wait-turn", if_match=seen(planned)).status_code == 200
    assert not boss.get(f"units/{planned.pk}/plan").json()["goes_first"]


def test_the_owner_enters_what_the_plan_is_made_from(boss: Device, jun: User, recap: Service) -> None:
    entered: list[tuple[str, dict[str, Any]]] = [
        ("shifts", {"technician": str(jun.pk), "weekdays": [0, 1], "begins": "09:00", "ends": "12:30"}),
        ("days-off", {"from_day": day(2), "words": "Stocktaking"}),
        ("extra-days", {"technician": str(jun.pk), "day": day(3), "begins": "09:00", "ends": "12:00"}),
        ("skills", {"technician": str(jun.pk), "skill": "fine soldering", "percent": 120}),
        ("alone", {"service": str(recap.pk), "minutes": 60}),
    ]
    for path, body in entered:
        answer = boss.post(f"plan/{path}", body)
        assert answer.status_code == 201, (path, answer.content)
    told = boss.get("plan/facts").json()
    counts = {name: len(told[name]) for name in ("shifts", "days_off", "extra_days", "skills", "alone")}
    assert counts == {"shifts": 2, "days_off": 1, "extra_days": 1, "skills": 1, "alone": 1}
    left = boss.post("plan/facts/remove", {"kind": "shift", "id": told["shifts"][0]["id"]}).json()
    assert len(left["shifts"]) == 1
    figures = {"promise_percent": 90, "holidays_of": "US", "minutes_per_day": 240}
    changed = boss.patch("plan/facts", figures, if_match=f'"{told["version"]}"').json()
    assert (changed["promise_percent"], changed["holidays_of"]) == (90, "US")
    assert boss.patch("plan/facts", figures, if_match=f'"{told["version"]}"').status_code == 412


@pytest.mark.parametrize(
    ("path", "body", "code"),
    [
        ("shifts", {"weekdays": [0], "begins": "17:00", "ends": "09:00"}, "shift_backwards"),
        ("days-off", {"from_day": "2020-01-01"}, "day_over"),
        ("days-off", {"from_day": "2035-01-01"}, "day_too_far"),
        ("alone", {"minutes": 3}, "alone_of_what"),
    ],
)
def test_what_cannot_be_is_refused_with_its_code(
    boss: Device, jun: User, path: str, body: dict[str, Any], code: str
) -> None:
    who = {"technician": str(jun.pk)} if path != "alone" else {}
    answer = boss.post(f"plan/{path}", who | body)
    assert (answer.status_code, answer.json()["reasons"][0]["code"]) == (422, code)
    assert (Shift.objects.count(), DayOff.objects.count()) == (0, 0)


def test_what_if_changes_nothing(planned: Unit, tablet: Device, jun: User, recap: Service) -> None:
    asked: list[dict[str, Any]] = [
        {"ask": "unit", "services": [str(recap.pk)]},
        {"ask": "sick", "technician": str(jun.pk), "day": day(1)},
        {"ask": "third"},
        {"ask": "saturday", "day": day(5), "begins": "09:00", "ends": "13:00"},
    ]
    before = Plan.objects.count()
    for body in asked:
        told = tablet.post("plan/what-if", body).json()
        assert told["reason"] is None
        assert len(told["loads"]) == (3 if body["ask"] == "third" else 2)
    assert tablet.post("plan/what-if", asked[0]).json()["new_end"] is not None
    assert (Plan.objects.count(), DayOff.objects.count()) == (before, 0)
    for lacking in ({"ask": "unit"}, {"ask": "sick"}, {"ask": "saturday"}, {"ask": "saturday", "day": day(1)}):
        assert tablet.post("plan/what-if", lacking).status_code == 422


def test_asking_for_a_plan_rings_once(boss: Device, desk: Device) -> None:
    assert boss.post("plan").status_code == 202
    assert boss.post("plan").status_code == 202
    assert DueWork.objects.filter(task="planning.replan", state="due").count() == 1
    assert desk.post("plan").status_code == 403


def test_it_tells_load_and_flow(planned: Unit, desk: Device) -> None:
    told = desk.get("plan/flow").json()
    assert len(told["days"]) == 29
    assert told["days"][-1]["in_work"] == 1
    assert [stage["stage"] for stage in told["stages"]] == ["intake", "queue"]
    assert {use["name"] for use in told["people"]} == {"Jun Okafor", "Ottilie Brandt"}
    assert told["law"]["per_day"] > 0
    assert (told["wait"], told["jams"]) == (None, [])
