"""The bench picture, read back as the XML it is."""

import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import combinations
from math import hypot
from xml.etree import ElementTree

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from shop.boards.spots import Fit, Kind, Mount, Points, Screw, Side, Spot
from shop.work.bench_picture import Scene, draw, draw_case
from shop.work.part_words import polarity

SVG = "{http://www.w3.org/2000/svg}"
CAP = Spot(
    designator="C12",
    value="100 µF",
    rating="25 V",
    kind=Kind.ELECTROLYTIC,
    x_mm=30,
    y_mm=20,
    width_mm=8,
    depth_mm=8,
    positive=Points.LEFT,
)
OTHERS = [
    Spot(designator="C1", value="10 µF", x_mm=10, y_mm=50, width_mm=5, depth_mm=5),
    Spot(designator="C2", value="22 µF", x_mm=60, y_mm=50, fit=Fit.EMPTY),
    Spot(designator="R1", value="4k7", x_mm=50, y_mm=10, width_mm=3.2, depth_mm=1.6),
]
SCENE = Scene(
    width_mm=80,
    height_mm=60,
    spots=[OTHERS[0], CAP, *OTHERS[1:]],
    present=frozenset({"C12"}),
    wanted=frozenset({"C1", "C2", "C12"}),
    done=frozenset({"C1"}),
)
SCREWS = [
    Screw(
        label="A",
        where="back edge",
        drive="cross",
        bit="PH2",
        thread="M3",
        length_mm=8,
        count=2,
        places_mm=((5, 5), (75, 5)),
    ),
    Screw(label="B", where="fan", count=1, places_mm=((40, 30),), warning="Longer ones touch the winding."),
    Screw(label="D", where="shield", count=3),
]


def read(svg: str) -> ElementTree.Element:
    return ElementTree.fromstring(svg)


def of_class(root: ElementTree.Element, name: str) -> Iterator[ElementTree.Element]:
    return (element for element in root.iter() if name in element.get("class", "").split())


def words(element: ElementTree.Element) -> str:
    return " ".join(" ".join("".join(text.itertext()) for text in element.iter(f"{SVG}text")).split())


def boxes(root: ElementTree.Element, name: str) -> list[ElementTree.Element]:
    """The boxes of one designator or label: in its column, and large when it is the present one."""
    return [box for box in of_class(root, "bp-box") if box.get("data-name") == name]


def title(root: ElementTree.Element) -> str:
    return root.findtext(f"{SVG}title") or ""


def numbers(element: ElementTree.Element, *names: str) -> tuple[float, ...]:
    return tuple(float(element.get(name, "nan")) for name in names)


def leaders(root: ElementTree.Element) -> dict[str, tuple[float, ...]]:
    return {line.get("data-name", ""): numbers(line, "x1", "y1", "x2", "y2") for line in of_class(root, "bp-lead")}


def view(root: ElementTree.Element) -> tuple[float, ...]:
    return tuple(float(side) for side in root.get("viewBox", "").split())


def many(
    places: Sequence[tuple[float, float]], width: float, height: float, present: frozenset[str] = frozenset()
) -> Scene:
    spots = [
        Spot(
            designator=f"C{index}",
            value="100 µF",
            rating="25 V",
            kind=Kind.ELECTROLYTIC,
            x_mm=x * width,
            y_mm=y * height,
        )
        for index, (x, y) in enumerate(places, 1)
    ]
    wanted = frozenset(spot.designator for spot in spots)
    return Scene(width_mm=width, height_mm=height, spots=spots, wanted=wanted, present=present)


def side_of(line: tuple[float, ...], x: float, y: float) -> float:
    """How far a point lies from a line, in mm, with a sign that tells the side."""
    x1, y1, x2, y2 = line
    return ((x2 - x1) * (y - y1) - (y2 - y1) * (x - x1)) / max(hypot(x2 - x1, y2 - y1), 1e-9)


def cross(one: tuple[float, ...], other: tuple[float, ...]) -> bool:
    """Whether two lines cross by more than the hundredth of a millimetre to which they are written."""
    ends = (side_of(one, *other[:2]), side_of(one, *other[2:]), side_of(other, *one[:2]), side_of(other, *one[2:]))
    return min(map(abs, ends)) > 0.02 and ends[0] * ends[1] < 0 and ends[2] * ends[3] < 0


BOARDS = st.tuples(st.floats(60, 400), st.floats(40, 300))
PLACES = st.lists(st.tuples(st.floats(0, 1), st.floats(0, 1)), min_size=1, max_size=55)


def test_it_puts_every_wanted_designator_into_a_numbered_box_in_working_order() -> None:
    root = read(draw(SCENE))
    assert words(boxes(root, "C1")[0]) == "1 C1 ✓ 10 µF"
    assert words(boxes(root, "C12")[0]).startswith("2 C12")
    assert words(boxes(root, "C2")[0]) == "3 C2 empty: fit nothing"
    assert not boxes(root, "R1")


