"""Placement files as layout programs write them, imported without an edit; and class letters against the standard's."""

from pathlib import Path

import pytest

from shop.boards.designators import kinds_of
from shop.boards.guesses import positive_of
from shop.boards.placement_table import Reading, read_placements
from shop.boards.spots import Kind, Mount, Points, Side

DATA = Path(__file__).parent / "data"
CAPACITORS = {Kind.CAPACITOR, Kind.ELECTROLYTIC, Kind.TANTALUM, Kind.CERAMIC, Kind.FILM}


def imported(name: str) -> Reading:
    read = read_placements((DATA / name).read_bytes().decode("utf-8"))
    assert [complaint for complaint in read.complaints if complaint.grave] == []
    return read


def places(read: Reading) -> dict[str, tuple[float | None, float | None]]:
    return {spot.designator: (spot.x_mm, spot.y_mm) for spot in read.spots}


def test_it_takes_a_layout_programs_csv_in_millimetres() -> None:
    """KiCad's CSV position file, its columns from memory; package names of its open library."""
    read = imported("placements_mm.csv")
    assert places(read) == {
        "C1": (12.7, -20.32),
        "C2": (30.48, -20.32),
        "C3": (45.72, -20.32),
        "C4": (50.8, -20.32),
        "D1": (12.7, -35.56),
        "J1": (5.08, -45.72),
        "R1": (20.32, -35.56),
        "U1": (60.96, -35.56),
        "U2": (70.0, -35.56),
        "Y1": (80.01, -35.56),
    }
    assert {spot.designator: (spot.kind, spot.mount) for spot in read.spots} == {
        "C1": (Kind.ELECTROLYTIC, Mount.THROUGH),
        "C2": (Kind.ELECTROLYTIC, Mount.SURFACE),
        "C3": (Kind.CERAMIC, Mount.THROUGH),
        "C4": (Kind.ELECTROLYTIC, Mount.SURFACE),
        "D1": (Kind.DIODE, Mount.THROUGH),
        "J1": (Kind.CONNECTOR, Mount.THROUGH),
        "R1": (Kind.RESISTOR, Mount.SURFACE),
        "U1": (Kind.REGULATOR, Mount.THROUGH),
        "U2": (Kind.IC, Mount.THROUGH),
        "Y1": (Kind.CRYSTAL, Mount.THROUGH),
    }
    first = read.spots[0]
    assert (first.value, first.rating, first.width_mm, first.depth_mm) == ("100 µF", "25 V", 8.0, 8.0)
    assert {spot.designator for spot in read.spots if spot.side is Side.BOTTOM} == {"C4", "R1"}


def test_it_asks_to_look_at_each_polarised_part_of_such_a_file() -> None:
    read = imported("placements_mm.csv")
    remarked = {complaint.line for complaint in read.complaints if complaint.code == "table_positive_from_rotation"}
    assert remarked == {read.lines[name] for name in ("C1", "C2", "C4", "D1")}
    assert {spot.designator for spot in read.spots if not spot.positive_checked} == {"C1", "C2", "C4", "D1"}


def test_it_takes_the_aligned_form_of_the_same_file() -> None:
    """KiCad's ASCII position file, from memory: comments, a unit line, and a heading line that begins with #."""
    aligned, divided = imported("placements_aligned.csv"), imported("placements_mm.csv")
    same = {spot.designator: spot for spot in divided.spots}
    assert aligned.spots == (same["C1"], same["C2"], same["R1"])
    assert aligned.lines == {"C1": 6, "C2": 7, "R1": 8}


def test_it_takes_the_aligned_form_in_inches() -> None:
    text = (DATA / "placements_aligned.csv").read_text().replace("Unit = mm", "Unit = inches").replace("12.7000", "0.5")
    assert places(read_placements(text))["C1"][0] == 12.7


