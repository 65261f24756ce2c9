"""The account of fasteners taken out and put back."""

from dataclasses import replace
from uuid import uuid4

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shop.boards.case_actions import put_fastener
from shop.boards.models import BoardRevision
from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.core.reasons import Missing, Refused, sentence
from shop.units.models import Unit
from shop.work import queries
from shop.work.actions import tick
from shop.work.fastener_actions import MOST_FASTENERS, fasteners_back, fasteners_out, group_out, write_off_fasteners
from shop.work.models import FastenerGroup, JobStep
from shop.work.steps import make_job_sheet
from tests.boards.conftest import REAR, enter_board


def out(actor: Actor, unit: Unit, count: int, where: str = "Bottom shell", kind: str = "PH0 × 8 mm") -> FastenerGroup:
    return fasteners_out(actor=actor, unit_id=unit.pk, where=where, kind=kind, count=count)


def back(actor: Actor, unit: Unit, group: FastenerGroup, count: int) -> FastenerGroup:
    return fasteners_back(actor=actor, unit_id=unit.pk, group_id=group.pk, count=count)


def test_it_keeps_one_account_for_each_place_and_kind(at_bench: Unit, technician: Actor) -> None:
    first = out(technician, at_bench, 2)
    assert out(technician, at_bench, 4) == first
    longer = out(technician, at_bench, 2, kind="PH0 × 14 mm")
    assert [(group.where, group.kind, group.out) for group in queries.fasteners(at_bench)] == [
        ("Bottom shell", "PH0 × 8 mm", 6),
        ("Bottom shell", "PH0 × 14 mm", 2),
    ]
    back(technician, at_bench, longer, 2)
    assert queries.fasteners_missing(at_bench) == [first]


def test_it_writes_figures_to_the_trail_and_leaves_the_unit_alone(at_bench: Unit, technician: Actor) -> None:
    group = out(technician, at_bench, 6)
    back(technician, at_bench, group, 6)
    at_bench.refresh_from_db()
    assert (at_bench.opened, at_bench.version) == (False, 1)
    whats = TrailEntry.objects.filter(subject_id=at_bench.pk).values_list("what", flat=True)
    assert list(whats) == ["fasteners_out", "fasteners_back"]


def test_it_takes_the_same_fasteners_out_again(at_bench: Unit, technician: Actor) -> None:
    group = out(technician, at_bench, 6)
    back(technician, at_bench, group, 6)
    again = out(technician, at_bench, 6)
    assert (again.pk, again.out, again.back) == (group.pk, 6, 0)


def test_it_never_takes_back_more_than_are_out(at_bench: Unit, technician: Actor) -> None:
    group = out(technician, at_bench, 6)
    back(technician, at_bench, group, 4)
    with pytest.raises(Refused) as refused:
        back(technician, at_bench, group, 3)
    said = sentence(refused.value.reasons[0])
    assert refused.value.code == "fasteners_too_many"
    assert "Bottom shell" in said
    assert "6 came out and 4 are back" in said
    group.refresh_from_db()
    assert group.back == 4


@pytest.mark.parametrize("count", [0, -1, MOST_FASTENERS + 1])
def test_it_refuses_counts_that_cannot_be(at_bench: Unit, technician: Actor, count: int) -> None:
    with pytest.raises(Refused, match="out_of_range"):
        out(technician, at_bench, count)
    group = out(technician, at_bench, MOST_FASTENERS)
    with pytest.raises(Refused, match="out_of_range"):
        back(technician, at_bench, group, count)
    with pytest.raises(Refused, match="out_of_range"):
        out(technician, at_bench, 1)


def test_it_wants_a_place_in_words_that_fit(at_bench: Unit, technician: Actor) -> None:
    with pytest.raises(Refused, match="blank"):
        out(technician, at_bench, 1, where="  ")
    with pytest.raises(Refused, match="too_long"):
        out(technician, at_bench, 1, where="x" * 61)
    with pytest.raises(Refused, match="too_long"):
        out(technician, at_bench, 1, kind="x" * 61)


def test_it_does_not_know_groups_of_other_units(at_bench: Unit, technician: Actor) -> None:
    other = Unit.objects.create(number=118, model=at_bench.model, stage="bench", visit="work")
    foreign = out(technician, other, 2)
    with pytest.raises(Missing):
        back(technician, at_bench, foreign, 1)
    with pytest.raises(Missing):
        fasteners_back(actor=technician, unit_id=uuid4(), group_id=foreign.pk, count=1)


def test_it_counts_at_the_bench_and_in_testing_only(at_bench: Unit, technician: Actor) -> None:
    Unit.objects.filter(pk=at_bench.pk).update(stage="testing", visit="")
    group = out(technician, at_bench, 2)
    Unit.objects.filter(pk=at_bench.pk).update(stage="queue")
    for act in (lambda: out(technician, at_bench, 2), lambda: back(technician, at_bench, group, 1)):
        with pytest.raises(Refused) as refused:
            act()
        assert refused.value.code == "not_open_to_work"
        assert "queue" in sentence(refused.value.reasons[0])


@settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(moves=st.lists(st.tuples(st.booleans(), st.integers(1, 8)), max_size=8))
def test_it_always_balances_what_lies_in_the_bag(
    at_bench: Unit, technician: Actor, moves: list[tuple[bool, int]]
) -> None:
    """The bag holds what came out less what went back, whatever the order of taps."""
    bag, where = 0, str(uuid4())
    for outward, count in moves:
        if outward:
            group = out(technician, at_bench, count, where=where)
            bag += count
        elif count <= bag:
            group = back(technician, at_bench, group, count)
            bag -= count
        else:
            continue
        assert group.out - group.back == bag
        assert (group in queries.fasteners_missing(at_bench)) == (bag > 0)


def test_the_owner_writes_off_what_stays_away_and_the_account_balances(
    at_bench: Unit, technician: Actor, owner: Actor
) -> None:
    group = out(technician, at_bench, 6)
    back(technician, at_bench, group, 5)
    assert queries.fasteners_missing(at_bench) == [group]
    with pytest.raises(Refused, match="not_permitted"):
        write_off_fasteners(actor=technician, unit_id=at_bench.pk, group_id=group.pk, count=1, reason="Gone")
    with pytest.raises(Refused, match="blank"):
        write_off_fasteners(actor=owner, unit_id=at_bench.pk, group_id=group.pk, count=1, reason=" ")
    with pytest.raises(Refused, match="fasteners_too_many"):
        write_off_fasteners(actor=owner, unit_id=at_bench.pk, group_id=group.pk, count=2, reason="Gone")
    done = write_off_fasteners(actor=owner, unit_id=at_bench.pk, group_id=group.pk, count=1, reason="Under the floor")
    assert (done.out, done.back, done.written_off, done.missing) == (6, 5, 1, 0)
    assert queries.fasteners_missing(at_bench) == []
    row = TrailEntry.objects.get(subject_id=at_bench.pk, what="fasteners_written_off")
    assert row.note is not None
    assert row.note.text == "Under the floor"


def test_what_was_given_up_and_turns_up_is_counted_out_again(at_bench: Unit, technician: Actor, owner: Actor) -> None:
    group = out(technician, at_bench, 6)
    write_off_fasteners(actor=owner, unit_id=at_bench.pk, group_id=group.pk, count=1, reason="Under the floor")
    back(technician, at_bench, group, 5)
    found = out(technician, at_bench, 6)
    assert (found.out, found.back, found.written_off, found.missing) == (6, 0, 0, 6)


@pytest.fixture
def known(at_bench: Unit, owner: Actor, lantern_b2: BoardRevision) -> Unit:
    """The unit with its board identified: A, two of 12 mm at the rear edge; B, one of 8 mm under the label."""
    at_bench.revision, at_bench.edition = lantern_b2, enter_board(owner, lantern_b2)
    at_bench.save()
    return at_bench


def taken(actor: Actor, unit: Unit, label: str, missing: int = 0) -> FastenerGroup:
    return group_out(actor=actor, unit_id=unit.pk, label=label, missing=missing)


def step_of(actor: Actor, unit: Unit, code: str) -> JobStep:
    made = make_job_sheet(actor=actor, unit=unit, kind="closing" if code == "count" else "diagnosis")
    return next(step for step in made if step.code == code)


def test_it_takes_a_group_out_with_what_the_library_knows_of_it(known: Unit, technician: Actor) -> None:
    group = taken(technician, known, "B")
    group.refresh_from_db()
    assert (group.label, group.where, group.kind, group.length_mm) == (
        "B", "under the label", "cross, PH1, M3 × 8 mm", 8.0,
    )  # fmt: skip
    assert (group.out, group.missing, group.warning) == (1, 1, "the cartridge slot behind it")
    assert group.said == "B: under the label (cross, PH1, M3 × 8 mm)"


def test_it_keeps_what_was_missing_on_arrival_out_of_the_account(known: Unit, technician: Actor) -> None:
    group = taken(technician, known, "A", missing=1)
    gone = taken(technician, known, "B", missing=1)
    assert (group.out, group.missing, group.missing_on_arrival) == (1, 1, 1)
    assert (gone.out, gone.missing, gone.missing_on_arrival) == (0, 0, 1)
    assert queries.fasteners_missing(known) == [group]
    entry = TrailEntry.objects.filter(subject_id=known.pk, what="fasteners_out").earliest("seq")
    assert '"missing_on_arrival": 1' in entry.facts
    fasteners_back(actor=technician, unit_id=known.pk, group_id=group.pk)
    assert queries.fasteners_missing(known) == []