def test_it_says_value_rating_and_polarity_of_the_present_one_in_words() -> None:
    root = read(draw(SCENE))
    _column, large = boxes(root, "C12")
    assert words(large) == "2 C12 100 µF 25 V plus to the left"
    assert title(root) == "Board with 3 places; now C12, 100 µF 25 V, plus to the left"
    assert root.get("role") == "img"


def test_it_writes_the_present_ones_words_at_least_a_22nd_of_the_width() -> None:
    for width, height in ((60, 40), (400, 300), (100, 280)):
        root = read(draw(replace(SCENE, width_mm=width, height_mm=height)))
        assert numbers(boxes(root, "C12")[1], "font-size")[0] >= view(root)[2] / 22


def test_it_checks_only_what_is_done() -> None:
    root = read(draw(SCENE))
    checked = [box.get("data-name") for box in of_class(root, "bp-box") if "✓" in words(box)]
    assert checked == ["C1"]


@pytest.mark.parametrize(
    ("positive", "across", "down"),
    [(Points.LEFT, -1, 0), (Points.RIGHT, 1, 0), (Points.UP, 0, -1), (Points.DOWN, 0, 1)],
)
@pytest.mark.parametrize("side", [Side.TOP, Side.BOTTOM])
def test_it_draws_the_plus_at_the_positive_end(side: Side, positive: Points, across: int, down: int) -> None:
    """As the picture of its side shows it, so that a view from below does not turn it round."""
    spot = replace(CAP, positive=positive, side=side, width_mm=20, depth_mm=10)
    root = read(draw(replace(SCENE, spots=[spot], side=side)))
    _x1, _y1, x, y = leaders(root)["C12"]
    (plus,) = of_class(root, "bp-plus-ground")
    away_x, away_y = (centre - place for centre, place in zip(numbers(plus, "cx", "cy"), (x, y), strict=True))
    assert (round(away_x / 12), round(away_y / 7)) == (across, down)


def test_it_draws_no_plus_where_it_is_not_known_but_says_so() -> None:
    root = read(draw(replace(SCENE, spots=[replace(CAP, positive=Points.UNKNOWN)])))
    assert not list(of_class(root, "bp-plus"))
    assert "look at the board which way the plus points" in words(boxes(root, "C12")[0])


def test_the_only_one_has_the_large_box_alone_and_a_leader_from_it() -> None:
    """Columns beside the board would take its room on a phone."""
    scene = replace(SCENE, spots=[CAP], wanted=frozenset())
    root = read(draw(scene))
    (box,), (leader,) = boxes(root, "C12"), of_class(root, "bp-lead")
    assert (float(leader.get("x2", "")), float(leader.get("y2", ""))) == (30, 40)
    edge = next(iter(of_class(root, "bp-box"))).find(f"{SVG}rect")
    assert edge is not None
    assert float(leader.get("y1", "")) <= float(edge.get("y", "")) + float(edge.get("height", "")) + 0.01
    assert "plus to the left" in words(box)
    assert float(root.get("viewBox", "").split()[2]) < 80 * 1.12


def test_its_polarity_tells_what_nobody_has_looked_at() -> None:
    assert polarity(CAP) == "plus to the left"
    assert polarity(replace(CAP, positive_checked=False)) == "plus to the left, not checked: look at the board"
    assert polarity(OTHERS[2]) == ""


def test_it_says_on_which_variants_the_present_one_is_fitted() -> None:
    spot = replace(CAP, fit=Fit.VARIANT, variants=("230 V", "115 V"))
    assert "only on 230 V, 115 V" in title(read(draw(replace(SCENE, spots=[spot]))))


def test_its_leaders_end_at_their_places() -> None:
    found = leaders(read(draw(SCENE)))
    assert found["C12"][2:] == (30, 40)
    assert found["C1"][2:] == (10, 10)


def test_it_draws_the_bottom_side_as_seen_from_below() -> None:
    below = [replace(spot, side=Side.BOTTOM) for spot in SCENE.spots]
    root = read(draw(replace(SCENE, spots=below, side=Side.BOTTOM)))
    assert leaders(root)["C12"][2:] == (50, 40)
    assert "Bottom side, seen from below." in words(next(of_class(root, "bp-note")))


def test_it_names_below_what_it_cannot_show() -> None:
    spots = [CAP, replace(CAP, designator="C7", x_mm=None), replace(CAP, designator="C8", side=Side.BOTTOM)]
    spots += [replace(CAP, designator="C9", y_mm=61), replace(CAP, designator="C10", y_mm=None)]
    root = read(draw(replace(SCENE, spots=spots, wanted=frozenset(spot.designator for spot in spots))))
    notes = words(next(of_class(root, "bp-note")))
    assert notes == "place not known: C7, C10 on the other side: C8 off the outline: C9"
    assert set(leaders(root)) == {"C12"}


