"""From the shop's rows to what the planner takes."""

from collections.abc import Callable
from datetime import date, timedelta

import pytest
from pytest_django import DjangoAssertNumQueries

from shop.boards.models import Service
from shop.core.actor import Actor
from shop.core.models import ShopProfile
from shop.people.models import Place, User
from shop.planning import actions
from shop.planning.assigning.plan_facts import Job
from shop.planning.gathering import Gathered, gather
from shop.planning.jobs import COMEBACK, FIRST, USUAL
from shop.quotes.models import Decision, QuoteVersion
from shop.testing.actions import retire_test_point
from shop.testing.models import TestPoint
from shop.units.models import Finding, Hold, Unit
from shop.work.models import WorkInterval
from tests.conftest import NOW

WriteUp = Callable[..., Unit]
Approve = Callable[..., QuoteVersion]
pytestmark = pytest.mark.usefixtures("frozen")
# The shop opens at 9:00 in New York, four hours after the frozen moment, and works five hours a day.
OPENS, CLOSES = 16, 36


def job_of(gathered: Gathered, unit: Unit) -> Job:
    return next(job for job in gathered.facts.jobs if job.key == str(unit.pk))


def why(gathered: Gathered, unit: Unit) -> str:
    return next(work.reason.code for work in gathered.waiting if work.unit == unit and work.reason)


@pytest.fixture
def approved(write_up: WriteUp, approve: Approve) -> WriteUp:
    """Write up a unit whose services are approved."""

    def make(number: int, *services: Service, **fields: object) -> Unit:
        unit = write_up(number, *services, **fields)
        approve(unit, *services)
        return unit

    return make


def test_it_gathers_nothing_from_an_empty_shop(shop: ShopProfile) -> None:
    gathered = gather()
    assert (gathered.facts.jobs, gathered.facts.technicians) == ((), ())


def test_a_shop_that_entered_nothing_works_usual_hours_and_can_do_everything(
    approved: WriteUp, recap: Service, jun: User, ottilie: User, pim: User
) -> None:
    Service.objects.filter(pk=recap.pk).update(skill="Fine soldering", equipment=["Microscope"])
    unit = approved(1, recap)
    gathered = gather()
    assert [one.name for one in gathered.facts.technicians] == ["Jun Okafor", "Ottilie Brandt"]
    assert all(one.spans[0] == (OPENS, CLOSES) for one in gathered.facts.technicians)
    assert all(one.speeds == {"bench": 100, "fine soldering": 100} for one in gathered.facts.technicians)
    # No bench is entered: one for each, with everything on it.
    assert [bench.equipment for bench in gathered.facts.benches] == [frozenset({"microscope"})] * 2
    assert job_of(gathered, unit).steps[0].skill == "fine soldering"


def test_it_chains_bench_work_drying_tests_and_soak(
    approved: WriteUp, recap: Service, video_board: Service, owner: Actor, bench_one: Place, jun: User
) -> None:
    Service.objects.filter(pk=video_board.pk).update(skill="fine soldering", minutes_spread=10)
    point = TestPoint.objects.create(phase="closed", name="Thirty minutes' soak")
    actions.set_alone(actor=owner, minutes=60, service_id=video_board.pk)
    actions.set_alone(actor=owner, minutes=30, point_id=point.pk)
    unit = approved(1, recap, video_board)
    steps = job_of(gather(), unit).steps
    assert [(step.key, step.minutes, step.skill, step.attended) for step in steps] == [
        ("bench recap", 90 + 15, "bench", True),
        ("bench video-board", 60, "fine soldering", True),
        ("dries video-board", 60, "", False),
        ("testing", 15, "bench", True),
        ("soak", 30, "", False),
    ]
    work = gather().works[str(unit.pk)]
    assert (work.pieces[1].estimate.low_min, work.pieces[1].estimate.high_min) == (50, 70)


def test_it_adds_repairs_that_were_agreed_and_a_mend_for_a_failed_test(approved: WriteUp, recap: Service) -> None:
    unit = approved(1, recap, test_round=2)
    Finding.objects.create(unit=unit, kind="leak", repair="now", repair_minutes=20)
    Finding.objects.create(unit=unit, kind="smoke", repair="offered", repair_minutes=500)
    assert job_of(gather(), unit).steps[0].minutes == 90 + 15 + 20 + 30


