"""The plan's pages: sheets, one unit, facts, what if, flow; each works without script, and looking changes nothing."""

from collections.abc import Callable
from datetime import timedelta
from typing import Any

import pytest
from pytest_django import Settings

from shop.core import clock
from shop.core.actor import SYSTEM, Actor
from shop.core.models import DueWork
from shop.people.models import User
from shop.planning import actions, solving
from shop.planning.models import DayOff, ExtraDay, Pin, Plan, Precedence, Promise, RunsAlone, Shift, TechnicianSkill
from shop.testing.models import TestPoint
from shop.units.models import Unit
from tests.screens.browsing import Browser, forms, said
from tests.screens.conftest import At, text_of

# Sheets are of the day: after hours there is another one.
pytestmark = pytest.mark.usefixtures("frozen")


@pytest.fixture
def planned(unit_at: At) -> Unit:
    """A unit that is approved, one that waits for its answer, and the plan of it."""
    unit_at("quoted")
    unit = unit_at("approved")
    DueWork.objects.all().delete()  # what the journeys wished for would stop the run
    actions.make_plan(actor=SYSTEM, effort=solving.QUICK)
    return unit


@pytest.fixture
def alone(owner: Actor, jun: User) -> None:
    """The technician has left: the owner works alone."""
    User.objects.filter(pk=jun.pk).update(role="counter")


def version(unit: Unit) -> str:
    return str(Unit.objects.get(pk=unit.pk).version)


def days_on(count: int) -> str:
    return (clock.now().date() + timedelta(days=count)).isoformat()


def test_it_shows_a_sheet_for_each_technician_ones_own_first(planned: Unit, as_technician: Browser, jun: User) -> None:
    page = text_of(as_technician.see("plan"))
    assert page.index("<bdi>Jun Okafor</bdi>") < page.index("<bdi>Ottilie Brandt</bdi>")
    assert "Recap" in page
    assert f"/plan/units/{planned.number}" in page
    assert "ready by then with 80 %" in page
    assert "waits for the customer&#x27;s answer to the quote" in page
    assert "dates promised at 80 %" in page


def test_a_shop_without_a_plan_says_when_there_will_be_one(as_owner: Browser) -> None:
    assert "There is no plan yet" in text_of(as_owner.see("plan"))
    Plan.objects.create(starts_at=clock.now())
    assert "The first plan is being made" in text_of(as_owner.see("plan"))


def test_with_one_technician_it_is_todays_list_and_the_dates(alone: None, planned: Unit, as_owner: Browser) -> None:
    page = text_of(as_owner.see("plan"))
    assert page.count('class="day-sheet"') == 1
    assert "Dates that follow" in page
    assert "Not in the plan</h2>" not in page
    assert "<details><summary>More</summary>" in page


def test_with_nobody_at_the_benches_it_says_so(as_owner: Browser) -> None:
    User.objects.update(role="counter")
    assert "Nobody works at the benches yet" in text_of(as_owner.see("plan"))


def test_a_sheet_can_be_printed_alone(planned: Unit, as_technician: Browser, jun: User, pim: User) -> None:
    page = text_of(as_technician.see("plan-sheet", jun.pk))
    assert page.count('class="day-sheet"') == 1
    assert "This sheet alone" not in page
    assert as_technician.see("plan-sheet", pim.pk).status_code == 404


def test_it_says_why_a_unit_lies_where_it_does(planned: Unit, as_technician: Browser) -> None:
    page = text_of(as_technician.see("plan-unit", planned.number))
    assert "What is planned, and why then" in page
    assert "It follows on the step before without a wait" in page
    assert "Ready with 80 % certainty by" in page
    assert "What was promised" in page
    assert forms(as_technician.see("plan-unit", planned.number)) == {}


def test_a_unit_that_is_left_out_says_why(planned: Unit, as_owner: Browser) -> None:
    waiting = Unit.objects.get(holds__kind="approval", holds__lifted_at=None)
    assert "waits for the customer&#x27;s answer" in text_of(as_owner.see("plan-unit", waiting.number))


