"""What the owner says about hours and skills, and how it reads as working time."""

from collections.abc import Callable
from datetime import UTC, date, datetime, time

import pytest

from shop.boards.models import Service
from shop.core.actor import Actor
from shop.core.models import DueWork, ShopProfile, TrailEntry
from shop.core.reasons import Missing, Refused, Stale, sentence
from shop.people.models import User
from shop.planning import actions
from shop.planning.calendars import calendars, hands_on_min, usual_calendar
from shop.planning.models import DayOff, RunsAlone, Shift, TechnicianSkill
from shop.planning.shown.facts import facts_shown
from shop.planning.worktime.working_time import minutes_between

TUESDAY, SATURDAY = date(2026, 3, 10), date(2026, 3, 14)
pytestmark = pytest.mark.usefixtures("frozen")


def worked(shop: ShopProfile, user: User, day: date) -> float:
    """Minutes that somebody works on a local day."""
    shop.refresh_from_db()
    calendar = calendars(shop, [user], day, day).of[user.pk]
    return sum(span.minutes for span in calendar.spans_of(day))


def rung() -> bool:
    return DueWork.objects.filter(task="planning.replan", subject="changed", state="due").exists()


def test_it_works_the_usual_hours_where_nothing_is_entered(shop: ShopProfile, jun: User) -> None:
    assert worked(shop, jun, TUESDAY) == 300
    assert worked(shop, jun, SATURDAY) == 0
    ShopProfile.objects.update(minutes_per_day=1440)
    assert worked(shop, jun, TUESDAY) == 1440


def test_it_works_the_shifts_that_are_entered_and_no_others(shop: ShopProfile, owner: Actor, jun: User) -> None:
    for begins, ends in ((time(9), time(12, 30)), (time(13, 15), time(17, 30))):
        actions.add_shifts(actor=owner, technician_id=jun.pk, weekdays=[1, 3], begins=begins, ends=ends)
    assert worked(shop, jun, TUESDAY) == 210 + 255
    assert worked(shop, jun, date(2026, 3, 11)) == 0
    assert rung()
    entry = TrailEntry.objects.filter(subject_id=jun.pk).latest("seq")
    assert entry.what == "shifts_added"


@pytest.mark.parametrize(("begins", "ends"), [(time(17), time(9)), (time(9), time(9))])
def test_it_refuses_a_shift_that_ends_before_it_begins(owner: Actor, jun: User, begins: time, ends: time) -> None:
    with pytest.raises(Refused) as refused:
        actions.add_shifts(actor=owner, technician_id=jun.pk, weekdays=[0], begins=begins, ends=ends)
    assert "ends before it begins. Write a night shift as two" in sentence(refused.value.reasons[0])
    assert not Shift.objects.exists()
    assert not rung()


def test_it_takes_a_night_shift_as_two(shop: ShopProfile, owner: Actor, jun: User) -> None:
    actions.add_shifts(actor=owner, technician_id=jun.pk, weekdays=[1], begins=time(22), ends=time(0))
    actions.add_shifts(actor=owner, technician_id=jun.pk, weekdays=[2], begins=time(0), ends=time(6))
    assert worked(shop, jun, TUESDAY) == 120
    assert worked(shop, jun, date(2026, 3, 11)) == 360


def test_it_refuses_shifts_that_overlap_and_people_who_are_not_at_benches(owner: Actor, jun: User, pim: User) -> None:
    actions.add_shifts(actor=owner, technician_id=jun.pk, weekdays=[0, 1], begins=time(9), ends=time(12))
    with pytest.raises(Refused, match="shift_overlaps"):
        actions.add_shifts(actor=owner, technician_id=jun.pk, weekdays=[1], begins=time(11), ends=time(13))
    with pytest.raises(Refused, match="blank"):
        actions.add_shifts(actor=owner, technician_id=jun.pk, weekdays=[], begins=time(9), ends=time(12))
    with pytest.raises(Refused, match="not_at_bench_role"):
        actions.add_shifts(actor=owner, technician_id=pim.pk, weekdays=[0], begins=time(9), ends=time(12))
    assert Shift.objects.count() == 2


def test_it_closes_days_for_one_and_for_all_whole_and_in_part(
    shop: ShopProfile, owner: Actor, jun: User, ottilie: User
) -> None:
    actions.add_day_off(actor=owner, technician_id=jun.pk, from_day=TUESDAY, text="Dentist")
    assert (worked(shop, jun, TUESDAY), worked(shop, ottilie, TUESDAY)) == (0, 300)
    thursday, friday = date(2026, 3, 12), date(2026, 3, 13)
    actions.add_day_off(
        actor=owner, technician_id=None, from_day=thursday, until_day=friday, begins=time(9), ends=time(11)
    )
    assert [worked(shop, ottilie, day) for day in (thursday, friday)] == [180, 180]


def test_it_opens_a_saturday_in_given_hours(shop: ShopProfile, owner: Actor, jun: User, ottilie: User) -> None:
    actions.add_extra_day(actor=owner, technician_id=jun.pk, day=SATURDAY, begins=time(10), ends=time(14))
    assert (worked(shop, jun, SATURDAY), worked(shop, ottilie, SATURDAY)) == (240, 0)
    actions.add_extra_day(actor=owner, technician_id=None, day=SATURDAY, begins=time(9), ends=time(10))
    assert (worked(shop, jun, SATURDAY), worked(shop, ottilie, SATURDAY)) == (240, 60)


