"""Tables imported into a board: a dry run line by line, then all of it or nothing."""

from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shop.boards import queries, steps, table_actions
from shop.boards.fastener_table import write_fasteners
from shop.boards.models import BoardEdition, BoardRevision, CaseFastener, Placement
from shop.boards.placement_table import write_placements
from shop.boards.spots import Kind, Points, Spot
from shop.boards.table_actions import Import, Line, import_fasteners, import_placements
from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.core.reasons import Refused, sentence
from tests.boards.conftest import CANS, REAR, UNDER

HEAD = "designator,value,rating,kind,x,y,positive\n"


def read_in(actor: Actor, revision: BoardRevision, text: str, *, dry_run: bool = False, unit: str = "") -> Import:
    return import_placements(actor=actor, revision_id=revision.pk, text=text, dry_run=dry_run, unit=unit)


def graves(found: Import) -> list[tuple[int, str]]:
    return [(line.line, line.reason.code) for line in found.lines if line.reason and line.grave]


def stored(revision: BoardRevision) -> tuple[object, ...]:
    """Return all that the library holds of a board, to tell whether anything was written."""
    board = queries.board(revision)
    trail = TrailEntry.objects.filter(subject_id=revision.pk).count()
    return BoardEdition.objects.count(), board.edition, board.spots, board.screws, trail


def test_it_reads_a_table_into_a_board_that_the_library_did_not_know(
    technician: Actor, lantern_b2: BoardRevision
) -> None:
    done = read_in(technician, lantern_b2, HEAD + "C1,100 µF,16 V,electrolytic,10,20,left\nR3,75 Ω,,resistor,,,\n")
    assert (done.written, done.count("new"), done.wrong) == (True, 2, 0)
    board = queries.board(lantern_b2)
    assert [spot.designator for spot in board.spots] == ["C1", "R3"]
    assert board.spots[0] == Spot(
        designator="C1", value="100 µF", rating="16 V", kind=Kind.ELECTROLYTIC, x_mm=10, y_mm=20, positive=Points.LEFT
    )
    entry = TrailEntry.objects.get(subject_id=lantern_b2.pk, what="board_imported")
    assert entry.facts == '{"changed": 0, "edition": 1, "new": 2}'


def test_a_dry_run_names_each_line_and_writes_nothing(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    before = stored(lantern_b2)
    text = HEAD + "C1,47 µF,,,,,\nC2,,,,,,\nC9,1 µF,50 V,electrolytic,20,20,up\nC10,1 µF,0 V,electrolytic,20,20,up\n"
    done = read_in(technician, lantern_b2, text, dry_run=True)
    assert not done.written
    assert [(line.line, line.named, line.change) for line in done.lines if line.change] == [
        (2, "C1", "changed"), (3, "C2", "same"), (4, "C9", "new"), (5, "C10", "new"),
    ]  # fmt: skip
    assert {at for at, _code in graves(done)} == {5}
    assert done.wrong == 1
    assert stored(lantern_b2) == before


def test_one_wrong_line_keeps_all_of_it_out(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    before = stored(lantern_b2)
    text = HEAD + "C1,47 µF,,,,,\nC9,1 µF,50 V,electrolytic,20,20,up\n,1 µF,,,,,\n"
    with pytest.raises(Refused) as refused:
        read_in(technician, lantern_b2, text)
    assert refused.value.code == "table_refused"
    assert sentence(refused.value.reasons[0]).startswith("Nothing was written: 1 lines need mending first.")
    assert stored(lantern_b2) == before


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("C1,1 µF,50 V,electrolytic,20,20,up\nC1,2 µF,50 V,electrolytic,20,20,up", "table_designator_twice"),
        ("C9,1 µF,50 V,electrolytic,161,20,up", "table_off_board"),
        ("C9,1 µF,2000 V,electrolytic,20,20,up", "table_rating_impossible"),
        ("C9,1 µF,50 V,electrolytic,20,20,", "table_positive_missing"),
        ("C9,1 µF,50 V,electrolytic,20,,up", "table_coordinate_missing"),
        ("C9,1 µF,50 V,electrolytic,wide,20,up", "table_number_unreadable"),
        ("9C,1 µF,50 V,electrolytic,20,20,up", "table_designator_malformed"),
        ("C9,1 µF,50 V,electrolytic,20,20,north", "table_word_unknown"),
    ],
)
def test_it_names_the_line_of_a_row_that_cannot_be(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision, row: str, code: str
) -> None:
    done = read_in(technician, lantern_b2, f"{HEAD}R3,75 Ω,,resistor,104,96,\n{row}\n", dry_run=True)
    wanted = 4 if "\n" in row else 3
    assert (wanted, code) in graves(done)
    assert {at for at, _code in graves(done)} == {wanted}
    for line in done.lines:
        assert line.reason is None or sentence(line.reason)


