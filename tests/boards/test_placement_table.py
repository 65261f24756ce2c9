"""Placements read from tables, the complaints about them, and the table that is written."""

import csv
import io
from collections.abc import Iterable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.boards.cells import number
from shop.boards.placement_table import COLUMNS, Reading, read_placements, write_placements
from shop.boards.spots import POLARISED, Fit, Kind, Mount, Points, Side, Spot
from shop.boards.tables import MOST_ROWS

GOOD = "Ref,Value,Rating,Kind,X,Y,Positive,Side\n"


def codes(read: Reading, *, grave: bool = True) -> list[tuple[int, str]]:
    return [(complaint.line, complaint.code) for complaint in read.complaints if complaint.grave is grave]


def only(text: str) -> Spot:
    read = read_placements(text)
    assert codes(read) == []
    (spot,) = read.spots
    return spot


# --- what can be kept, and comes back as it was -----------------------------------------------------------------------
words = st.text(st.characters(codec="utf-8", exclude_characters="\0"), max_size=20).map(str.strip)
formulas = st.builds(str.__add__, st.sampled_from(("=", "+", "-", "@", "'=", "''@", "#", '"', "'")), words).map(
    str.strip
)
texts = words | formulas
voltages = st.sampled_from(("", "25", "25 V", "6V3", "250 VAC", "1 kV"))
places = st.none() | st.tuples(st.floats(-1000, 1000), st.floats(-1000, 1000))
sizes = st.none() | st.floats(0.1, 500)
variants = st.lists(st.text("ABC -12", min_size=1, max_size=6).map(str.strip).filter(bool), max_size=3).map(tuple)


@st.composite
def spots(draw: st.DrawFn, designator: str) -> Spot:
    """Draw a placement that the library would keep: a polarised one that is fitted says which way round."""
    kind, place = draw(st.sampled_from(Kind)), draw(places)
    names = draw(variants)
    fit = draw(st.sampled_from(Fit if names else (Fit.FITTED, Fit.EMPTY)))
    pointed = kind in POLARISED and fit is not Fit.EMPTY
    return Spot(
        designator=designator,
        value=draw(texts),
        rating=draw(voltages),
        kind=kind,
        mount=draw(st.sampled_from(Mount)),
        package=draw(texts | st.sampled_from(("CP_Elec_6.3x5.8", "R_0805_2012Metric"))),
        x_mm=place[0] if place else None,
        y_mm=place[1] if place else None,
        width_mm=draw(sizes),
        depth_mm=draw(sizes),
        height_mm=draw(sizes),
        rotation_deg=draw(st.floats(-360, 360)),
        positive=draw(st.sampled_from([points for points in Points if points or not pointed])),
        positive_checked=draw(st.booleans()),
        side=draw(st.sampled_from(Side)),
        fit=fit,
        variants=names,
        note=draw(texts),
    )


boards = st.lists(st.from_regex(r"[A-Z]{1,2}[1-9][0-9]{0,3}[A-Z]?", fullmatch=True), unique=True, max_size=6).flatmap(
    lambda names: st.tuples(*(spots(name) for name in names))
)


@given(boards)
def test_it_reads_back_what_it_wrote(board: tuple[Spot, ...]) -> None:
    read = read_placements(write_placements(board))
    assert codes(read) == []
    assert read.spots == board


@given(boards)
def test_it_writes_no_text_that_a_spreadsheet_would_run(board: tuple[Spot, ...]) -> None:
    rows = list(csv.DictReader(io.StringIO(write_placements(board), newline="")))
    assert len(rows) == len(board)
    for row in rows:
        for name in ("value", "rating", "package", "note", "variants"):
            assert not row[name].lstrip().startswith(("=", "+", "-", "@"))


@given(st.text() | st.text().map("Ref,X,Y\n".__add__))
def test_it_raises_for_no_text_at_all(text: str) -> None:
    read = read_placements(text)
    assert set(read.lines) == {spot.designator for spot in read.spots} == set(read.given)
    last = len(io.StringIO(text, newline="").readlines()) or 1
    assert all(1 <= complaint.line <= last for complaint in read.complaints)


@given(st.text("Ref,XYC12\"'#;\t\n\r. ", max_size=200).map("Ref,X,Y\n".__add__))
def test_it_keeps_every_line_or_says_why_not(text: str) -> None:
    """No row vanishes: each line that has words in it is a placement's, a complaint's, a comment, or within quotes."""
    read = read_placements(text)
    told = set(read.lines.values()) | {complaint.line for complaint in read.complaints if complaint.grave}
    lines = io.StringIO(text, newline="").readlines()
    if '"' not in text:
        rows = {at for at, line in enumerate(lines, 1) if line.strip(", \t\r\n") and not line.lstrip().startswith("#")}
        assert rows - {1} <= told


