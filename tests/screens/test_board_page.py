"""The page of a board: a table is looked at before it is written, and forms say only what they say."""

import pytest
from django.urls import reverse

from shop.boards.models import BoardRevision, Placement
from tests.screens.browsing import Browser, said
from tests.screens.conftest import text_of

TABLE = "designator,value,rating,kind,x,y,positive\nC1,100 µF,16 V,electrolytic,10,20,left\n"


@pytest.fixture
def lantern_board(house: object) -> BoardRevision:
    return BoardRevision.objects.get()


def do(browser: Browser, board: BoardRevision, verb: str, **fields: str) -> int:
    return int(browser.send("board-do", board.id, verb, **fields).status_code)


def page_of(browser: Browser, board: BoardRevision) -> str:
    return browser.get(reverse("screens:board", args=[board.id])).content.decode()


def test_it_says_line_by_line_what_a_table_would_do_and_writes_nothing(
    as_technician: Browser, lantern_board: BoardRevision
) -> None:
    wrong = TABLE + "C1,1 µF,16 V,electrolytic,30,20,left\nC3,1 µF,0 V,electrolytic,40,20,left\n"
    answer = as_technician.send("board-do", lantern_board.id, "placements", table=wrong)
    told = text_of(answer)
    assert "C1 stands in line 2 already" in told
    assert "0 V cannot be a rating" in told
    assert "Write it" not in told
    assert not Placement.objects.exists()
    assert do(as_technician, lantern_board, "placements", table=wrong, write="1") == 422
    assert not Placement.objects.exists()


def test_it_writes_a_table_on_the_second_press_and_gives_it_back(
    as_technician: Browser, lantern_board: BoardRevision
) -> None:
    looked = as_technician.send("board-do", lantern_board.id, "placements", table=TABLE)
    assert "1 new, 0 changed" in text_of(looked)
    assert "Write it" in text_of(looked)
    assert do(as_technician, lantern_board, "placements", table=TABLE, write="1") == 303
    assert "C1" in page_of(as_technician, lantern_board)
    given = as_technician.get(reverse("screens:board-table", args=[lantern_board.id, "placements"]))
    again = as_technician.send("board-do", lantern_board.id, "placements", table=given.content.decode())
    assert "0 new, 0 changed, 1 the same" in text_of(again)


def test_a_form_that_says_only_a_note_keeps_the_rest(as_technician: Browser, lantern_board: BoardRevision) -> None:
    do(as_technician, lantern_board, "placements", table=TABLE, write="1")
    assert do(as_technician, lantern_board, "placement", designator="C1", note="Glued") == 303
    row = Placement.objects.get(designator="C1")
    assert (row.note, row.x_mm, row.kind, row.positive) == ("Glued", 10, "electrolytic", "left")


def test_it_keeps_what_was_typed_when_a_placement_is_refused(
    as_technician: Browser, lantern_board: BoardRevision
) -> None:
    answer = as_technician.send(
        "board-do", lantern_board.id, "placement", designator="C7", value="47 µF", kind="electrolytic"
    )
    assert answer.status_code == 422
    assert "Say where its positive lead points" in said(answer)
    assert 'value="47 µF"' in answer.content.decode()


def test_a_size_needs_both_sides(as_technician: Browser, lantern_board: BoardRevision) -> None:
    answer = as_technician.send("board-do", lantern_board.id, "measure", width="160")
    assert "A size needs width and height" in said(answer)
