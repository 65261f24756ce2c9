"""A small board for Quillon's Lantern, entered as people enter one: size, placements, fasteners of the case."""

from typing import Any

import pytest

from shop.boards.board_actions import measure_board
from shop.boards.case_actions import put_fastener
from shop.boards.editions import latest
from shop.boards.models import BoardEdition, BoardRevision
from shop.boards.placement_actions import put_placement
from shop.boards.spots import Fit, Kind, Mount, Points, Screw, Spot
from shop.core.actor import Actor

BOARD_MM, CASE_MM = (160.0, 110.0), (200.0, 150.0)
VARIANTS = ("50 Hz", "60 Hz")


def can(designator: str, **changes: Any) -> Spot:
    """Return a round through-hole can, plus to the left, unless said otherwise."""
    usual: dict[str, Any] = {
        "value": "100 µF", "rating": "16 V", "kind": Kind.ELECTROLYTIC, "x_mm": 40.0, "y_mm": 40.0,
        "width_mm": 6.3, "depth_mm": 6.3, "height_mm": 11.0, "positive": Points.LEFT,
    }  # fmt: skip
    return Spot(designator=designator, **usual | changes)


CANS = (
    can("C1", value="1000 µF", height_mm=20.0, note="The white stripe looks at the slot"),
    can("C2", value="10 µF", rating="25 V", height_mm=7.0, positive=Points.UP, x_mm=60.0),
    can("C61", value="22 µF", x_mm=80.0, fit=Fit.VARIANT, variants=("50 Hz",)),
    can("C70", x_mm=100.0, fit=Fit.EMPTY, positive=Points.UNKNOWN),
)
REGULATOR = Spot(designator="U8", value="5 V regulator", kind=Kind.REGULATOR, x_mm=14.0, y_mm=66.0)
RESISTOR = Spot(designator="R3", value="75 Ω", kind=Kind.RESISTOR, mount=Mount.THROUGH, x_mm=104.0, y_mm=96.0)
REAR = Screw(
    label="A", where="rear edge", drive="cross", bit="PH1", thread="M3", length_mm=12.0, count=2, order=1,
    places_mm=((8.0, 142.0), (192.0, 142.0)),
)  # fmt: skip
UNDER = Screw(
    label="B", where="under the label", drive="cross", bit="PH1", thread="M3", length_mm=8.0, order=2,
    warning="the cartridge slot behind it",
)  # fmt: skip


def enter_board(actor: Actor, revision: BoardRevision) -> BoardEdition:
    """Enter the board into the library and return its edition, which no unit uses yet."""
    measure_board(actor=actor, revision_id=revision.pk, board_mm=BOARD_MM, case_mm=CASE_MM, variants=VARIANTS)
    for spot in (*CANS, REGULATOR, RESISTOR):
        put_placement(actor=actor, revision_id=revision.pk, spot=spot)
    for screw in (REAR, UNDER):
        put_fastener(actor=actor, revision_id=revision.pk, screw=screw)
    edition = latest(revision)
    assert edition is not None
    return edition


@pytest.fixture
def edition(owner: Actor, lantern_b2: BoardRevision) -> BoardEdition:
    """The Lantern's board in the library."""
    return enter_board(owner, lantern_b2)