def test_the_owner_pins_a_unit_and_lets_it_go_with_a_tap(planned: Unit, as_owner: Browser, jun: User) -> None:
    page = as_owner.see("plan-unit", planned.number)
    address = f"/plan/units/{planned.number}/do/pin"
    assert forms(page)[address]["version"] == version(planned)
    answer = as_owner.post(address, forms(page)[address] | {"technician": str(jun.pk), "words": "She knows it"})
    assert (answer.status_code, answer.url) == (303, f"/plan/units/{planned.number}")
    pin = Pin.objects.get(retired_at=None)
    assert (pin.technician, pin.words) == (jun, "She knows it")
    page = as_owner.see("plan-unit", planned.number)
    assert "Stays with Jun Okafor." in text_of(page)
    assert "Stays with Jun Okafor" in text_of(as_owner.see("unit", planned.number))
    answer = as_owner.send("plan-unit-do", planned.number, "unpin", version=version(planned))
    assert answer.status_code == 303
    assert not Pin.objects.filter(retired_at=None).exists()


def test_two_tabs_cannot_pin_past_each_other(planned: Unit, as_owner: Browser, jun: User, ottilie: User) -> None:
    seen = version(planned)
    as_owner.send("plan-unit-do", planned.number, "pin", version=seen, technician=str(jun.pk))
    answer = as_owner.send("plan-unit-do", planned.number, "pin", version=seen, technician=str(ottilie.pk))
    assert answer.status_code == 422
    assert "changed" in said(answer)
    assert Pin.objects.get(retired_at=None).technician == jun


def test_moving_up_shows_its_cost_before_it_is_done(planned: Unit, as_owner: Browser) -> None:
    before = version(planned)
    page = as_owner.see("plan-unit", planned.number, first="")
    assert "If it went first" in text_of(page)
    assert "Nobody else would be ready a day later" in text_of(page)
    assert (version(planned), Precedence.objects.count()) == (before, 0)
    answer = as_owner.send("plan-unit-do", planned.number, "first", version=before, words="She travels")
    assert answer.status_code == 303
    assert Precedence.objects.get().words == "She travels"
    assert "Goes before the others. She travels" in text_of(as_owner.see("plan-unit", planned.number))
    as_owner.send("plan-unit-do", planned.number, "back", version=version(planned))
    assert not Precedence.objects.filter(retired_at=None).exists()


def test_an_act_that_there_is_not_is_refused(planned: Unit, as_owner: Browser) -> None:
    assert "no act" in said(as_owner.send("plan-unit-do", planned.number, "fly", version=version(planned)))
    assert as_owner.see("plan-unit", 9999).status_code == 404


def test_the_owner_enters_hours_skills_and_days(as_owner: Browser, jun: User, unit_at: At) -> None:
    point = TestPoint.objects.create(phase="closed", name="Soak")
    entered: list[tuple[str, dict[str, Any]]] = [
        ("shift", {"technician": str(jun.pk), "weekdays": ["0", "1"], "begins": "09:00", "ends": "12:30"}),
        ("skill", {"technician": str(jun.pk), "skill": "fine soldering", "percent": "120"}),
        ("day-off", {"technician": "", "from_day": days_on(3), "words": "Stocktaking"}),
        ("extra-day", {"technician": str(jun.pk), "day": days_on(4), "begins": "09:00", "ends": "12:00"}),
        ("alone", {"of": f"point {point.pk}", "minutes": "30"}),
    ]
    for verb, fields in entered:
        answer = as_owner.send("plan-facts-do", verb, **fields)
        assert (answer.status_code, answer.url) == (303, "/plan/facts"), (verb, said(answer))
    counted = [model.objects.filter(retired_at=None).count() for model in (Shift, TechnicianSkill, DayOff, ExtraDay)]
    assert (counted, RunsAlone.objects.count()) == ([2, 1, 1, 1], 1)
    page = text_of(as_owner.see("plan-facts"))
    assert all(words in page for words in ("fine soldering", "120 %", "Stocktaking", "30 min", "9:00"))
    row = TechnicianSkill.objects.get()
    assert as_owner.send("plan-facts-do", "remove", kind="skill", row=str(row.pk)).status_code == 303
    assert "Can do everything" in text_of(as_owner.see("plan-facts"))
    assert DueWork.objects.filter(task="planning.replan", state="due").count() == 1


