"""The journey as a table: from which stage a move leads where, and what must be true first. Pure.

`decide` and `offers` are all that the rest of the floor uses. To add a gate, write a rule in `rules.py` and name it in
`MOVES`; to add a fact, add a field to `Facts` and let `gates.py` fill it.
"""

from dataclasses import dataclass
from enum import StrEnum

from shop.core.reasons import Reason
from shop.floor import rules
from shop.floor.rules import Facts, Gate

LEFT = "left"


class Move(StrEnum):
    """Everything that can happen to a unit's place in its journey."""

    TAKE_IN = "take_in"
    REFUSE = "refuse"
    START_DIAGNOSIS = "start_diagnosis"
    START_WORK = "start_work"
    START_CLOSING = "start_closing"
    FINISH_DIAGNOSIS = "finish_diagnosis"
    PARK = "park"
    FINISH_BENCH = "finish_bench"
    PASS_TEST = "pass_test"  # noqa: S105
    FAIL_TEST = "fail_test"
    RECALL = "recall"
    RETURN_UNOPENED = "return_unopened"
    HAND_OVER = "hand_over"


@dataclass(frozen=True, slots=True)
class Way:
    """One row of the table."""

    start: str
    end: str
    gates: tuple[Gate, ...] = ()
    needs_words: bool = False
    needs_bench: bool = False


MOVES: dict[Move, Way] = {
    Move.TAKE_IN: Way(
        "intake", "queue", (rules.consents_recorded, rules.is_placed, rules.insects_sealed, rules.comeback_decided)
    ),
    Move.REFUSE: Way("intake", "pickup", needs_words=True),
    Move.START_DIAGNOSIS: Way(
        "queue",
        "bench",
        (rules.still_open, rules.diagnosis_agreed, rules.insects_sealed, rules.not_held),
        needs_bench=True,
    ),
    Move.START_WORK: Way(
        "queue",
        "bench",
        (
            rules.still_open,
            rules.work_cleared,
            rules.deposit_paid,
            rules.insects_sealed,
            rules.not_held,
            rules.video_answered,
        ),
        needs_bench=True,
    ),
    Move.START_CLOSING: Way("queue", "bench", (rules.was_ended, rules.is_opened), needs_bench=True),
    Move.RETURN_UNOPENED: Way("queue", "pickup", (rules.was_ended, rules.is_unopened)),
    Move.FINISH_DIAGNOSIS: Way(
        "bench",
        "queue",
        (rules.on_diagnosis, rules.revision_known, rules.board_photographed, rules.measured, rules.fasteners_in_a_bag),
    ),
    Move.PARK: Way("bench", "queue", (rules.fasteners_in_a_bag,), needs_words=True),
    Move.FINISH_BENCH: Way(
        "bench", "testing", (rules.not_on_diagnosis, rules.open_readings_pass, rules.fasteners_back, rules.steps_done)
    ),
    Move.FAIL_TEST: Way("testing", "bench", needs_words=True, needs_bench=True),
    Move.PASS_TEST: Way("testing", "pickup", (rules.closed_readings_pass, rules.agreed_done)),
    Move.RECALL: Way("pickup", "testing", (rules.was_tested,), needs_words=True),
    Move.HAND_OVER: Way("pickup", LEFT, (rules.paid, rules.parcel_recorded)),
}


@dataclass(frozen=True, slots=True)
class Offer:
    """A move that the unit's stage knows: where it leads, and why not now (empty: it may be done)."""

    move: Move
    to: str
    reasons: tuple[Reason, ...]

    @property
    def open(self) -> bool:
        """Tell whether the move may be made now."""
        return not self.reasons


def decide(move: Move, facts: Facts) -> Offer:
    """Return where a move leads and every reason against it; a move of another stage has the one reason for that."""
    way = MOVES[move]
    if facts.stage != way.start:
        return Offer(move, way.end, (Reason("wrong_stage", {"stage": facts.stage, "wanted": way.start}),))
    return Offer(move, way.end, tuple(reason for gate in way.gates if (reason := gate(facts))))


def offers(facts: Facts) -> list[Offer]:
    """Return every move that makes sense for these facts, those that may be done now first.

    What never makes sense for them (work after a decline, a diagnosis as work) is left out rather than refused.
    """
    known = [decide(move, facts) for move, way in MOVES.items() if way.start == facts.stage]
    sensible = [offer for offer in known if not _pointless(offer)]
    return sorted(sensible, key=lambda offer: not offer.open)


_POINTLESS = {"work_ended", "not_declined", "not_opened", "must_be_closed", "not_a_diagnosis", "nothing_to_test"}
_POINTLESS |= {"diagnosis_goes_to_quote"}


def _pointless(offer: Offer) -> bool:
    return any(reason.code in _POINTLESS for reason in offer.reasons)


def outcomes(facts: Facts) -> tuple[str, ...]:
    """Return the outcomes that are true of a unit in pickup, the usual one first."""
    if facts.ending == "refused":
        return ("refused_at_intake", "recycled")
    if facts.ending == "declined":
        return ("returned_unrepaired", "no_fault_found", "recycled", "kept_for_parts", "unclaimed")
    if facts.own:
        return ("sold", "kept_for_parts", "recycled")
    usual = ("shipped", "collected") if facts.by_mail else ("collected", "shipped")
    return (*usual, "partly_repaired", "no_fault_found", "unclaimed")