def test_it_refuses_a_variant_that_the_board_does_not_have(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    text = "designator,fit,variants\nR9,variant,50 Hz\nR10,variant,55 Hz\n"
    assert graves(read_in(technician, lantern_b2, text, dry_run=True)) == [(3, "variant_unknown")]


def test_it_changes_only_what_a_row_gives(technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision) -> None:
    done = read_in(technician, lantern_b2, "designator,value\nC1,470 µF\nC61,33 µF\n")
    assert (done.written, done.count("changed")) == (True, 2)
    board = queries.board(lantern_b2)
    assert board.spot("C1") == replace(CANS[0], value="470 µF")
    assert board.spot("C61") == replace(CANS[2], value="33 µF")
    assert [spot.designator for spot in board.spots] == ["C1", "C2", "C61", "C70", "R3", "U8"]


@pytest.mark.parametrize("heading", ["designator,value", "designator,value,positive"])
def test_a_row_need_not_say_where_the_plus_points_when_the_library_knows(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision, heading: str
) -> None:
    text = f"{heading}\nC2,22 µF{',' * (heading.count(',') - 1)}\n"
    done = read_in(technician, lantern_b2, text)
    assert (done.wrong, [(line.named, line.change) for line in done.lines if line.change]) == (0, [("C2", "changed")])
    spot = queries.board(lantern_b2).spot("C2")
    assert spot is not None
    assert (spot.value, spot.positive, spot.positive_checked) == ("22 µF", Points.UP, True)


def test_a_row_must_say_where_the_plus_points_when_nobody_knows(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    done = read_in(technician, lantern_b2, "designator,value,fit\nC70,22 µF,fitted\n", dry_run=True)
    assert (2, "positive_missing") in graves(done)


def test_a_rotation_in_a_file_does_not_overrule_what_somebody_looked_at(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    text = "designator,rotation,kind\nC2,180,electrolytic\nC9,180,electrolytic\n"
    done = read_in(technician, lantern_b2, text)
    board = queries.board(lantern_b2)
    assert board.spot("C2") == replace(CANS[1], rotation_deg=180.0)
    new = board.spot("C9")
    assert new is not None
    assert (new.positive, new.positive_checked) == (Points.RIGHT, False)
    # A remark that the plus was reckoned would be untrue of C2.
    assert [line.line for line in done.lines if line.reason] == [3]


def test_a_rotation_tells_where_the_plus_points_of_one_that_nobody_has_looked_at(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    """A list of parts without kinds came first, the layout program's file comes second."""
    read_in(technician, lantern_b2, "designator,value\nC9,47 µF\n")
    read_in(technician, lantern_b2, "designator,rotation,kind\nC9,180,electrolytic\n")
    spot = queries.board(lantern_b2).spot("C9")
    assert spot is not None
    assert (spot.value, spot.positive, spot.positive_checked) == ("47 µF", Points.RIGHT, False)


def test_it_takes_thousandths_of_an_inch_where_the_table_names_no_unit(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    read_in(technician, lantern_b2, "designator,x,y\nR9,1000,2000\n", unit="mil")
    spot = queries.board(lantern_b2).spot("R9")
    assert spot is not None
    assert (spot.x_mm, spot.y_mm) == (25.4, 50.8)


def test_what_was_exported_comes_back_as_the_same(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    board = queries.board(lantern_b2)
    spots = read_in(technician, lantern_b2, write_placements(board.spots))
    screws = import_fasteners(
        actor=technician, revision_id=lantern_b2.pk, text=write_fasteners(board.screws), dry_run=False
    )
    assert (spots.count("same"), screws.count("same")) == (6, 2)
    assert [line for each in (spots, screws) for line in each.lines if line.change != "same"] == []
    after = queries.board(lantern_b2)
    assert (after.edition, after.spots, after.screws) == (board.edition, board.spots, board.screws)


def test_a_table_that_changes_nothing_makes_no_new_edition(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    steps.use(lantern_b2.pk)
    read_in(technician, lantern_b2, write_placements(queries.board(lantern_b2).spots))
    assert BoardEdition.objects.filter(revision=lantern_b2).count() == 1


def test_it_writes_into_a_copy_when_a_unit_is_worked_from_the_board(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    steps.use(lantern_b2.pk)
    before = queries.board(lantern_b2, edition)
    text = "label,where,length,order\nC,front edge,10,3\n"
    import_fasteners(actor=technician, revision_id=lantern_b2.pk, text=text, dry_run=False)
    read_in(technician, lantern_b2, "designator,value\nC1,470 µF\n")
    new, old = queries.board(lantern_b2), queries.board(lantern_b2, edition)
    assert new.edition is not None
    assert (new.edition.number, BoardEdition.objects.count()) == (2, 2)
    assert new.spot("C1") == replace(CANS[0], value="470 µF")
    assert [screw.label for screw in new.screws] == ["A", "B", "C"]
    assert (old.spots, old.screws) == (before.spots, before.screws)


def test_it_reads_fasteners_line_by_line_and_all_or_none(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    text = "label,where,x,y,length\nC,front edge,8,8,10\nC,front edge,192,8,10\nD,shield,250,8,6\n"
    done = import_fasteners(actor=technician, revision_id=lantern_b2.pk, text=text)
    assert [(line.line, line.named, line.change) for line in done.lines if line.change] == [
        (2, "C", "new"), (4, "D", "new"),
    ]  # fmt: skip
    assert {at for at, _code in graves(done)} == {4}
    with pytest.raises(Refused, match="table_refused"):
        import_fasteners(actor=technician, revision_id=lantern_b2.pk, text=text, dry_run=False)
    assert CaseFastener.objects.count() == 2
    good = text.replace("250", "150")
    assert import_fasteners(actor=technician, revision_id=lantern_b2.pk, text=good, dry_run=False).written
    group = queries.board(lantern_b2).screw("C")
    assert group is not None
    assert (group.count, group.places_mm) == (2, ((8.0, 8.0), (192.0, 8.0)))


def test_it_changes_of_a_group_only_what_its_rows_give(
    technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision
) -> None:
    text = "label,where,length\nA,rear edge,14\nB,under the label,8\n"
    done = import_fasteners(actor=technician, revision_id=lantern_b2.pk, text=text, dry_run=False)
    assert [(line.named, line.change) for line in done.lines if line.change] == [("A", "changed"), ("B", "same")]
    assert queries.board(lantern_b2).screws == (replace(REAR, length_mm=14.0), UNDER)


def test_it_refuses_a_table_that_is_too_long(technician: Actor, lantern_b2: BoardRevision) -> None:
    text = "designator\n" + "#" * table_actions.LARGEST_CHARS
    for act in (import_placements, import_fasteners):
        with pytest.raises(Refused, match="table_too_long"):
            act(actor=technician, revision_id=lantern_b2.pk, text=text)


@settings(max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(
    values=st.dictionaries(
        st.sampled_from([f"C{n}" for n in range(1, 9)]), st.sampled_from(["1 µF", "10 µF", "22 µF"]), min_size=1
    )
)
def test_what_was_read_in_once_is_the_same_twice(
    owner: Actor, edition: BoardEdition, lantern_b2: BoardRevision, values: dict[str, str]
) -> None:
    rows = "".join(f"{name},{value},electrolytic,left\n" for name, value in values.items())
    text = "designator,value,kind,positive\n" + rows
    planned = read_in(owner, lantern_b2, text, dry_run=True)
    done = read_in(owner, lantern_b2, text)
    again = read_in(owner, lantern_b2, text, dry_run=True)
    assert [line.change for line in planned.lines] == [line.change for line in done.lines]
    assert {line.change for line in again.lines if line.change} == {"same"}
    assert {row.designator: row.value for row in Placement.objects.filter(designator__in=values)} == values


def test_it_counts_a_line_once_however_much_is_wrong_with_it() -> None:
    lines = (Line(2, "C1", "", grave=True), Line(2, "C1", "", grave=True), Line(3, "C2", "new"), Line(4, "", ""))
    assert (Import(lines, written=False).wrong, Import(lines, written=False).count("new")) == (1, 1)
