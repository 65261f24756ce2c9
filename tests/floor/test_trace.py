"""The trace's geometry."""

from datetime import UTC, datetime, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.floor.trace import PER_ROW, Stop, draw, stages_ahead, went_back

AT = datetime(2026, 3, 10, 9, tzinfo=UTC)
LATER = AT + timedelta(days=1)
STOPS = st.lists(
    st.builds(
        Stop,
        kind=st.sampled_from(["pad", "gap", "end"]),
        label=st.just("x"),
        at=st.just(AT),
        back=st.booleans(),
        until=st.sampled_from([None, LATER]),
    ),
    min_size=1,
    max_size=24,
)
AHEAD = st.lists(st.just("y"), max_size=5)


@given(STOPS, AHEAD)
def test_marks_never_lie_on_each_other_and_stay_inside(stops: list[Stop], ahead: list[str]) -> None:
    drawing = draw(stops, ahead)
    places = [(mark.x, mark.y) for mark in [*drawing.marks, *drawing.ahead]]
    assert len(places) == len(set(places)) == len(stops) + len(ahead)
    assert all(0 < x < drawing.width and 0 < y < drawing.height for x, y in places)


@given(STOPS, AHEAD)
def test_every_stop_is_joined_and_one_at_most_is_now(stops: list[Stop], ahead: list[str]) -> None:
    drawing = draw(stops, ahead)
    assert sum(mark.now for mark in drawing.marks) <= 1
    assert len(drawing.runs) == len(stops) - 1


PAD, END = Stop("pad", "x", AT), Stop("end", "x", AT)
HELD, LIFTED = Stop("gap", "x", AT), Stop("gap", "x", AT, until=LATER)


@pytest.mark.parametrize(
    ("stops", "now"),
    [
        ([PAD], 0),
        ([PAD, PAD], 1),
        ([PAD, HELD], 1),
        ([PAD, LIFTED], 0),
        ([PAD, LIFTED, LIFTED], 0),
        ([PAD, HELD, HELD], 2),
        ([PAD, HELD, LIFTED], 1),
        ([PAD, LIFTED, HELD], 2),
        ([PAD, LIFTED, PAD, LIFTED], 2),
        ([PAD, HELD, PAD], 2),
        ([PAD, HELD, PAD, LIFTED], 2),
        ([PAD, LIFTED, PAD, LIFTED, END], 4),
        ([LIFTED], None),
    ],
)
def test_now_is_where_the_unit_is_and_not_where_it_was_held(stops: list[Stop], now: int | None) -> None:
    marked = [slot for slot, mark in enumerate(draw(stops, ["y"]).marks) if mark.now]
    assert marked == ([] if now is None else [now])


@given(STOPS)
def test_going_back_changes_the_side_through_a_via(stops: list[Stop]) -> None:
    drawing = draw(stops, [])
    for before, mark, run in zip(drawing.marks, drawing.marks[1:], drawing.runs, strict=False):
        assert (before.side != mark.side) == mark.stop.back == (run.via is not None)


def test_it_folds_as_a_meander_does() -> None:
    drawing = draw([Stop("pad", str(number), AT) for number in range(PER_ROW + 1)], [])
    last, folded = drawing.marks[-2:]
    assert folded.x == last.x
    assert folded.y > last.y


def test_a_unit_without_a_history_has_no_trace() -> None:
    with pytest.raises(ValueError, match="history"):
        draw([], [])


def test_what_lies_ahead() -> None:
    assert stages_ahead("bench") == ("testing", "pickup")
    assert stages_ahead("queue", ended=True) == ("pickup",)
    assert stages_ahead("left") == ()


def test_which_moves_go_back() -> None:
    assert went_back("testing", "bench")
    assert not went_back("bench", "testing")
    assert not went_back("", "intake")