@pytest.mark.parametrize(
    ("fields", "hold", "code"),
    [
        ({"stage": "intake"}, None, "plan_waits_intake"),
        ({}, {"kind": "approval"}, "plan_waits_approval"),
        ({}, {"kind": "deposit"}, "plan_waits_deposit"),
        ({}, {"kind": "customer", "words": "a serial number"}, "plan_waits_customer"),
        ({}, {"kind": "parts", "words": "two cans"}, "plan_waits_parts"),
        ({}, {"kind": "other", "words": "a second look"}, "plan_waits_other"),
        ({"ending": "declined"}, None, "plan_nothing_to_do"),
    ],
)
def test_it_says_what_a_unit_waits_for(
    approved: WriteUp, recap: Service, fields: dict[str, str], hold: dict[str, str] | None, code: str
) -> None:
    unit = approved(1, recap, **fields)
    if hold:
        Hold.objects.create(unit=unit, **hold)
    assert why(gather(), unit) == code


@pytest.mark.parametrize("kind", ["approval", "deposit"])
def test_what_has_begun_stays_planned_whatever_is_asked_meanwhile(
    approved: WriteUp, recap: Service, jun: User, kind: str
) -> None:
    unit = approved(1, recap, stage="bench", technician=jun)
    Hold.objects.create(unit=unit, kind=kind)
    assert job_of(gather(), unit).steps[0].fixed is not None


def test_a_soak_that_the_procedure_asks_for_no_more_is_planned_no_more(
    approved: WriteUp, recap: Service, owner: Actor
) -> None:
    point = TestPoint.objects.create(phase="closed", name="Thirty minutes' soak")
    actions.set_alone(actor=owner, minutes=30, point_id=point.pk)
    actions.set_alone(actor=owner, minutes=60, service_id=recap.pk)
    unit = approved(1, recap)
    assert [step.key for step in job_of(gather(), unit).steps][-1] == "soak"
    retire_test_point(actor=owner, point_id=point.pk)
    assert [step.key for step in job_of(gather(), unit).steps] == ["bench recap", "dries recap", "testing"]


def test_it_plans_nothing_before_it_is_approved_but_a_diagnosis_that_is_agreed(
    write_up: WriteUp, recap: Service
) -> None:
    asked, looked_at = write_up(1, recap), write_up(2, recap, agreed="fee", diagnosed=True)
    to_look_at = write_up(3, recap, agreed="fee")
    own = write_up(4, recap)
    Unit.objects.filter(pk=own.pk).update(customer=None)
    gathered = gather()
    assert why(gathered, asked) == why(gathered, looked_at) == "plan_waits_quote"
    assert [step.key for step in job_of(gathered, to_look_at).steps] == ["diagnosis"]
    assert [step.key for step in job_of(gathered, own).steps] == ["bench recap", "testing"]


def test_it_begins_when_the_parts_are_due(approved: WriteUp, recap: Service) -> None:
    unit = approved(1, recap)
    Hold.objects.create(unit=unit, kind="parts", due_on=date(2026, 3, 12))
    gathered = gather()
    # Thursday begins at 4:00 UTC, a day and 19 hours after Tuesday 9:00 UTC.
    assert job_of(gathered, unit).release_slot == (24 + 19) * 4
    assert gathered.works[str(unit.pk)].parts_due == date(2026, 3, 12)


def test_it_reads_promises_comebacks_and_who_goes_first(
    approved: WriteUp, write_up: WriteUp, recap: Service, owner: Actor
) -> None:
    late = approved(1, recap, promised_on=date(2026, 3, 9))
    soon = approved(2, recap, promised_on=date(2026, 3, 10))
    back = write_up(3, recap, earlier_unit=late, free_of_charge=True)
    first = approved(4, recap)
    actions.put_first(actor=owner, unit_id=first.pk, version=1)
    gathered = gather()
    due = [(job.due_slot, job.weight) for job in gathered.facts.jobs]
    # Monday ended five hours before the plan begins; Tuesday ends 19 hours after.
    assert due == [(-20, USUAL), (76, USUAL), (None, COMEBACK), (0, FIRST)]
    assert job_of(gathered, back).steps[0].key == "bench recap"
    assert job_of(gathered, soon).due_slot == 76


