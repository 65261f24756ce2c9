"""A job sheet on a unit: laid out, kept, taken up again."""

from datetime import timedelta
from itertools import product

import pytest
from pytest_django import DjangoAssertNumQueries
from time_machine import Traveller

from shop.boards.models import DeviceModel, Service
from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.people.models import Place, User
from shop.units.models import Unit
from shop.work import outline, queries, steps
from shop.work.actions import tick, untick
from shop.work.models import JobStep
from shop.work.wording import caution_for, is_hold_point, words_for
from tests.work.conftest import tick_with_evidence


def make(actor: Actor, unit: Unit, *services: Service, kind: str = "work") -> list[JobStep]:
    return steps.make_job_sheet(actor=actor, unit=unit, kind=kind, services=services)


def tick_all(actor: Actor, unit: Unit) -> None:
    for step in queries.open_steps(unit):
        tick_with_evidence(actor, unit, step)


def test_it_lays_the_sheet_out_with_the_services_own_words(
    at_bench: Unit, technician: Actor, recap: Service, video_board: Service
) -> None:
    made = make(technician, at_bench, recap, video_board)
    own = [step.words for step in made if step.service]
    assert own == [*recap.steps, *video_board.steps]
    assert [step.position for step in made] == list(range(1, len(made) + 1))
    assert queries.sheet(at_bench) == made
    entry = TrailEntry.objects.get(subject_id=at_bench.pk, what="sheet_made")
    assert entry.after == "work"


def test_it_holds_at_both_looks_and_at_the_charge_of_a_mains_unit(
    at_bench: Unit, technician: Actor, recap: Service
) -> None:
    assert [step.code for step in make(technician, at_bench, recap) if step.hold_point] == ["joints", "look_again"]
    at_bench.model.mains_inside = True
    JobStep.objects.all().delete()
    held = [step.code for step in make(technician, at_bench, recap) if step.hold_point]
    assert held == ["discharge", "joints", "look_again"]


def test_it_leaves_the_sheet_alone_when_nothing_has_changed(at_bench: Unit, technician: Actor, recap: Service) -> None:
    made = make(technician, at_bench, recap)
    assert make(technician, at_bench, recap) == made
    assert JobStep.objects.count() == len(made)
    assert TrailEntry.objects.filter(subject_id=at_bench.pk).count() == 1


def test_it_keeps_what_was_ticked_and_its_number_on_a_second_visit(
    at_bench: Unit, technician: Actor, recap: Service
) -> None:
    first = make(technician, at_bench, recap)
    for step in first[:5]:
        tick(actor=technician, unit_id=at_bench.pk, step_id=step.pk)
    at_bench.opened = True
    make(technician, at_bench, recap)
    sheet = queries.sheet(at_bench)
    assert sheet[:5] == first[:5]
    assert [step.position for step in sheet[:5]] == [1, 2, 3, 4, 5]
    assert [step.code for step in sheet[5:8]] == ["unplug", "discharge", "service"]
    assert [step.words for step in sheet if step.service] == recap.steps
    positions = list(JobStep.objects.values_list("position", flat=True))
    assert len(positions) == len(set(positions))


def test_it_adds_after_a_failed_test_what_must_be_done_again(at_bench: Unit, technician: Actor, recap: Service) -> None:
    first = make(technician, at_bench, recap)
    tick_all(technician, at_bench)
    at_bench.test_round = 2
    again = make(technician, at_bench, recap)
    assert [step.code for step in again] == [
        "unplug", "open", "discharge", "mend", *outline.FINISH, *outline.CLOSE_UP,
    ]  # fmt: skip
    assert again[0].position == first[-1].position + 1
    assert queries.sheet(at_bench) == [*first, *again]


def test_it_sets_an_unfinished_diagnosis_aside_when_the_work_begins(
    at_bench: Unit, technician: Actor, recap: Service
) -> None:
    looked = make(technician, at_bench, kind="diagnosis")
    make(technician, at_bench, recap)
    assert not set(looked) & set(queries.sheet(at_bench))
    assert JobStep.objects.filter(pk__in=[step.pk for step in looked], retired_at=None).count() == 0


def test_it_reads_the_present_step(at_bench: Unit, technician: Actor, recap: Service) -> None:
    assert queries.present_step(queries.sheet(at_bench)) is None
    made = make(technician, at_bench, recap)
    tick(actor=technician, unit_id=at_bench.pk, step_id=made[0].pk)
    assert queries.present_step(queries.sheet(at_bench)) == made[1]
    untick(actor=technician, unit_id=at_bench.pk, step_id=made[0].pk)
    assert queries.present_step(queries.sheet(at_bench)) == made[0]


def test_it_reads_a_sheet_in_one_query(
    at_bench: Unit, technician: Actor, recap: Service, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    make(technician, at_bench, recap)
    tick_all(technician, at_bench)
    with django_assert_num_queries(1):
        assert all(step.done_by and step.done_by.name for step in queries.sheet(at_bench))


@pytest.mark.parametrize("inside", list(product([False, True], repeat=3)))
def test_it_words_every_step_within_its_columns(inside: tuple[bool, bool, bool]) -> None:
    mains, tube, battery = inside
    model = DeviceModel(maker="Quillon", name="Lantern", mains_inside=mains, tube_inside=tube, battery_inside=battery)
    room = JobStep._meta.get_field("caution").max_length or 0
    for code in outline.CODES:
        assert words_for(outline.Task(code, "a", "Fit it"))
        assert len(caution_for(code, model)) <= room
    assert is_hold_point("discharge", model) == (mains or tube)


def test_it_warns_where_work_can_hurt() -> None:
    plain, deadly = DeviceModel(), DeviceModel(mains_inside=True, tube_inside=True, battery_inside=True)
    for code in ("discharge", "service", "first_power", "clean"):
        assert caution_for(code, plain)
    assert "local code" in caution_for("open", deadly)
    assert "tube" in caution_for("discharge", deadly)
    assert "Lithium" in caution_for("service", deadly)
    assert "Mains" not in caution_for("open", plain)


def test_it_counts_minutes_worked_over_hands_that_change(
    *, at_bench: Unit, technician: Actor, bench_one: Place, jun: User, ottilie: User, frozen: Traveller
) -> None:
    steps.begin(actor=technician, unit=at_bench, bench=bench_one, user=jun)
    frozen.shift(timedelta(minutes=20))
    steps.begin(actor=technician, unit=at_bench, bench=bench_one, user=ottilie)
    frozen.shift(timedelta(minutes=15))
    assert queries.minutes_worked(at_bench) == 35
    assert steps.end(unit=at_bench) is True
    assert steps.end(unit=at_bench) is False
    frozen.shift(timedelta(hours=5))
    assert queries.minutes_worked(at_bench) == 35
    assert list(at_bench.intervals.values_list("user__name", flat=True)) == ["Jun Okafor", "Ottilie Brandt"]


def test_it_goes_on_with_the_interval_that_runs(
    at_bench: Unit, technician: Actor, bench_one: Place, jun: User, frozen: Traveller
) -> None:
    began = steps.begin(actor=technician, unit=at_bench, bench=bench_one, user=jun)
    frozen.shift(timedelta(minutes=5))
    assert steps.begin(actor=technician, unit=at_bench, bench=bench_one, user=jun) == began
    assert TrailEntry.objects.filter(subject_id=at_bench.pk, what="work_began").count() == 1