def test_it_shows_a_present_one_without_a_place_large_all_the_same() -> None:
    root = read(draw(replace(SCENE, spots=[replace(CAP, x_mm=None)])))
    (large,) = boxes(root, "C12")
    assert "100 µF 25 V" in words(large)


def test_it_draws_all_others_true_to_size_in_one_path() -> None:
    turned = replace(OTHERS[2], designator="R2", rotation_deg=90, x_mm=20, y_mm=30)
    can = replace(CAP, designator="C90", mount=Mount.THROUGH, x_mm=70, y_mm=30)
    unsized = Spot(designator="R3", x_mm=40, y_mm=30)
    (rest,) = of_class(read(draw(replace(SCENE, spots=[*SCENE.spots, turned, can, unsized]))), "bp-rest")
    assert re.findall("M[^M]*", rest.get("d", "")) == [
        "M48.4 50.8l3.2 0 0 -1.6 -3.2 0z",
        "M20.8 31.6l0 -3.2 -1.6 0 0 3.2z",
        "M66 30a4 4 0 1 0 8 0a4 4 0 1 0-8 0z",
        "M39 29l2 2m0-2l-2 2",
    ]


def test_it_turns_a_body_counterclockwise_and_from_below_clockwise() -> None:
    """Its first edge, 10 mm at 30 degrees, rises to the right from above and to the left from below."""
    spot = Spot(designator="R1", x_mm=40, y_mm=30, width_mm=10, depth_mm=2, rotation_deg=30)
    for side, across in ((Side.TOP, 8.7), (Side.BOTTOM, -8.7)):
        (rest,) = of_class(read(draw(replace(SCENE, spots=[replace(spot, side=side)], side=side))), "bp-rest")
        drawn = re.search("l(-?[0-9.]+) (-?[0-9.]+)", rest.get("d", ""))
        assert drawn
        assert (float(drawn[1]), float(drawn[2])) == (across, -5)


@settings(max_examples=60, deadline=None)
@given(PLACES, BOARDS)
def test_no_two_leaders_cross(places: list[tuple[float, float]], size: tuple[float, float]) -> None:
    found = leaders(read(draw(many(places, *size)))).values()
    assert [pair for pair in combinations(found, 2) if cross(*pair)] == []


@settings(max_examples=60, deadline=None)
@given(PLACES, BOARDS, st.integers(0, 6))
def test_no_box_covers_another_the_board_or_the_edge(
    places: list[tuple[float, float]], size: tuple[float, float], present: int
) -> None:
    now = frozenset(f"C{index}" for index in range(1, present + 1))
    root = read(draw(many(places, *size, present=now)))
    left, top, width, height = view(root)
    areas: list[tuple[float, ...]] = [(0.0, 0.0, *size)]
    for box in of_class(root, "bp-box"):
        (rect,) = box.iter(f"{SVG}rect")
        areas.append(numbers(rect, "x", "y", "width", "height"))
    for one, other in combinations(areas, 2):
        apart = max(other[0] - one[0] - one[2], one[0] - other[0] - other[2])
        assert max(apart, other[1] - one[1] - one[3], one[1] - other[1] - other[3]) > 0
    for x, y, wide, tall in areas:
        assert left <= x <= x + wide <= left + width + 0.1
        assert top <= y <= y + tall <= top + height + 0.1


@pytest.mark.parametrize("y", [0, 1])
def test_its_columns_stay_beside_the_board_where_they_fit(y: float) -> None:
    root = read(draw(many([(index / 8, y) for index in range(8)], 200, 150)))
    areas = [numbers(rect, "y", "height") for box in of_class(root, "bp-box") for rect in box.iter(f"{SVG}rect")]
    assert len(areas) == 8
    assert all(0 <= top <= top + tall <= 150 for top, tall in areas)


@settings(max_examples=40, deadline=None)
@given(PLACES, BOARDS)
def test_a_column_holds_at_most_20(places: list[tuple[float, float]], size: tuple[float, float]) -> None:
    starts = [line[0] for line in leaders(read(draw(many(places, *size)))).values()]
    assert len(starts) == min(len(places), 40)
    assert all(starts.count(edge) <= 20 for edge in starts)