def test_it_keeps_work_that_has_begun_where_it_is(
    approved: WriteUp, recap: Service, jun: User, ottilie: User, bench_one: Place, bench_two: Place
) -> None:
    held = {"stage": "bench", "technician": jun, "place": bench_two}
    older, newer = approved(1, recap, hours=3, **held), approved(2, recap, hours=1, **held)
    WorkInterval.objects.create(unit=newer, user=jun, bench=bench_two, began_at=NOW - timedelta(minutes=40))
    gathered = gather()
    fixed = job_of(gathered, newer).steps[0].fixed
    assert fixed is not None
    assert (fixed.technician, fixed.start_slot) == (str(jun.pk), 0)
    assert gathered.places[fixed.bench] == bench_two
    assert job_of(gathered, newer).steps[0].minutes == 105 - 40
    assert (job_of(gathered, older).steps[0].fixed, job_of(gathered, older).pinned) == (None, str(jun.pk))


def test_it_counts_only_what_was_worked_after_the_approval(
    approved: WriteUp, recap: Service, jun: User, bench_one: Place
) -> None:
    unit = approved(1, recap)
    quote = QuoteVersion.objects.get(unit=unit)
    decision = Decision.objects.create(
        quote=quote, kind="approved", content="{}", content_sha256="0" * 64, total_minor=0, by_role="customer"
    )
    assert decision.created_at == NOW
    before = NOW - timedelta(hours=5)
    WorkInterval.objects.create(
        unit=unit, user=jun, bench=bench_one, began_at=before, ended_at=before + timedelta(minutes=50)
    )
    assert job_of(gather(), unit).steps[0].minutes == 105


def test_it_knows_skills_speeds_and_the_equipment_of_benches(
    approved: WriteUp, recap: Service, owner: Actor, jun: User, ottilie: User, bench_one: Place, bench_two: Place
) -> None:
    Service.objects.filter(pk=recap.pk).update(skill="recapping", equipment=["Hot  Air"])
    actions.set_skill(actor=owner, technician_id=jun.pk, skill="Recapping", percent=150)
    actions.set_skill(actor=owner, technician_id=ottilie.pk, skill="etching", percent=100)
    approved(1, recap)
    Place.objects.filter(pk=bench_two.pk).update(capacity=2)
    gathered = gather()
    speeds = {one.name: one.speeds for one in gathered.facts.technicians}
    assert speeds == {"Jun Okafor": {"bench": 100, "recapping": 150}, "Ottilie Brandt": {"bench": 100, "etching": 100}}
    assert [bench.equipment for bench in gathered.facts.benches] == [
        frozenset({"hot air", "isolated mains"}), frozenset(), frozenset(),
    ]  # fmt: skip
    assert gathered.facts.jobs[0].steps[0].equipment == {"hot air"}


def test_it_keeps_a_pinned_unit_with_whom_the_owner_says(
    approved: WriteUp, recap: Service, owner: Actor, jun: User
) -> None:
    unit = approved(1, recap)
    actions.pin_unit(actor=owner, unit_id=unit.pk, version=1, technician_id=jun.pk)
    assert job_of(gather(), unit).pinned == str(jun.pk)
    actions.unpin_unit(actor=owner, unit_id=unit.pk, version=2)
    assert job_of(gather(), unit).pinned is None


def test_equal_shops_have_equal_facts(approved: WriteUp, recap: Service, jun: User) -> None:
    approved(1, recap)
    before = gather().sha256
    assert gather().sha256 == before
    approved(2, recap)
    assert gather().sha256 != before


@pytest.mark.parametrize("count", [1, 12])
def test_it_asks_as_often_for_many_units_as_for_one(
    approved: WriteUp, recap: Service, jun: User, count: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(count):
        unit = approved(number + 1, recap)
        Hold.objects.create(unit=unit, kind="parts", due_on=date(2026, 3, 12))
    with django_assert_num_queries(18):
        assert len(gather().facts.jobs) == count