@pytest.mark.parametrize(
    ("verb", "fields", "words"),
    [
        ("shift", {"weekdays": ["0"], "begins": "17:00", "ends": "09:00"}, "ends before it begins"),
        ("shift", {"begins": "09:00", "ends": "10:00"}, "Weekdays is empty"),
        ("shift", {"weekdays": ["0"], "begins": "nine", "ends": "10:00"}, "From"),
        ("skill", {"skill": "", "percent": "100"}, "Skill is empty"),
        ("skill", {"skill": "x", "percent": "0"}, "Speed"),
        ("day-off", {"from_day": ""}, "First day is empty"),
        ("day-off", {"from_day": "2020-01-01"}, "is over"),
        ("extra-day", {"day": ""}, "Day is empty"),
        ("alone", {"of": "the moon", "minutes": "3"}, "Choose the service that dries"),
        ("figures", {"promise_percent": "120", "minutes_per_day": "300", "holidays_of": ""}, "promise_percent"),
        ("figures", {"promise_percent": "80", "minutes_per_day": "300", "holidays_of": "ZZ"}, "No public holidays"),
        ("remove", {"kind": "roof", "row": "123"}, "row"),
        ("dance", {}, "no act"),
    ],
)
def test_a_form_that_cannot_be_says_what_to_do(
    as_owner: Browser, jun: User, verb: str, fields: dict[str, Any], words: str
) -> None:
    answer = as_owner.send("plan-facts-do", verb, **({"technician": str(jun.pk)} | fields))
    assert answer.status_code == 422
    assert words in said(answer)


def test_how_sure_dates_are_is_kept_against_an_old_page(as_owner: Browser) -> None:
    page = forms(as_owner.see("plan-facts"))["/plan/facts/do/figures"]
    answer = as_owner.post("/plan/facts/do/figures", page | {"promise_percent": "90", "holidays_of": "us-md"})
    assert answer.status_code == 303
    shown = text_of(as_owner.see("plan-facts"))
    assert 'value="90"' in shown
    assert 'value="US-MD"' in shown
    assert as_owner.post("/plan/facts/do/figures", page | {"once": "another"}).status_code == 422


def test_what_if_shows_what_would_change_and_changes_nothing(
    planned: Unit, as_owner: Browser, as_technician: Browser, jun: User
) -> None:
    before = (DayOff.objects.count(), Plan.objects.count(), Promise.objects.count())
    service = planned.services.get()
    asked: list[tuple[dict[str, str], str]] = [
        ({"ask": "unit", "service": str(service.pk)}, "the new unit would be ready"),
        ({"ask": "sick", "technician": str(jun.pk), "day": days_on(1)}, "were away on"),
        ({"ask": "third"}, "One more"),
        ({"ask": "saturday", "day": days_on(5), "begins": "09:00", "ends": "13:00"}, "If everybody worked on"),
    ]
    for query, words in asked:
        page = as_owner.see("plan-what-if", **query)
        assert page.status_code == 200
        assert words in text_of(page), query
        assert "Work in the plan" in text_of(page)
    assert (DayOff.objects.count(), Plan.objects.count(), Promise.objects.count()) == before
    assert forms(as_technician.see("plan-what-if", **asked[1][0])) == {}
    page = as_owner.see("plan-what-if", **asked[1][0])
    answer = as_owner.post("/plan/facts/do/day-off", forms(page)["/plan/facts/do/day-off"])
    assert answer.status_code == 303
    assert DayOff.objects.get().technician == jun