def test_it_boxes_those_nearest_to_the_present_and_marks_the_others_with_their_numbers() -> None:
    places = [(index % 10 / 10, index // 10 / 10) for index in range(100)]
    root = read(draw(many(places, 300, 200, present=frozenset({"C50"}))))
    assert set(leaders(root)) == {f"C{index}" for index in range(30, 70)}
    marked = [words(tag) for tag in of_class(root, "bp-tag")]
    assert marked == [str(index) for index in [*range(1, 30), *range(70, 101)]]


def test_it_names_the_present_ones_that_get_no_large_box() -> None:
    places = [(index / 10, 0.5) for index in range(8)]
    root = read(draw(many(places, 100, 80, present=frozenset(f"C{index}" for index in range(1, 7)))))
    assert [len(boxes(root, f"C{index}")) for index in range(1, 9)] == [2, 2, 2, 2, 1, 1, 1, 1]
    assert words(next(of_class(root, "bp-note"))) == "also now: C5, C6"


def test_it_lays_the_photo_under_the_board_only_when_it_is_known_how() -> None:
    known = replace(SCENE, photo="/media/a.jpg?x=1&y=2", photo_size=(800, 600), photo_matrix="matrix(0.1 0 0 0.1 0 0)")
    (image,) = read(draw(known)).iter(f"{SVG}image")
    assert image.get("href") == "/media/a.jpg?x=1&y=2"
    assert image.get("transform") == "matrix(0.1 0 0 0.1 0 0)"
    assert not list(read(draw(replace(known, photo_matrix=""))).iter(f"{SVG}image"))


NASTY = '<script>alert("1")</script>\x00\x1b&'


def test_it_escapes_whatever_people_typed() -> None:
    spot = replace(CAP, designator=NASTY, value=NASTY, rating=NASTY)
    scene = replace(SCENE, spots=[spot], wanted=frozenset({NASTY}), present=frozenset({NASTY}))
    scene = replace(scene, photo=NASTY, photo_size=(9, 9), photo_matrix='"/><script/>')
    screw = Screw(label=NASTY, where=NASTY, thread=NASTY, warning=NASTY, places_mm=((9, 9),))
    for svg in (draw(scene), draw_case(80, 60, [screw], NASTY, {NASTY: NASTY})):
        assert not [element for element in read(svg).iter() if "script" in element.tag]
        assert "<script" not in svg


def test_it_needs_no_inline_style() -> None:
    for svg in (draw(SCENE), draw_case(80, 60, SCREWS, "A", {})):
        assert not [element for element in read(svg).iter() if element.get("style") or element.tag.endswith("style")]


@pytest.mark.parametrize("name", ["コンデンサ十二番入力側平滑用", "מעבה", "مكثف", "конденсатор", "ตัวเก็บประจุ"])
def test_it_takes_names_in_any_script(name: str) -> None:
    spot = replace(CAP, designator=name, value=name)
    root = read(draw(replace(SCENE, spots=[spot, OTHERS[0]], present=frozenset({name}))))
    small, large = boxes(root, name)
    assert words(small).startswith(f"1 {name}")
    assert name in words(large).removeprefix(f"1 {name}").replace(" ", "")


@given(st.text(), st.text(), st.text())
def test_it_is_xml_whatever_the_words(designator: str, value: str, state: str) -> None:
    spot = replace(CAP, designator=designator, value=value)
    alone = read(draw(replace(SCENE, spots=[spot], present=frozenset({designator}))))
    assert len(list(of_class(alone, "bp-box"))) == 1
    assert read(draw_case(80, 60, SCREWS, "A", {"A": state})).tag == f"{SVG}svg"


STATE: Mapping[str, str] = {"A": "out, 2 in the bag"}


def test_it_draws_a_case_with_its_groups() -> None:
    root = read(draw_case(80, 60, SCREWS, "B", STATE))
    assert words(boxes(root, "A")[0]) == "A back edge 2 × cross, PH2, M3 × 8 mm out, 2 in the bag"
    assert words(boxes(root, "B")[1]) == "B fan 1 × Longer ones touch the winding."
    assert title(root) == "Case with 3 groups of screws; now B, fan, 1 ×, Longer ones touch the winding."
    assert words(next(of_class(root, "bp-note"))) == "place not known: D"


def test_it_marks_every_place_of_a_group_with_its_label_and_the_present_ones_larger() -> None:
    tags = list(of_class(read(draw_case(80, 60, SCREWS, "B", STATE)), "bp-tag"))
    circles = [next(tag.iter(f"{SVG}circle")) for tag in tags]
    places = [(words(tag), *numbers(circle, "cx", "cy")) for tag, circle in zip(tags, circles, strict=True)]
    assert places == [("A", 5, 55), ("A", 75, 55), ("B", 40, 30)]
    assert numbers(circles[2], "r") > numbers(circles[0], "r")


def test_it_draws_a_board_of_which_nothing_is_known() -> None:
    root = read(draw(Scene(width_mm=80, height_mm=60, spots=[])))
    assert title(root) == "Board with 0 places"
    assert not list(of_class(root, "bp-box"))