@pytest.mark.parametrize(
    ("code", "given"),
    [
        ("day_over", {"from_day": date(2026, 3, 9)}),
        ("days_backwards", {"from_day": date(2026, 3, 12), "until_day": TUESDAY}),
        ("day_too_far", {"from_day": date(2029, 1, 1)}),
        ("hours_half_given", {"from_day": TUESDAY, "begins": time(9)}),
        ("shift_backwards", {"from_day": TUESDAY, "begins": time(9), "ends": time(8)}),
        ("too_long", {"from_day": TUESDAY, "text": "x" * 121}),
    ],
)
def test_it_refuses_days_off_that_cannot_be(owner: Actor, jun: User, code: str, given: dict[str, object]) -> None:
    with pytest.raises(Refused, match=code):
        actions.add_day_off(actor=owner, technician_id=jun.pk, **given)  # type: ignore[arg-type]
    assert not DayOff.objects.exists()


def test_it_keeps_the_holidays_of_the_place_that_the_owner_names(shop: ShopProfile, owner: Actor, jun: User) -> None:
    fourth = date(2026, 7, 3)  # observed, since the fourth is a Saturday
    figures = {"promise_percent": 85, "minutes_per_day": 240}
    actions.set_figures(actor=owner, version=1, holidays_of="us-md", **figures)
    shop.refresh_from_db()
    assert (shop.holidays_of, shop.promise_percent) == ("US-MD", 85)
    assert worked(shop, jun, date(2026, 12, 25)) == 0
    assert calendars(shop, [], fourth, fourth).holidays
    with pytest.raises(Refused) as refused:
        actions.set_figures(actor=owner, version=2, holidays_of="Atlantis", **figures)
    assert "ATLANTIS" in sentence(refused.value.reasons[0])
    with pytest.raises(Refused, match="out_of_range"):
        actions.set_figures(actor=owner, version=2, holidays_of="", promise_percent=40, minutes_per_day=240)
    with pytest.raises(Stale):
        actions.set_figures(actor=owner, version=1, holidays_of="", **figures)


def test_it_knows_one_speed_for_a_skill(owner: Actor, jun: User) -> None:
    actions.set_skill(actor=owner, technician_id=jun.pk, skill="fine soldering", percent=100)
    actions.set_skill(actor=owner, technician_id=jun.pk, skill="Fine  soldering", percent=150)
    kept = TechnicianSkill.objects.get(technician=jun, retired_at=None)
    assert (kept.skill, kept.percent) == ("Fine soldering", 150)
    with pytest.raises(Refused, match="out_of_range"):
        actions.set_skill(actor=owner, technician_id=jun.pk, skill="etching", percent=0)


def test_it_takes_back_what_was_entered_once(owner: Actor, jun: User) -> None:
    [shift] = actions.add_shifts(actor=owner, technician_id=jun.pk, weekdays=[0], begins=time(9), ends=time(12))
    for _time in range(2):
        actions.remove_fact(actor=owner, kind="shift", fact_id=shift.pk)
    assert Shift.objects.get().retired_at is not None
    assert TrailEntry.objects.filter(subject_id=jun.pk, what="planning_fact_removed").count() == 1
    with pytest.raises(Missing):
        actions.remove_fact(actor=owner, kind="roof", fact_id=shift.pk)


def test_it_says_what_runs_alone_once_for_each_service(owner: Actor, recap: Service) -> None:
    actions.set_alone(actor=owner, minutes=60, service_id=recap.pk)
    actions.set_alone(actor=owner, minutes=90, service_id=recap.pk)
    assert RunsAlone.objects.get(retired_at=None).minutes == 90
    with pytest.raises(Refused, match="alone_of_what"):
        actions.set_alone(actor=owner, minutes=60)


@pytest.mark.parametrize("who", ["technician", "helper"])
def test_only_the_owner_changes_them(request: pytest.FixtureRequest, who: str, jun: User) -> None:
    actor: Actor = request.getfixturevalue(who)
    attempts: list[Callable[[], object]] = [
        lambda: actions.add_shifts(actor=actor, technician_id=jun.pk, weekdays=[0], begins=time(9), ends=time(12)),
        lambda: actions.add_day_off(actor=actor, technician_id=jun.pk, from_day=TUESDAY),
        lambda: actions.add_extra_day(actor=actor, technician_id=None, day=SATURDAY, begins=time(9), ends=time(12)),
        lambda: actions.set_skill(actor=actor, technician_id=jun.pk, skill="etching", percent=100),
        lambda: actions.remove_fact(actor=actor, kind="shift", fact_id=jun.pk),
        lambda: actions.ask_for_plan(actor=actor),
    ]
    for attempt in attempts:
        with pytest.raises(Refused, match="not_permitted"):
            attempt()


def test_it_shows_what_is_entered_and_what_stands_for_the_rest(
    shop: ShopProfile, owner: Actor, jun: User, recap: Service
) -> None:
    actions.add_shifts(actor=owner, technician_id=jun.pk, weekdays=[0], begins=time(9), ends=time(12))
    Service.objects.filter(pk=recap.pk).update(skill="fine soldering")
    seen = facts_shown()
    assert {person.technician.name: len(person.shifts) for person in seen.people} == {
        "Jun Okafor": 1,
        "Ottilie Brandt": 0,
    }
    assert (seen.usual.begins, seen.usual.ends) == (time(9), time(14))
    assert seen.skills_asked == ["fine soldering"]


def test_a_clock_that_ran_through_the_night_counts_working_time_only(shop: ShopProfile) -> None:
    usual = usual_calendar(shop)
    began = datetime(2026, 3, 10, 17, 0, tzinfo=UTC)  # 13:00 in the shop, which closes at 14:00
    assert hands_on_min(usual, began, began.replace(hour=19)) == 120
    assert hands_on_min(usual, began, datetime(2026, 3, 11, 14, 0, tzinfo=UTC)) == 60 + 60
    assert minutes_between(usual, began, began) == hands_on_min(usual, began, began) == 0