# --- headings, delimiters, units --------------------------------------------------------------------------------------
@pytest.mark.parametrize("sign", [",", ";", "\t"])
def test_it_finds_out_the_delimiter(sign: str) -> None:
    spot = only("Ref,Value,X,Y\nR1,4k7,10.5,20\n".replace(",", sign))
    assert (spot.designator, spot.value, spot.x_mm, spot.y_mm) == ("R1", "4k7", 10.5, 20.0)


@pytest.mark.parametrize("field", [name for name in COLUMNS if name not in ("designator", "dnp")])
def test_it_knows_every_spelling_of_a_heading(field: str) -> None:
    for spelling in COLUMNS[field]:
        for heading in (spelling, spelling.upper(), spelling.replace(" ", "-"), spelling.replace(" ", "")):
            read = read_placements(f"Designator,{heading}\nR1,\n")
            assert "table_column_unknown" not in {complaint.code for complaint in read.complaints}


def test_it_skips_what_stands_before_the_headings_and_says_so() -> None:
    read = read_placements("sep=;\n\nBoard of a Quillon Lantern\nRef;X;Y\nR1;1;2\n")
    assert (read.spots[0].designator, read.lines) == ("R1", {"R1": 5})
    assert codes(read, grave=False) == [(1, "table_lines_before_head")]


def test_it_remarks_on_a_column_that_it_does_not_know() -> None:
    read = read_placements("Ref,Price,X,Y\nR1,3,1,2\n")
    assert read.spots[0].x_mm == 1.0
    assert codes(read, grave=False) == [(1, "table_column_unknown")]


def test_it_takes_the_better_of_two_headings_for_one_thing() -> None:
    read = read_placements("Comment,Ref,Value\ncheap,R1,4k7\n")
    assert read.spots[0].value == "4k7"
    assert [dict(complaint.facts) for complaint in read.complaints] == [{"column": "Comment", "taken": "Value"}]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", [(1, "table_empty")]),
        ("# a note\n\n", [(1, "table_empty")]),
        ("Value,X,Y\n4k7,1,2\n", [(1, "table_column_missing")]),
        ("Ref,X,x,Y\nR1,1,2,3\n", [(1, "table_column_twice")]),
        ("Ref,X,Y\nR1,1\nR2,1,2,3\nR3,1,2,\n", [(2, "table_row_ragged"), (3, "table_row_ragged")]),
        ("Ref,X,Y\nR1,1,2\nR\0 2,1,2\n", [(3, "table_nul_character")]),
        ('Ref,X,Y\nR1,1,2\nR2,"1,2\nR3,1,2\n', [(3, "table_quote_unreadable")]),
    ],
)
def test_it_complains_of_a_table_it_cannot_take(text: str, expected: list[tuple[int, str]]) -> None:
    assert codes(read_placements(text)) == expected


def test_it_reads_ten_thousand_rows_and_no_more() -> None:
    def table(rows: int) -> str:
        return "Ref\n" + "".join(f"R{at}\n" for at in range(rows))

    assert codes(read_placements(table(MOST_ROWS))) == []
    over = read_placements(table(MOST_ROWS + 1))
    assert codes(over) == [(MOST_ROWS + 2, "table_rows_too_many")]
    assert len(over.spots) == MOST_ROWS


def test_it_counts_lines_through_quotes_and_comments() -> None:
    read = read_placements('Ref,Note\nR1,"two\n# lines"\n# a comment "\n\nR2,"said ""so"""\n')
    assert read.lines == {"R1": 2, "R2": 6}
    assert [spot.note for spot in read.spots] == ["two\n# lines", 'said "so"']


@pytest.mark.parametrize(
    ("head", "cell", "unit", "millimetres"),
    [
        ("X", "100", "", 100.0),
        ("X", "100", "mil", 2.54),
        ("X (mil)", "100", "", 2.54),
        ("X (mm)", "100", "mil", 100.0),
        ("Center-X(mil)", "100", "", 2.54),
        ("x_mm", "100", "mil", 100.0),
        ("X [inch]", "1", "", 25.4),
        ("X (mil)", "100 mm", "", 100.0),
        ("X", '1"', "", 25.4),
        ("X", "0.5in", "mil", 12.7),
        ("Mid X", "100mil", "", 2.54),
    ],
)
def test_it_finds_out_the_unit(head: str, cell: str, unit: str, millimetres: float) -> None:
    read = read_placements(f"Ref\t{head}\tY\nR1\t{cell}\t0\n", unit="mil" if unit else "")
    assert (read.spots[0].x_mm, codes(read)) == (millimetres, [])


def test_it_takes_one_heading_with_a_unit_for_those_without() -> None:
    spot = only("Ref,X (mil),Y\nR1,100,200\n")
    assert (spot.x_mm, spot.y_mm) == (2.54, 5.08)


