"""Layout mats: what lies where, and what is written on them."""

import io
import re
from collections import Counter
from dataclasses import replace
from itertools import combinations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from pypdf import PdfReader
from reportlab.pdfgen.canvas import Canvas

from shop.boards.spots import Fit, Kind, Points, Screw, Side, Spot
from shop.core.reasons import Refused
from shop.units.label_draw import Paper
from shop.work import mats
from shop.work.mat_draw import PAPER_MM, fasteners_list_pdf, fasteners_mat_pdf, parts_list_pdf, parts_mat_pdf
from shop.work.mat_pen import Pen, Words
from shop.work.mat_shapes import Rect
from shop.work.mats import MatHead, PartBox
from shop.work.part_words import polarity

HEAD = MatHead("W-00042", "K7Q-2M9F~", "http://shop.test/t/K7Q2M9F", "Quillon Lantern", "QL-2 rev. C")
SHIELD = Screw(
    label="B", where="shield", drive="cross", bit="PH1", thread="M3", length_mm=6, count=4, order=2,
    places_mm=((60, 60), (90, 60)), warning="Longer ones break the track below.",
)  # fmt: skip
CASE = Screw(label="A", where="case", thread="M3", length_mm=10, count=2, order=1, places_mm=((8, 8), (112, 8)))
MILLIMETRES = st.floats(-20, 1020)
SPOTS = st.builds(
    Spot,
    designator=st.just("C1"),
    x_mm=st.none() | MILLIMETRES,
    y_mm=MILLIMETRES,
    width_mm=st.none() | st.floats(0, 60),
    depth_mm=st.floats(0.5, 300),
    rotation_deg=st.floats(-360, 360),
    side=st.sampled_from(Side),
)
BOARDS = st.tuples(st.floats(1, 1000), st.floats(1, 1000))
AREAS = st.sampled_from([mats.area_of(*way) for size in PAPER_MM.values() for way in (size, size[::-1])])


def part(designator: str = "C1", **more: object) -> PartBox:
    known = {"value": "100 µF", "rating": "25 V", "kind": Kind.ELECTROLYTIC, "x_mm": 20.0, "y_mm": 30.0}
    return PartBox(Spot(designator=designator, **{**known, **more}), kit="E100U25", lot="24-07B")  # type: ignore[arg-type]


def row_of_parts(count: int) -> list[PartBox]:
    return [part(f"C{n}", x_mm=5.0 + 7 * n % 100, y_mm=5.0 + 3 * n % 70) for n in range(1, count + 1)]


def texts(pdf: bytes) -> list[str]:
    return [" ".join(page.extract_text().split()) for page in PdfReader(io.BytesIO(pdf)).pages]


def lies_across(pdf: bytes) -> list[bool]:
    """Of each page, as its MediaBox has it; one that a reader turns would not."""
    pages = PdfReader(io.BytesIO(pdf)).pages
    assert {page.rotation for page in pages} == {0}
    return [page.mediabox.width > page.mediabox.height for page in pages]


@pytest.mark.parametrize("paper", Paper)
def test_it_has_forty_parts_on_one_sheet_and_more_on_further_ones(paper: Paper) -> None:
    (page,) = texts(parts_list_pdf(HEAD, row_of_parts(40), paper))
    assert "page 1 of 1" in page
    pages = texts(parts_list_pdf(HEAD, row_of_parts(100), paper))
    assert ["page 1 of 2" in pages[0], "page 2 of 2" in pages[1]] == [True, True]
    assert {f"C{n}" for n in range(1, 101)} <= set(" ".join(pages).split())


@given(count=st.integers(0, 400), area=AREAS, least=st.sampled_from([(30.0, 22.0), (60.0, 36.0)]))
def test_it_makes_every_box_of_a_list_large_enough(count: int, area: Rect, least: tuple[float, float]) -> None:
    pages = mats.list_boxes(count, area, least)
    assert sum(len(page) for page in pages) == count
    for page in pages:
        assert all(area.covers(box) and box.width >= least[0] and box.height >= least[1] for box in page)
        assert not any(one.overlaps(other) for one, other in combinations(page, 2))


