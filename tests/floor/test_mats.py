"""The mats of a unit at the bench: what lies on them, from which kit line and lot, and what their code opens."""

import io

import pytest
from pypdf import PdfReader

from shop.core.reasons import Refused
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.mats import MATS, mat_pdf
from shop.floor.stages import Move
from shop.parts.models import Part
from shop.stock.actions import receive_lot
from shop.units.label_draw import Paper
from tests.floor.conftest import now


def words(pdf: bytes) -> str:
    return " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def test_it_names_kit_line_and_lot_beside_each_part(house: House, approved: Journey) -> None:
    kit = Part.objects.get(code="CAP-SET-QL")
    receive_lot(actor=house.owner, part_id=kit.id, quantity=3, marking="24-07B")
    approved.start(Move.START_WORK, 0)
    said = words(mat_pdf(now(approved), "parts"))
    for part in ("C1", "1000 µF", "16 V", "plus to the left", "kit CAP-SET-QL", "lot 24-07B"):
        assert part in said
    assert "empty: fit nothing" in said  # C70, and what only the other variant has


@pytest.mark.parametrize("paper", Paper)
@pytest.mark.parametrize("kind", MATS)
def test_it_prints_every_mat_on_either_paper(approved: Journey, kind: str, paper: Paper) -> None:
    approved.start(Move.START_WORK, 0)
    assert "QL-B2" in words(mat_pdf(now(approved), kind, paper))


def test_it_refuses_a_mat_that_there_is_not(approved: Journey) -> None:
    with pytest.raises(Refused, match="mat_kind_unknown"):
        mat_pdf(now(approved), "wallpaper")


def test_it_refuses_a_parts_mat_before_anything_is_agreed_on_a_known_board(queued: Journey) -> None:
    with pytest.raises(Refused, match="mat_nothing_to_lay"):
        mat_pdf(now(queued), "parts")