def test_it_takes_mils_with_semicolons_and_decimal_commas() -> None:
    """As layout programs write under a German locale: byte order mark, CRLF, a true minus; 1 mil is 0.0254 mm."""
    read = imported("placements_mil_semicolon.csv")
    expected = {
        "C1": (31.75, 53.3527),
        "C12": (38.10635, 53.34),
        "D3": (12.7, 19.0627),
        "IC1": (-2.54, 0.0),
        "R7": (50.8, 50.79365),
    }
    assert {name: pytest.approx(place, abs=1e-9) for name, place in places(read).items()} == expected
    assert [(spot.value, spot.rating) for spot in read.spots[:2]] == [("470 µF", "16 V"), ("0.1 µF", "")]
    assert {spot.designator: spot.kind for spot in read.spots}["IC1"] is Kind.REGULATOR


@pytest.mark.parametrize(
    ("letters", "kinds"),
    [
        ("A", {Kind.OTHER}),
        ("BT", {Kind.BATTERY}),
        ("C", CAPACITORS),
        ("CR", {Kind.DIODE}),
        ("D", {Kind.DIODE}),
        ("DS", {Kind.DIODE, Kind.OTHER}),
        ("F", {Kind.FUSE}),
        ("FL", {Kind.OTHER}),
        ("J", {Kind.CONNECTOR}),
        ("K", {Kind.OTHER}),
        ("L", {Kind.INDUCTOR}),
        ("LS", {Kind.OTHER}),
        ("M", {Kind.OTHER}),
        ("P", {Kind.CONNECTOR}),
        ("Q", {Kind.TRANSISTOR, Kind.REGULATOR}),
        ("R", {Kind.RESISTOR}),
        ("RT", {Kind.RESISTOR}),
        ("S", {Kind.SWITCH}),
        ("T", {Kind.OTHER}),
        ("TB", {Kind.CONNECTOR}),
        ("TP", {Kind.OTHER}),
        ("U", {Kind.IC, Kind.REGULATOR}),
        ("V", {Kind.OTHER}),
        ("VR", {Kind.DIODE, Kind.REGULATOR, Kind.RESISTOR}),
        ("W", {Kind.OTHER}),
        ("Y", {Kind.CRYSTAL}),
    ],
)
def test_it_has_the_standards_class_letters(letters: str, kinds: set[Kind]) -> None:
    """From memory of IEEE Std 315-1975 section 22; what the shop has no kind for is OTHER."""
    assert kinds_of(f"{letters}1") == kinds


@pytest.mark.parametrize(
    ("kind", "rotation", "points"),
    [
        (Kind.ELECTROLYTIC, 0, Points.LEFT),
        (Kind.ELECTROLYTIC, 90, Points.DOWN),
        (Kind.ELECTROLYTIC, 180, Points.RIGHT),
        (Kind.ELECTROLYTIC, 270, Points.UP),
        (Kind.TANTALUM, -90, Points.UP),
        (Kind.TANTALUM, 359.7, Points.LEFT),
        (Kind.DIODE, 0, Points.RIGHT),
        (Kind.DIODE, 90, Points.UP),
    ],
)
def test_it_turns_pin_one_as_level_a_has_it(kind: Kind, rotation: float, points: Points) -> None:
    """From memory of IEC 61188-7: pin 1 left at 0°, counterclockwise; pin 1 is positive, but of a diode the cathode."""
    assert positive_of(kind, rotation) is points


@pytest.mark.parametrize(("rotation", "points"), [(0, Points.LEFT), (90, Points.DOWN)])
@pytest.mark.parametrize("side", Side)
def test_it_sees_the_positive_lead_from_the_parts_own_side(side: Side, rotation: float, points: Points) -> None:
    read = read_placements(f"Ref,Val,Package,PosX,PosY,Rot,Side\nC1,100uF,CP_Radial_D8.0mm,10,10,{rotation},{side}\n")
    assert [(spot.side, spot.positive, spot.positive_checked) for spot in read.spots] == [(side, points, False)]