@given(length=BOARDS, area=AREAS)
def test_it_shows_the_whole_board_and_each_point_belongs_to_one_sheet(length: tuple[float, float], area: Rect) -> None:
    tiles = mats.tiles(length, area)
    assert sum(tile.own.width * tile.own.height for tile in tiles) == pytest.approx((length[0] + 8) * (length[1] + 8))
    assert not any(one.own.overlaps(other.own) for one, other in combinations(tiles, 2))
    for tile in tiles:
        assert tile.view.covers(tile.own)
        assert area.covers(tile.view.moved(tile.offset))
    for one, other in combinations(tiles, 2):
        if one.row == other.row and other.column == one.column + 1:
            assert one.view.right - other.view.x == pytest.approx(10)
        if one.column == other.column and other.row == one.row + 1:
            assert other.view.top - one.view.y == pytest.approx(10)


@given(length=BOARDS, area=AREAS)
def test_it_marks_each_overlap_at_the_same_places_on_both_sheets(length: tuple[float, float], area: Rect) -> None:
    tiles = mats.tiles(length, area)
    places = {(tile.row, tile.column): tile for tile in tiles}
    for one in tiles:
        for beside, axis in (((one.row, one.column + 1), 0), ((one.row + 1, one.column), 1)):
            if other := places.get(beside):
                (seam,) = set(one.seams[axis]) & set(other.seams[axis])
                marks = [{cross for cross in tile.crosses if cross[axis] == seam} for tile in (one, other)]
                assert marks[0] == marks[1]
                assert marks[0]


@settings(deadline=None)
@given(spots=st.lists(SPOTS, max_size=60), size=BOARDS, area=AREAS, columns=st.booleans(), side=st.sampled_from(Side))
def test_it_lays_every_box_once_and_inside_the_sheet(
    spots: list[Spot], size: tuple[float, float], area: Rect, columns: bool, side: Side
) -> None:
    things = mats.part_things([PartBox(spot) for spot in spots], side, size[0])
    sheets, left = mats.mat_sheets(things, size, area, (22, 12), columns=columns)
    assert Counter([box.number for sheet in sheets for box in sheet.callouts] + left) == {
        thing.number: 1 for thing in things
    }
    shapes = {thing.number: thing.shapes for thing in things}
    for sheet in sheets:
        boxes = [callout.box for callout in sheet.callouts]
        assert not any(one.overlaps(other) for one, other in combinations(boxes, 2))
        for number, box, (x, y, to_x, to_y) in sheet.callouts:
            assert area.covers(box)
            assert box.grown(1e-6).covers(Rect(to_x, to_y, 0, 0))
            (shape,) = shapes[number]
            assert shape.bounds.moved(sheet.tile.offset).grown(1e-6).covers(Rect(x, y, 0, 0))