@pytest.mark.parametrize("missing", [-1, 3])
def test_it_refuses_more_missing_than_there_can_be(known: Unit, technician: Actor, missing: int) -> None:
    with pytest.raises(Refused) as refused:
        taken(technician, known, "A", missing)
    assert (refused.value.code, refused.value.reasons[0].field) == ("out_of_range", "missing")
    assert not FastenerGroup.objects.exists()


def test_it_changes_nothing_by_a_second_tap(known: Unit, technician: Actor) -> None:
    first = taken(technician, known, "A", missing=1)
    gone = taken(technician, known, "B", missing=1)
    for group in (first, gone):
        again = taken(technician, known, group.label)
        assert (again.pk, again.out, again.back, again.missing_on_arrival) == (group.pk, group.out, 0, 1)
    assert TrailEntry.objects.filter(subject_id=known.pk, what="fasteners_out").count() == 2


def test_it_takes_a_group_out_again_that_went_back_with_what_was_given_up(
    known: Unit, technician: Actor, owner: Actor
) -> None:
    group = taken(technician, known, "A")
    write_off_fasteners(actor=owner, unit_id=known.pk, group_id=group.pk, count=1, reason="Stripped")
    back(technician, known, group, 1)
    assert queries.fasteners_missing(known) == []
    again = taken(technician, known, "A")
    assert (again.out, again.back, again.written_off, again.missing) == (2, 0, 1, 1)


def test_it_knows_no_group_that_the_library_does_not(known: Unit, technician: Actor, helper: Actor) -> None:
    with pytest.raises(Missing):
        taken(technician, known, "Z")
    with pytest.raises(Refused, match="not_permitted"):
        taken(helper, known, "A")


def test_it_opens_only_when_each_known_group_is_counted(known: Unit, technician: Actor) -> None:
    lid = step_of(technician, known, "open")
    taken(technician, known, "A")
    with pytest.raises(Refused) as refused:
        tick(actor=technician, unit_id=known.pk, step_id=lid.pk)
    assert refused.value.code == "fasteners_uncounted"
    assert sentence(refused.value.reasons[0]).startswith("Fasteners of B are not counted yet.")
    taken(technician, known, "B", missing=1)
    assert tick(actor=technician, unit_id=known.pk, step_id=lid.pk).done_at


def test_it_asks_before_the_first_opening_for_the_groups_of_the_models_other_board(
    at_bench: Unit, technician: Actor, owner: Actor, lantern_b2: BoardRevision
) -> None:
    """A board is identified inside: before, the bench shows the groups of a board that the library knows."""
    enter_board(owner, lantern_b2)
    assert [screw.label for screw in queries.known_screws(at_bench)] == ["A", "B"]
    lid = step_of(technician, at_bench, "open")
    with pytest.raises(Refused, match="fasteners_uncounted"):
        tick(actor=technician, unit_id=at_bench.pk, step_id=lid.pk)


def test_it_puts_no_longer_one_where_a_shorter_belongs_and_says_what_it_would_damage(
    known: Unit, technician: Actor
) -> None:
    rear, under = taken(technician, known, "A"), taken(technician, known, "B")
    with pytest.raises(Refused) as refused:
        fasteners_back(actor=technician, unit_id=known.pk, group_id=under.pk, count=1, held_id=rear.pk)
    assert refused.value.code == "fastener_too_long"
    said = sentence(refused.value.reasons[0])
    assert "A: rear edge (cross, PH1, M3 × 12 mm) is longer" in said
    assert "would damage the cartridge slot behind it" in said
    with pytest.raises(Refused) as refused:
        fasteners_back(actor=technician, unit_id=known.pk, group_id=rear.pk, count=1, held_id=under.pk)
    assert refused.value.code == "fastener_of_other_place"
    assert queries.fasteners_missing(known) == [rear, under]


def test_equal_ones_may_change_places(known: Unit, technician: Actor, owner: Actor, lantern_b2: BoardRevision) -> None:
    put_fastener(actor=owner, revision_id=lantern_b2.pk, screw=replace(REAR, label="C", where="front edge"))
    rear, front = taken(technician, known, "A"), taken(technician, known, "C")
    done = fasteners_back(actor=technician, unit_id=known.pk, group_id=front.pk, count=1, held_id=rear.pk)
    assert (done.pk, done.back) == (front.pk, 1)
    same = fasteners_back(actor=technician, unit_id=known.pk, group_id=rear.pk, held_id=rear.pk)
    assert same.missing == 0


def test_it_does_not_count_while_a_known_group_is_out(known: Unit, technician: Actor, owner: Actor) -> None:
    group = taken(technician, known, "A")
    count = step_of(technician, known, "count")
    with pytest.raises(Refused) as refused:
        tick(actor=technician, unit_id=known.pk, step_id=count.pk)
    assert "rear edge (2)" in sentence(refused.value.reasons[0])
    back(technician, known, group, 1)
    write_off_fasteners(actor=owner, unit_id=known.pk, group_id=group.pk, count=1, reason="Stripped")
    assert tick(actor=technician, unit_id=known.pk, step_id=count.pk).done_at
