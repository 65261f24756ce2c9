"""The table of the journey, without a database."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.floor.rules import Facts
from shop.floor.stages import LEFT, MOVES, Move, decide, offers, outcomes
from shop.floor.trace import JOURNEY

# Everything a person can bring about has been brought about; what happened to the unit varies.
FAVOURABLE = {
    "cleared": "quote",
    "diagnosis_agreed": True,
    "revision_known": True,
    "board_photographed": True,
    "measured": True,
    "fasteners_recorded": True,
    "parcel_sent": True,
    "packing_photographed": True,
}


def after(move: Move, facts: Facts) -> Facts:
    """What a move does to the facts that the journey itself decides."""
    end = MOVES[move].end
    visit = {Move.START_DIAGNOSIS: "diagnosis", Move.START_WORK: "work", Move.START_CLOSING: "closing"}.get(move, "")
    if move in (Move.FINISH_BENCH, Move.FAIL_TEST):
        visit = facts.visit
    if move == Move.RECALL:
        visit = "closing" if facts.ending else "work"
    return replace(
        facts,
        stage=end,
        visit=visit,
        opened=facts.opened and move != Move.FINISH_BENCH,
        diagnosed=facts.diagnosed or move == Move.FINISH_DIAGNOSIS,
        ending="refused" if move == Move.REFUSE else facts.ending,
    )


def reachable(start: Facts) -> set[Facts]:
    """Every state that open moves lead to, the unit being opened, and the work declined, at any time on the way."""
    seen, todo = set(), [start]
    while todo:
        facts = todo.pop()
        if facts in seen:
            continue
        seen.add(facts)
        todo += [after(offer.move, facts) for offer in offers(facts) if offer.open and facts.stage != LEFT]
        if facts.stage == "bench":
            todo.append(replace(facts, opened=True))
        if facts.stage in ("queue", "bench", "testing") and not facts.ending:
            todo.append(replace(facts, ending="declined"))
    return seen


def test_it_never_deadlocks_whatever_happened_to_the_unit() -> None:
    states = reachable(Facts(stage="intake", **FAVOURABLE))
    assert len(states) > 20
    stuck = [facts for facts in states if not any(after.stage == LEFT for after in reachable(facts))]
    assert stuck == []


def test_it_skips_no_stage_on_the_way_of_a_repair() -> None:
    skipping = {
        move
        for move, way in MOVES.items()
        if way.end in JOURNEY and JOURNEY.index(way.end) > JOURNEY.index(way.start) + 1
    }
    # The two ways past the bench are for a unit that nobody opened and nobody is to repair.
    assert skipping == {Move.REFUSE, Move.RETURN_UNOPENED}
    for state in reachable(Facts(stage="intake", **FAVOURABLE)):
        if decide(Move.RETURN_UNOPENED, state).open:
            assert state.ending
            assert not state.opened


def test_it_lets_nothing_leave_open() -> None:
    for state in reachable(Facts(stage="intake", **FAVOURABLE)):
        if state.stage in ("testing", "pickup", LEFT):
            assert not state.opened


def test_every_stage_can_only_be_left_by_a_move_of_its_own() -> None:
    for move, way in MOVES.items():
        for stage in JOURNEY:
            offer = decide(move, Facts(stage=stage, **FAVOURABLE))
            wrong = [reason.code for reason in offer.reasons if reason.code == "wrong_stage"]
            assert bool(wrong) == (stage != way.start)


@pytest.mark.parametrize(
    ("move", "facts", "code"),
    [
        (Move.TAKE_IN, Facts(stage="intake", placed=False), "not_placed"),
        (Move.TAKE_IN, Facts(stage="intake", insects_loose=True), "insects_loose"),
        (Move.TAKE_IN, Facts(stage="intake", consents_missing=("save data may be lost",)), "consents_missing"),
        (Move.TAKE_IN, Facts(stage="intake", comeback_undecided=True), "comeback_undecided"),
        (Move.START_DIAGNOSIS, Facts(stage="queue"), "diagnosis_not_agreed"),
        (Move.START_WORK, Facts(stage="queue"), "quote_missing"),
        (Move.START_WORK, Facts(stage="queue", quote_waiting=True), "quote_waiting"),
        (Move.START_WORK, Facts(stage="queue", cleared="quote", holds=("parts",)), "held"),
        (Move.START_WORK, Facts(stage="queue", own=True, video_answers_missing=("cable",)), "video_answers_missing"),
        (Move.START_WORK, Facts(stage="queue", cleared="quote", ending="declined"), "work_ended"),
        (Move.FINISH_DIAGNOSIS, Facts(stage="bench", visit="diagnosis", measured=True), "revision_unknown"),
        (Move.FINISH_DIAGNOSIS, Facts(stage="bench", visit="diagnosis", revision_known=True), "board_not_photographed"),
        (Move.PARK, Facts(stage="bench", visit="work", opened=True), "fasteners_not_recorded"),
        (Move.FINISH_BENCH, Facts(stage="bench", visit="work", fasteners_missing=("2 rear",)), "fasteners_missing"),
        (Move.FINISH_BENCH, Facts(stage="bench", visit="work", steps_open=3), "steps_open"),
        (Move.FINISH_BENCH, Facts(stage="bench", visit="work", open_missing=("5 V rail",)), "readings_missing"),
        (Move.FINISH_BENCH, Facts(stage="bench", visit="work", open_undecided=("5 V rail",)), "readings_undecided"),
        (Move.FINISH_BENCH, Facts(stage="bench", visit="diagnosis"), "diagnosis_goes_to_quote"),
        (Move.PASS_TEST, Facts(stage="testing", visit="work", closed_failed=("soak",)), "readings_failed"),
        (Move.HAND_OVER, Facts(stage="pickup", due="$12.00"), "not_paid"),
        (Move.HAND_OVER, Facts(stage="pickup", by_mail=True), "packing_not_photographed"),
        (Move.HAND_OVER, Facts(stage="pickup", by_mail=True, packing_photographed=True), "parcel_missing"),
    ],
)  # fmt: skip
def test_a_gate_says_why_not(move: Move, facts: Facts, code: str) -> None:
    assert code in [reason.code for reason in decide(move, facts).reasons]


def test_it_names_the_failed_reading_before_the_missing_one() -> None:
    facts = Facts(stage="testing", visit="work", closed_failed=("soak",), closed_missing=("sound",))
    assert [reason.code for reason in decide(Move.PASS_TEST, facts).reasons] == ["readings_failed"]


def test_the_shops_own_unit_needs_nobodys_approval() -> None:
    assert decide(Move.START_WORK, Facts(stage="queue", own=True)).open
    assert decide(Move.TAKE_IN, Facts(stage="intake", own=True, consents_missing=("x",))).open


def test_a_unit_being_closed_up_needs_no_readings_but_its_fasteners() -> None:
    closing = Facts(stage="bench", visit="closing", ending="declined", opened=True, open_missing=("5 V rail",))
    assert decide(Move.FINISH_BENCH, closing).open
    assert not decide(Move.FINISH_BENCH, replace(closing, fasteners_missing=("1 from front",))).open


@given(
    facts=st.builds(
        Facts,
        stage=st.sampled_from(JOURNEY),
        visit=st.sampled_from(["", "diagnosis", "work", "closing"]),
        own=st.booleans(),
        opened=st.booleans(),
        ending=st.sampled_from(["", "refused", "declined"]),
        holds=st.sampled_from([(), ("parts",)]),
        cleared=st.sampled_from(["", "quote", "limit"]),
        due=st.sampled_from(["", "$1.00"]),
    )
)
def test_what_can_be_done_is_offered_first_and_every_refusal_has_a_reason(facts: Facts) -> None:
    found = offers(facts)
    assert [offer.open for offer in found] == sorted((offer.open for offer in found), reverse=True)
    assert all(offer.reasons for offer in found if not offer.open)
    assert all(decide(offer.move, facts) == offer for offer in found)


def test_outcomes_are_true_of_what_happened() -> None:
    assert outcomes(Facts(stage="pickup"))[0] == "collected"
    assert outcomes(Facts(stage="pickup", by_mail=True))[0] == "shipped"
    assert "collected" not in outcomes(Facts(stage="pickup", ending="declined"))
    assert outcomes(Facts(stage="pickup", own=True))[0] == "sold"
    assert outcomes(Facts(stage="pickup", ending="refused"))[0] == "refused_at_intake"
