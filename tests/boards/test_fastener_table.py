"""Fasteners read from tables, rows with one label being one group, and the table that is written."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.boards.fastener_table import COLUMNS, Reading, read_fasteners, write_fasteners
from shop.boards.spots import Screw

GOOD = "Label,Where,X,Y,Drive,Thread,Length,Count,Order,Warning\n"


def codes(read: Reading, *, grave: bool = True) -> list[tuple[int, str]]:
    return [(complaint.line, complaint.code) for complaint in read.complaints if complaint.grave is grave]


words = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=15).map(str.strip)
texts = words | st.builds(str.__add__, st.sampled_from(("=", "+", "-", "@", "'-", "#", '"')), words).map(str.strip)
lengths = st.none() | st.sampled_from((6.0, 8.0)) | st.floats(0.5, 200)
spots = st.lists(st.tuples(st.floats(-1000, 1000), st.floats(-1000, 1000)), max_size=5).map(tuple)


@st.composite
def screws(draw: st.DrawFn, label: str) -> Screw:
    """Draw a group that the library would keep."""
    places = draw(spots)
    return Screw(
        label=label,
        where=draw(texts.filter(bool)),
        drive=draw(texts),
        bit=draw(texts),
        thread=draw(st.sampled_from(("", "M3", "M4")) | texts),
        length_mm=draw(lengths),
        count=draw(st.integers(max(1, len(places)), 100)),
        order=draw(st.integers(1, 99)),
        places_mm=places,
        warning=draw(st.just("") | texts),
    )


cases = st.lists(st.text("ABCXYZ0129", min_size=1, max_size=3), unique=True, max_size=5).flatmap(
    lambda labels: st.tuples(*(screws(label) for label in labels))
)


@given(cases)
def test_it_reads_back_what_it_wrote(case: tuple[Screw, ...]) -> None:
    read = read_fasteners(write_fasteners(case))
    assert codes(read) == []
    assert read.screws == case


@given(st.text() | st.text().map(GOOD.__add__))
def test_it_raises_for_no_text_at_all(text: str) -> None:
    read = read_fasteners(text)
    assert list(read.lines) == [screw.label for screw in read.screws] == list(read.given)


@given(cases)
def test_it_remarks_on_each_group_that_a_longer_screw_fits(case: tuple[Screw, ...]) -> None:
    """Against the definition, pair by pair."""
    read = read_fasteners(write_fasteners(case))
    remarked = {complaint.facts["label"] for complaint in read.complaints if complaint.code == "table_no_warning"}
    assert remarked == {
        short.label
        for short in case
        for long in case
        if short.length_mm and long.length_mm and short.length_mm < long.length_mm and not short.warning
        if short.thread == long.thread or not short.thread or not long.thread
    }


def test_it_makes_one_group_of_the_rows_with_one_label() -> None:
    read = read_fasteners(
        f"{GOOD}a,rear corners,10,20,PH,M3,8,,1,\nB,front,50,5,TX,M3,8,1,2,\nA,rear corners,90,20,PH,M3,8,,1,\n"
    )
    assert read.complaints == ()
    assert read.screws[0] == Screw(
        label="A",
        where="rear corners",
        drive="PH",
        thread="M3",
        length_mm=8.0,
        count=2,
        order=1,
        places_mm=((10.0, 20.0), (90.0, 20.0)),
    )
    assert read.lines == {"A": 2, "B": 3}


def test_it_needs_what_is_common_only_once() -> None:
    read = read_fasteners(f"{GOOD}A,rear,10,20,PH,M3,8,,1,keep short\nA,,90,20,,,,,,\n")
    assert read.complaints == ()
    assert (read.screws[0].drive, read.screws[0].warning, read.screws[0].count) == ("PH", "keep short", 2)


def test_it_counts_more_than_are_placed_and_never_fewer() -> None:
    def counted(count: str) -> tuple[int, list[tuple[int, str]]]:
        read = read_fasteners(
            f"{GOOD}A,rear,10,20,,,,{count},1,\nA,rear,30,20,,,,{count},1,\nA,rear,5,2,,,,{count},1,\n"
        )
        assert codes(read) == []
        return read.screws[0].count, codes(read, grave=False)

    assert counted("7") == (7, [])
    assert counted("") == (3, [])
    assert counted("1") == (3, [])  # one for each row
    assert counted("2") == (3, [(2, "table_count_raised")])


def test_it_takes_the_order_of_the_table_where_none_is_given() -> None:
    read = read_fasteners("Label,Where\nA,lid\nB,board\nA,lid\n")
    assert [(screw.label, screw.order) for screw in read.screws] == [("A", 1), ("B", 2)]
    assert read.given["B"] == {"label", "where"}
    assert read.complaints == ()


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("ABCD,lid,,,,,,,,", "table_label_malformed"),
        (",lid,,,,,,,,", "table_label_malformed"),
        ("A-1,lid,,,,,,,,", "table_label_malformed"),
        ("B,,5,5,,,,,,", "table_where_missing"),
        ("B,lid,5,,,,,,,", "table_coordinate_missing"),
        ("B,lid,,5,,,,,,", "table_coordinate_missing"),
        ("B,lid,200.6,5,,,,,,", "table_off_case"),
        ("B,lid,5,-0.6,,,,,,", "table_off_case"),
        ("B,lid,,,,,0.4,,,", "table_number_out_of_range"),
        ("B,lid,,,,,201,,,", "table_number_out_of_range"),
        ("B,lid,,,,,long,,,", "table_number_unreadable"),
        ("B,lid,,,,,,0,,", "table_number_out_of_range"),
        ("B,lid,,,,,,101,,", "table_number_out_of_range"),
        ("B,lid,,,,,,1.5,,", "table_number_unreadable"),
        ("B,lid,,,,,,,0,", "table_number_out_of_range"),
        ("B,lid,,,,,,,100,", "table_number_out_of_range"),
        ("A,rear,,,TX,,,,,", "table_group_contradicts"),
        ("A,rear,,,,,9,,,", "table_group_contradicts"),
        ("A,rear,,,,,,,2,", "table_group_contradicts"),
        ("A,rear,,,,,,5,,", "table_group_contradicts"),
        ("A,rear,,,,M4,,,,", "table_group_contradicts"),
    ],
)
def test_it_stops_at_a_row_that_cannot_be(row: str, code: str) -> None:
    read = read_fasteners(f"{GOOD}A,rear,,,PH,M3,8,4,1,keep\n{row}\n", width_mm=200, height_mm=100)
    assert codes(read) == [(3, code)]


@pytest.mark.parametrize("row", ["B,lid,200.5,-0.5,,,0.5,100,99,", "B,lid,,,,,200,1,2,keep", "b1,lid,,,,,,2.0,2,"])
def test_it_takes_a_row_at_the_edge_of_what_can_be(row: str) -> None:
    assert codes(read_fasteners(f"{GOOD}{row}\n", width_mm=200, height_mm=100)) == []


def test_it_stops_at_more_places_than_a_group_may_have() -> None:
    rows = "".join(f"A,rear,{at},5,,,,,,\n" for at in range(101))
    assert codes(read_fasteners(GOOD + rows)) == [(2, "table_number_out_of_range")]


def test_it_remarks_on_two_groups_with_one_order() -> None:
    read = read_fasteners("Label,Where,Order\nA,lid,1\nB,board,2\nC,shield,1\n")
    assert codes(read) == []
    assert codes(read, grave=False) == [(4, "table_order_shared")]


def test_it_keeps_the_first_of_two_wheres_and_says_so() -> None:
    read = read_fasteners("Label,Where\nA,left rear\nA,right rear\n")
    assert (read.screws[0].where, codes(read), codes(read, grave=False)) == (
        "left rear",
        [],
        [(3, "table_where_differs")],
    )


@pytest.mark.parametrize(
    ("second", "remarked"),
    [("M3,20,2,", True), (",20,2,", True), ("M4,20,2,", False), ("M3,8,2,", False), ("M3,,2,", False)],
)
def test_it_asks_for_a_warning_where_a_longer_screw_could_go(second: str, remarked: bool) -> None:
    text = "Label,Where,Thread,Length,Order,Warning\nA,lid,M3,8,1,{}\nB,board," + second + "\n"
    assert codes(read_fasteners(text.format("")), grave=False) == ([(2, "table_no_warning")] if remarked else [])
    assert codes(read_fasteners(text.format("longer ones pierce the board")), grave=False) == []


def test_it_reads_inches_and_decimal_commas() -> None:
    read = read_fasteners("Label;Where;Length (in);X;Y\nA;lid;0,5;1;2\n")
    assert (read.screws[0].length_mm, read.screws[0].places_mm) == (12.7, ((25.4, 50.8),))


@pytest.mark.parametrize("missing", ["label", "where"])
def test_it_needs_labels_and_wheres(missing: str) -> None:
    head = ",".join(name for name in COLUMNS if name != missing)
    (complaint,) = read_fasteners(f"{head}\n").complaints
    assert (complaint.code, complaint.facts["columns"]) == ("table_column_missing", (missing,))