def test_it_asks_for_the_unit_when_the_board_would_be_larger_than_a_metre() -> None:
    text = "Ref,X,Y\nR1,1500,200\n"
    (complaint,) = read_placements(text).complaints
    assert (complaint.code, complaint.grave, complaint.facts["unit"]) == ("table_unit_needed", True, "mm")
    assert codes(read_placements(text, unit="mil")) == []


@given(st.floats(-1e6, 1e6))
def test_it_reads_every_finite_number(value: float) -> None:
    assert number(repr(value), decimal_comma=False) == value
    assert number(repr(value).replace(".", ",").replace("-", "\N{MINUS SIGN}"), decimal_comma=True) == value


@pytest.mark.parametrize(
    "text", ["", "nan", "inf", "1e999", "1.2.3", "1,234.5", "12 parsec", "--1", "1 2", "0x10", "٣", "1" * 400]
)
def test_it_refuses_what_is_no_number(text: str) -> None:
    assert number(text, decimal_comma=True) is None


@pytest.mark.parametrize(
    ("rows", "first"),
    [
        ("R1;1,5;2", 1.5),
        ("R1;1,250;2", 1.25),
        ("R1;1.250;2", 1.25),
        ("R1;1,5;2.5", None),
        ('R1,"1,5",2', 1.5),
        ('R1,"1,250",2', None),
        ('R1,"1,250","3,5"', 1.25),
    ],
)
def test_it_reads_a_comma_as_decimal_only_where_it_can_be_nothing_else(rows: str, first: float | None) -> None:
    """A comma beside points, or before three digits in a comma-separated file, may divide thousands."""
    read = read_placements(("Ref;X;Y\n" if ";" in rows else "Ref,X,Y\n") + rows)
    assert read.spots[0].x_mm == first
    assert codes(read) == ([] if first else [(2, "table_number_unreadable")])


# --- what is wrong with a row -----------------------------------------------------------------------------------------
@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("REF**,,,,1,2,,", "table_designator_malformed"),
        (",,,,1,2,,", "table_designator_malformed"),
        ("R1,,,,1,2,,", "table_designator_twice"),
        ("R2,,,,1,,,", "table_coordinate_missing"),
        ("R2,,,,,2,,", "table_coordinate_missing"),
        ("R2,,,,1,two,,", "table_number_unreadable"),
        ("R2,,,,1,nan,,", "table_number_unreadable"),
        ("R2,,,,100.6,2,,", "table_off_board"),
        ("R2,,,,1,-0.6,,", "table_off_board"),
        ("C2,1 µF,0 V,film,1,2,,", "table_rating_impossible"),
        ("C2,1 µF,-5 V,film,1,2,,", "table_rating_impossible"),
        ("C2,1 µF,1001 V,film,1,2,,", "table_rating_impossible"),
        ("C2,1 µF,plenty,film,1,2,,", "table_rating_impossible"),
        ("C2,1 µF,25 V,electrolytic,1,2,,", "table_positive_missing"),
        ("C2,1 µF,25 V,electrolytic,1,2,north,", "table_word_unknown"),
        ("R2,,,,1,2,,inner", "table_word_unknown"),
    ],
)
def test_it_stops_at_a_row_that_cannot_be(row: str, code: str) -> None:
    read = read_placements(f"{GOOD}R1,1k,,,1,2,,\n{row}\n", width_mm=100, height_mm=80)
    assert codes(read) == [(3, code)]


@pytest.mark.parametrize(
    "row", ["R2,,,,100.5,80.5,,", "R2,,,,-0.5,-0.5,,", "R2,,1/4 W,,,,,", "C2,1 µF,1000 V,film,1,2,,"]
)
def test_it_takes_a_row_at_the_edge_of_what_can_be(row: str) -> None:
    assert codes(read_placements(f"{GOOD}{row}\n", width_mm=100, height_mm=80)) == []


def test_it_checks_one_edge_when_it_knows_one_measure() -> None:
    text = "Ref,X,Y\nR1,50,500\nR2,200,10\n"
    assert codes(read_placements(text, width_mm=100)) == [(3, "table_off_board")]
    assert codes(read_placements(text)) == []


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("C2,lots,,film,1,2,,", "table_value_unreadable"),
        ("R2,100 µF,,resistor,1,2,,", "table_value_unreadable"),
        ("R2,,,film,1,2,,", "table_kind_against_letter"),
        ("R2,1k,,gizmo,1,2,,", "table_word_unknown"),
    ],
)
def test_it_remarks_on_a_row_that_looks_wrong(row: str, code: str) -> None:
    read = read_placements(f"{GOOD}{row}\n")
    assert codes(read) == []
    assert codes(read, grave=False) == [(2, code)]


