"""An entry changed in part: what is not said stays."""

from shop.boards.amending import amended_screw, amended_spot
from shop.boards.models import BoardEdition, BoardRevision
from shop.boards.placement_actions import amend_placement
from shop.boards.queries import board
from shop.boards.spots import Kind, Points, Screw
from shop.core.actor import Actor
from tests.boards.conftest import CANS


def test_a_capacitor_with_a_plus_is_an_electrolytic() -> None:
    assert amended_spot(None, "C90", {"value": "33 µF", "positive": Points.LEFT}).kind == Kind.ELECTROLYTIC
    assert amended_spot(None, "C90", {"value": "100 nF"}).kind == Kind.CAPACITOR
    assert amended_spot(None, "R3", {"value": "75 Ω"}).kind == Kind.RESISTOR


def test_a_note_takes_nothing_else_away(technician: Actor, edition: BoardEdition, lantern_b2: BoardRevision) -> None:
    amend_placement(actor=technician, revision_id=lantern_b2.pk, designator="c2", given={"note": "Glued"})
    spot = board(lantern_b2).spot("C2")
    assert spot is not None
    assert (spot.note, spot.value, spot.x_mm, spot.positive) == (
        "Glued", CANS[1].value, CANS[1].x_mm, CANS[1].positive,
    )  # fmt: skip


def test_a_tap_adds_a_place_and_raises_the_count_with_it() -> None:
    screw = amended_screw(None, "A", {"where": "rear edge", "length_mm": 12.0}, (1.0, 2.0))
    assert (screw.count, screw.places_mm) == (1, ((1.0, 2.0),))
    more = amended_screw(screw, "A", {}, (3.0, 4.0))
    assert (more.count, more.where, more.length_mm) == (2, "rear edge", 12.0)


def test_without_a_tap_the_count_is_as_it_was_said() -> None:
    assert amended_screw(Screw(label="A", where="rear", count=4), "A", {"count": 3}).count == 3