@pytest.mark.parametrize("paper", Paper)
def test_it_lies_across_where_that_takes_fewer_sheets(paper: Paper) -> None:
    """A board of 160 × 110 mm with a box for each of twenty-four parts is one sheet so, and was two upright."""
    parts = [part(f"C{n}", x_mm=10.0 + n % 6 * 28, y_mm=12.0 + n // 6 * 28, width_mm=8, depth_mm=8) for n in range(24)]
    things, upright = mats.part_things(parts, Side.TOP, 160), mats.area_of(*PAPER_MM[paper])
    assert len(mats.mat_sheets(things, (160, 110), upright, (22, 12), columns=True)[0]) == 2
    pdf = parts_mat_pdf(HEAD, parts, (160, 110), paper)
    assert lies_across(pdf) == [True]
    assert set(re.findall(r"\bC\d+(?= 100 µF)", texts(pdf)[0])) == {box.spot.designator for box in parts}
    both = [*parts, part("R1", side=Side.BOTTOM)]
    assert lies_across(parts_mat_pdf(HEAD, both, (160, 110), paper)) == [True, True]


@pytest.mark.parametrize("paper", Paper)
def test_a_case_lies_across_too(paper: Paper) -> None:
    assert lies_across(fasteners_mat_pdf(HEAD, [SHIELD, CASE], (250, 150), paper)) == [True]


@pytest.mark.parametrize(
    ("size", "sheets"), [((100, 80), 1), ((120, 160), 1), ((220, 150), 2), ((230, 230), 2), ((220, 400), 4)]
)
def test_it_stays_upright_where_that_takes_as_many_sheets_or_fewer(size: tuple[float, float], sheets: int) -> None:
    assert lies_across(parts_mat_pdf(HEAD, [part()], size)) == [False] * sheets


def test_the_list_of_what_found_no_room_counts_as_sheets() -> None:
    """Sixty boxes are too many beside a board that lies across: with their list it takes two sheets, as upright."""
    parts = [part(f"C{n}", x_mm=8.0 + n % 10 * 16, y_mm=8.0 + n // 10 * 18, width_mm=8, depth_mm=8) for n in range(60)]
    across = mats.area_of(*PAPER_MM[Paper.A4][::-1])
    things = mats.part_things(parts, Side.TOP, 160)
    sheets, left = mats.mat_sheets(things, (160, 110), across, (22, 12), columns=True)
    assert (len(sheets), left != []) == (1, True)
    assert lies_across(parts_mat_pdf(HEAD, parts, (160, 110))) == [False, False]


def test_it_moves_boxes_into_columns_whose_leader_lines_run_in_order() -> None:
    """Twenty-four parts on a patch as large as four boxes."""
    crowd = [part(f"C{n}", x_mm=30.0 + n % 6 * 7, y_mm=30.0 + n // 6 * 7, width_mm=6, depth_mm=6) for n in range(24)]
    area = mats.area_of(210, 297)
    (sheet,), left = mats.mat_sheets(mats.part_things(crowd, Side.TOP, 100), (100, 80), area, (22, 12), columns=True)
    assert left == []
    for edge in (area.x, area.right - 22):
        column = [callout for callout in sheet.callouts if callout.box.x == edge]
        assert len(column) > 2
        by_box = sorted(column, key=lambda callout: callout.box.y)
        heights = [callout.leader[1] for callout in by_box]
        assert heights == sorted(heights)


def test_it_gives_up_no_part_that_finds_no_room() -> None:
    """Three hundred parts in the same square centimetre: those without room follow as a list."""
    parts = [part(f"C{n}", x_mm=50 + n % 10 / 10, y_mm=40 + n // 10 / 10) for n in range(1, 301)]
    pages = texts(parts_mat_pdf(HEAD, parts, (100, 80)))
    assert "row 1 column 1" in pages[0]
    assert "no room" in pages[-1]
    boxed = Counter(re.findall(r"\bC\d+(?= 100 µF)", " ".join(pages)))
    assert boxed == {f"C{n}": 1 for n in range(1, 301)}


def test_it_turns_an_outline_as_the_part_lies() -> None:
    (flat,) = mats.part_shape(Spot(designator="U1", x_mm=20, y_mm=30, width_mm=10, depth_mm=4))
    (turned,) = mats.part_shape(Spot(designator="U1", x_mm=20, y_mm=30, width_mm=10, depth_mm=4, rotation_deg=90))
    assert flat.bounds == pytest.approx((15, 28, 10, 4))
    assert turned.bounds == pytest.approx((18, 25, 4, 10))
    assert flat.corners[0] == pytest.approx((15, 28))
    assert turned.corners[0] == pytest.approx((22, 25))


def test_it_shows_the_bottom_as_it_is_seen_from_below() -> None:
    spot = Spot(designator="U1", x_mm=20, y_mm=30, width_mm=10, depth_mm=4, rotation_deg=30, side=Side.BOTTOM)
    (above,), (below,) = mats.part_shape(spot), mats.part_shape(spot, 100)
    assert below.bounds.centre == pytest.approx((80, 30))
    assert [(100 - x, y) for x, y in below.corners] == [pytest.approx(corner) for corner in above.corners]
    pages = texts(parts_mat_pdf(HEAD, [part("C1"), part("C2", side=Side.BOTTOM)], (100, 80)))
    assert [("top side" in page, "mirrored as seen from below" in page) for page in pages] == [
        (True, False),
        (False, True),
    ]
    assert [("C1" in page.split(), "C2" in page.split()) for page in pages] == [(True, False), (False, True)]


def test_it_writes_board_coordinates_at_the_overlaps_of_both_sides() -> None:
    """The bottom is mirrored, its figures are not: x is that of the board."""
    top, bottom = (parts_mat_pdf(HEAD, [part(side=side)], (220.5, 80)) for side in Side)
    for pdf, written in ((top, "(110, 50)"), (bottom, "(110.5, 50)")):
        assert [written in page for page in texts(pdf)] == [True, True]


@pytest.mark.parametrize(
    ("spot", "says"),
    [
        ({"positive": Points.LEFT}, "plus to the left"),
        ({"positive": Points.RIGHT}, "plus to the right"),
        ({"positive": Points.UP}, "plus away from you"),
        ({"positive": Points.DOWN}, "plus towards you"),
        *(
            ({"positive": points, "positive_checked": False}, f"{words}, not checked: look at the board")
            for points, words in (
                (Points.LEFT, "plus to the left"),
                (Points.RIGHT, "plus to the right"),
                (Points.UP, "plus away from you"),
                (Points.DOWN, "plus towards you"),
            )
        ),
        ({"positive": Points.UNKNOWN}, "look at the board which way the plus points"),
    ],
)
def test_it_says_in_full_where_the_plus_points_as_the_bench_picture_does(spot: dict[str, object], says: str) -> None:
    shown = replace(part(), spot=replace(part().spot, **spot))  # type: ignore[arg-type]
    assert polarity(shown.spot) == says
    for pdf in (parts_list_pdf(HEAD, [shown] * 66), parts_mat_pdf(HEAD, [shown], (100, 80))):
        (page,) = texts(pdf)
        for words in ("C1", "100 µF · 25 V", f"{says} kit", "kit E100U25 · lot 24-07B"):
            assert words in page


@given(
    words=st.lists(st.builds(Words, st.text(max_size=80), st.floats(4, 20), lines=st.integers(1, 3)), min_size=1),
    width=st.floats(15, 60),
    height=st.floats(5, 40),
)
def test_it_writes_no_lower_than_a_box_reaches(words: list[Words], width: float, height: float) -> None:
    rect = Rect(10, 20, width, height)
    left = Pen(Canvas(io.BytesIO())).filled(rect, words, "1")
    assert left.height >= -1e-6


def test_it_says_nothing_of_a_plus_where_there_is_none() -> None:
    (page,) = texts(parts_list_pdf(HEAD, [part("R1", kind=Kind.RESISTOR)]))
    assert "plus" not in page


def test_it_says_what_stays_empty() -> None:
    left_out = PartBox(part("C1").spot, fitted=False)
    for empty in (left_out, part("C2", fit=Fit.EMPTY, positive=Points.LEFT)):
        for pdf in (parts_list_pdf(HEAD, [empty]), parts_mat_pdf(HEAD, [empty], (100, 80))):
            (page,) = texts(pdf)
            assert "empty: fit nothing" in page
            assert "plus" not in page
    assert "empty" not in texts(parts_list_pdf(HEAD, [part("C3")]))[0]


def test_it_lists_a_part_whose_place_is_not_known() -> None:
    (page,) = texts(parts_mat_pdf(HEAD, [part("C9", x_mm=None)], (100, 80)))
    assert "C9" in page.split()


def test_it_heads_every_page() -> None:
    for page in texts(parts_mat_pdf(HEAD, row_of_parts(20), (400, 300))):
        for words in ("W-00042", "K7Q-2M9F~", "Quillon Lantern · QL-2 rev. C", "Print at 100 %", "50 mm", "row"):
            assert words in page


def test_it_lists_fasteners_in_the_order_they_come_out() -> None:
    (page,) = texts(fasteners_list_pdf(HEAD, [SHIELD, CASE]))
    assert page.index("order 1, count 2") < page.index("order 2, count 4")
    for words in ("cross, PH1, M3 × 6 mm", "shield", "Warning: Longer ones break the track below."):
        assert words in page


def test_it_labels_each_place_on_the_case_and_boxes_each_group_once() -> None:
    (page,) = texts(fasteners_mat_pdf(HEAD, [SHIELD, CASE], (120, 80)))
    labels = Counter(page.split())
    assert (labels["A"], labels["B"]) == (3, 3)  # two places and a box
    assert page.count("order 1") == page.count("order 2") == 1


def test_it_lists_a_group_whose_places_are_not_known() -> None:
    (page,) = texts(fasteners_mat_pdf(HEAD, [Screw(label="Q", where="heat sink")], (120, 80)))
    assert "heat sink" in page


@given(count=st.integers(0, 150), width=st.floats(2, 80), height=st.floats(2, 60))
def test_it_draws_a_circle_for_each_fastener_where_there_is_room(count: int, width: float, height: float) -> None:
    room = Rect(3, 5, width, height)
    circles = mats.circles(count, room)
    assert len(circles) == min(count, max(len(circles), int(width / 2) * int(height / 2)))
    around = [Rect(x - radius, y - radius, 2 * radius, 2 * radius) for x, y, radius in circles]
    assert all(room.covers(one) for one in around)
    assert not any(one.overlaps(other) for one, other in combinations(around, 2))


@settings(max_examples=25, deadline=None)
@given(words=st.lists(st.text(max_size=300), min_size=8, max_size=8))
def test_it_prints_words_in_any_script_and_of_any_length(words: list[str]) -> None:
    head = MatHead(words[0], words[1], HEAD.address, words[2], words[3])
    parts = [PartBox(Spot(designator=words[4], value=words[5], rating=words[6], x_mm=5, y_mm=5), words[7], words[7])]
    screws = [Screw(label=words[4], where=words[5], drive=words[6], warning=words[7], places_mm=((5, 5),))]
    assert len(texts(parts_list_pdf(head, parts))) == 1
    assert len(texts(parts_mat_pdf(head, parts, (50, 50)))) == 1
    assert len(texts(fasteners_list_pdf(head, screws))) == 1
    assert len(texts(fasteners_mat_pdf(head, screws, (50, 50)))) == 1


def test_it_cuts_what_is_too_long() -> None:
    for pdf in (parts_list_pdf(HEAD, [part(value="9" * 400)]), parts_mat_pdf(HEAD, [part(value="9" * 400)], (90, 90))):
        (page,) = texts(pdf)
        assert re.search(r"9{8,60}…", page)
    (page,) = texts(fasteners_list_pdf(HEAD, [Screw(label="A", where="x", warning="much too long " * 40)]))
    assert re.search(r"much.*…", page)


def test_it_is_black_on_white_at_its_own_size_and_equal_each_time() -> None:
    pdf = parts_mat_pdf(HEAD, row_of_parts(20), (400, 300))
    assert pdf == parts_mat_pdf(HEAD, row_of_parts(20), (400, 300))
    reader = PdfReader(io.BytesIO(pdf))
    assert reader.viewer_preferences is not None
    assert str(reader.viewer_preferences.print_scaling) == "/None"
    for page in reader.pages:
        content = page.get_contents()
        assert content is not None
        drawing = re.sub(r"\((?:\\.|[^\\)])*\)", "", content.get_data().decode("latin-1"))
        assert not re.search(r"\b(rg|RG|k|K|cs|CS|sc|SC|scn|SCN|sh|Do)\b(?=\s)", drawing)
        assert set(re.findall(r"([\d.]+) [gG]\s", drawing)) <= {"0", "1"}


def test_it_says_when_there_is_nothing_to_lay() -> None:
    for pdf in (parts_list_pdf, fasteners_list_pdf):
        with pytest.raises(Refused, match="mat_nothing_to_lay"):
            pdf(HEAD, [])
    for mat in (parts_mat_pdf, fasteners_mat_pdf):
        with pytest.raises(Refused, match="mat_nothing_to_lay"):
            mat(HEAD, [], (100, 80))


@pytest.mark.parametrize("size", [(0.0, 80.0), (100.0, -1.0), (1000.1, 80.0), (100.0, float("nan"))])
def test_it_refuses_a_board_that_cannot_be(size: tuple[float, float]) -> None:
    for refused in (lambda: parts_mat_pdf(HEAD, [part()], size), lambda: fasteners_mat_pdf(HEAD, [CASE], size)):
        with pytest.raises(Refused) as caught:
            refused()
        assert caught.value.code == "mat_board_size"
        assert caught.value.reasons[0].facts["most_mm"] == 1000