@pytest.mark.parametrize(
    "query",
    [
        {"ask": "unit"},
        {"ask": "unit", "service": "x"},
        {"ask": "sick", "technician": "x", "day": "2030-01-01"},
        {"ask": "sick", "day": "2030-01-01"},
        {"ask": "saturday", "day": "", "begins": "09:00", "ends": "13:00"},
        {"ask": "saturday", "day": "2030-01-01", "begins": "soon", "ends": "13:00"},
    ],
)
def test_a_question_that_lacks_something_says_so(as_owner: Browser, query: dict[str, str]) -> None:
    page = as_owner.see("plan-what-if", **query)
    assert page.status_code == 422
    assert said(page)


def test_a_question_that_the_planner_cannot_answer_says_so(
    planned: Unit, as_owner: Browser, settings: Settings
) -> None:
    settings.PLANNING_MEMORY_MB = 30
    assert "The last plan stays" in text_of(as_owner.see("plan-what-if", ask="third"))


def test_a_run_that_failed_is_told_above_the_plan_that_stays(
    planned: Unit, as_owner: Browser, settings: Settings
) -> None:
    settings.PLANNING_MEMORY_MB = 30
    actions.make_plan(actor=SYSTEM)
    page = text_of(as_owner.see("plan"))
    assert "The last plan stays" in page
    assert f"/plan/units/{planned.number}" in page


def test_it_shows_load_and_flow_as_curves_and_tables(planned: Unit, unit_at: At, as_counter: Browser) -> None:
    unit_at("left")
    page = text_of(as_counter.see("plan-flow"))
    assert page.count("<polyline") == 3
    assert "Jun Okafor" in page
    assert "queue" in page
    assert "Little's law" in page
    assert "Too little came in four weeks" in page


def test_the_rail_leads_to_the_plan_and_asking_anew_rings(as_owner: Browser, as_counter: Browser) -> None:
    assert '<a href="/plan" aria-current="page">Plan</a>' in text_of(as_counter.see("plan"))
    assert as_owner.send("plan-again").status_code == 303
    assert DueWork.objects.filter(task="planning.replan", state="due").exists()


def test_flow_of_an_empty_shop(as_owner: Browser) -> None:
    page = as_owner.see("plan-flow")
    assert page.status_code == 200
    assert "Too little came" in text_of(page)


@pytest.mark.parametrize("who", ["as_technician", "as_counter"])
def test_others_see_no_form_that_is_the_owners(
    request: pytest.FixtureRequest, who: str, planned: Unit, jun: User
) -> None:
    browser: Browser = request.getfixturevalue(who)
    look: list[Callable[[], Any]] = [
        lambda: browser.see("plan"),
        lambda: browser.see("plan-facts"),
        lambda: browser.see("plan-unit", planned.number),
        lambda: browser.see("plan-flow"),
    ]
    for page in look:
        assert forms(page()) == {}


def test_days_without_work_are_one_line_and_today_has_its_own(planned: Unit, as_owner: Browser, jun: User) -> None:
    """Nobody has work after today's: the four days that follow are one line on either sheet."""
    DayOff.objects.create(
        technician=jun, from_day=clock.now().date(), until_day=clock.now().date() + timedelta(days=30)
    )
    page = text_of(as_owner.see("plan"))
    assert page.count("Nothing planned.") + page.count("<ol>") == 1
    assert page.count("Not at work.") == 1
    assert page.count(": nothing planned.") == 1
    assert page.count(": not at work.") == 1


def test_a_days_name_stands_once_with_the_steps_of_that_day(planned: Unit, as_technician: Browser) -> None:
    page = text_of(as_technician.see("plan-unit", planned.number))
    steps = page[page.index("What is planned") : page.index("What was promised")]
    assert steps.count("<li>") == 2
    assert steps.count(", today,") + steps.count(", tomorrow,") + steps.count(" days,") == 1


def test_a_shop_with_nobody_and_no_units_says_so_on_every_page(as_owner: Browser) -> None:
    User.objects.update(role="counter")
    flow, facts = text_of(as_owner.see("plan-flow")), text_of(as_owner.see("plan-facts"))
    assert "Nobody works at the benches yet" in flow
    assert "Nobody works at the benches yet" in facts
    assert "No unit was here in these four weeks" in flow