def test_it_names_the_first_of_two_rows_with_one_designator() -> None:
    (complaint,) = read_placements("Ref,X,Y\nc 1,1,2\nR1,1,2\nC1,3,4\n").complaints
    assert (complaint.line, dict(complaint.facts)) == (4, {"designator": "C1", "first": 2})


def test_it_cuts_a_long_cell_in_its_complaint() -> None:
    (complaint,) = read_placements(f"Ref,X,Y\nR1,{'9' * 5000},2\n").complaints
    assert complaint.code == "table_number_unreadable"
    assert len(str(complaint.facts["cell"])) == 40


# --- which way round --------------------------------------------------------------------------------------------------
def test_it_believes_who_says_which_way_round() -> None:
    spot = only("Ref,Kind,Rotation,Positive\nC1,electrolytic,0,Right\n")
    assert (spot.positive, spot.positive_checked) == (Points.RIGHT, True)


def test_it_reckons_which_way_round_from_the_rotation_and_says_so() -> None:
    read = read_placements("Ref,Kind,Rotation,Positive\nC1,electrolytic,90,\n")
    assert (read.spots[0].positive, read.spots[0].positive_checked) == (Points.DOWN, False)
    assert codes(read, grave=False) == [(2, "table_positive_from_rotation")]
    assert not read.given["C1"] & {"positive", "positive_checked"}


def test_it_needs_no_direction_where_nothing_is_fitted_or_nothing_is_polarised() -> None:
    assert codes(read_placements("Ref,Kind,Fitted\nC1,electrolytic,no\nR1,resistor,yes\n")) == []


# --- what a row gave, and what was guessed ----------------------------------------------------------------------------
def test_it_says_which_fields_the_row_gave() -> None:
    read = read_placements("Ref,Value,Package,X,Y,Note\nC1,100n/50V,C_Disc_D5.0mm_W2.5mm,1,2,\nR1,,,,,look\n")
    assert read.given["C1"] == {"designator", "value", "rating", "package", "x_mm", "y_mm"}
    assert read.given["R1"] == {"designator", "note"}
    assert (read.spots[0].kind, read.spots[0].width_mm, read.spots[0].depth_mm) == (Kind.CERAMIC, 5.0, 2.5)


def test_it_leaves_value_and_rating_as_they_stand_where_both_have_a_column() -> None:
    spot = only("Ref,Value,Rating\nC1,100uF/25V,\n")
    assert (spot.value, spot.rating) == ("100uF/25V", "")


def test_it_guesses_no_size_where_the_table_has_a_column_for_it() -> None:
    spot = only("Ref,Package,Width,Depth\nC1,C_Disc_D5.0mm_W2.5mm,,\n")
    assert (spot.width_mm, spot.depth_mm) == (None, None)


@pytest.mark.parametrize(
    ("head", "cell", "fit"),
    [
        ("Fitted", "yes", Fit.FITTED),
        ("Fitted", "no", Fit.EMPTY),
        ("Populated", "0", Fit.EMPTY),
        ("Fit", "DNP", Fit.EMPTY),
        ("Fit", "", Fit.FITTED),
        ("DNP", "yes", Fit.EMPTY),
        ("DNP", "X", Fit.EMPTY),
        ("DNP", "no", Fit.FITTED),
        ("DNP", "", Fit.FITTED),
    ],
)
def test_it_knows_what_is_fitted(head: str, cell: str, fit: Fit) -> None:
    assert only(f"Ref,{head}\nR1,{cell}\n").fit is fit


def test_it_refuses_a_row_that_is_fitted_and_not_fitted() -> None:
    assert codes(read_placements("Ref,Fitted,DNP\nR1,yes,yes\nR2,no,yes\n")) == [(2, "table_fit_contradicts")]


def test_it_takes_variants_and_asks_for_them() -> None:
    spot = only('Ref,Variants\nR1,"PAL | NTSC, RGB"\n')
    assert (spot.fit, spot.variants) == (Fit.VARIANT, ("PAL", "NTSC", "RGB"))
    assert codes(read_placements("Ref,Fit\nR1,variant\n")) == [(2, "table_variants_missing")]


@pytest.mark.parametrize(
    ("word", "side"),
    [
        *((word, Side.TOP) for word in ("top", "T", "TopLayer", "F.Cu", "")),
        *((word, Side.BOTTOM) for word in ("Bottom", "b", "Bottom Layer", "B.Cu")),
    ],
)
def test_it_knows_the_sides(word: str, side: Side) -> None:
    assert only(f"Ref,Layer\nR1,{word}\n").side is side


def test_it_takes_off_the_apostrophe_that_keeps_a_formula_asleep() -> None:
    notes: Iterable[str] = (spot.note for spot in read_placements("Ref,Note\nR1,'=1+1\nR2,'tis\n").spots)
    assert list(notes) == ["=1+1", "'tis"]
