"""What must be true before a move: the facts, and one small rule for each. Pure.

A gate looks at the facts and returns the reason why not, or None. `stages.py` says which move asks which gates.
"""

from collections.abc import Callable
from dataclasses import dataclass

from shop.core.reasons import Reason


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """What the gates look at. Tuples of str name what is missing, in words that a person would use."""

    stage: str
    visit: str = ""
    own: bool = False
    by_mail: bool = False
    opened: bool = False
    diagnosed: bool = False
    ending: str = ""
    placed: bool = True
    insects_loose: bool = False
    consents_missing: tuple[str, ...] = ()
    holds: tuple[str, ...] = ()
    diagnosis_agreed: bool = False
    comeback_undecided: bool = False
    cleared: str = ""
    quote_waiting: bool = False
    deposit_due: str = ""
    video_answers_missing: tuple[str, ...] = ()
    revision_known: bool = False
    board_photographed: bool = False
    measured: bool = False
    steps_open: int = 0
    fasteners_recorded: bool = False
    fasteners_missing: tuple[str, ...] = ()
    open_missing: tuple[str, ...] = ()
    open_failed: tuple[str, ...] = ()
    open_undecided: tuple[str, ...] = ()
    agreed_not_done: tuple[str, ...] = ()
    closed_missing: tuple[str, ...] = ()
    closed_failed: tuple[str, ...] = ()
    closed_undecided: tuple[str, ...] = ()
    due: str = ""
    parcel_sent: bool = False
    packing_photographed: bool = False


Gate = Callable[[Facts], Reason | None]


def _when(said: object, code: str, **facts: object) -> Reason | None:
    return Reason(code, facts) if said else None


def _named(code: str, names: tuple[str, ...]) -> Reason | None:
    return Reason(code, {"count": len(names), "names": ", ".join(names)}) if names else None


def is_placed(f: Facts) -> Reason | None:
    """Everything that is taken in lies somewhere that can be scanned."""
    return _when(not f.placed, "not_placed")


def insects_sealed(f: Facts) -> Reason | None:
    """Insects spread: such a unit stays in a sealed place until they are gone."""
    return _when(f.insects_loose, "insects_loose")


def consents_recorded(f: Facts) -> Reason | None:
    """A customer's unit needs an answer to each question of the terms."""
    return None if f.own else _named("consents_missing", f.consents_missing)


def comeback_decided(f: Facts) -> Reason | None:
    """Whether a comeback is free is decided before anybody works on it."""
    return _when(f.comeback_undecided, "comeback_undecided")


def not_held(f: Facts) -> Reason | None:
    """A held unit waits."""
    return _named("held", f.holds)


def still_open(f: Facts) -> Reason | None:
    """Declined or refused work is not done."""
    return _when(f.ending, "work_ended")


def was_ended(f: Facts) -> Reason | None:
    """A unit goes back without work only after somebody said so."""
    return _when(not f.ending, "not_declined")


def diagnosis_agreed(f: Facts) -> Reason | None:
    """Opening somebody's unit needs what was agreed at intake."""
    return _when(not (f.own or f.diagnosis_agreed or f.cleared), "diagnosis_not_agreed")


def work_cleared(f: Facts) -> Reason | None:
    """Work needs an approved quote, the spending limit, or the shop's own unit."""
    if f.own or f.cleared:
        return None
    return Reason("quote_waiting") if f.quote_waiting else Reason("quote_missing")


def deposit_paid(f: Facts) -> Reason | None:
    """Where a deposit was asked for, work begins when it has arrived or the shop has waived it."""
    return _when(f.deposit_due, "deposit_open", due=f.deposit_due)


def video_answered(f: Facts) -> Reason | None:
    """A video modification is built for the customer's cable, display and region."""
    return _named("video_answers_missing", f.video_answers_missing)


def is_opened(f: Facts) -> Reason | None:
    """Only what is open needs closing."""
    return _when(not f.opened, "not_opened")


def is_unopened(f: Facts) -> Reason | None:
    """What is open must be closed at a bench first."""
    return _when(f.opened, "must_be_closed")


def on_diagnosis(f: Facts) -> Reason | None:
    """Only a diagnosis ends as one."""
    return _when(f.visit != "diagnosis", "not_a_diagnosis")


def not_on_diagnosis(f: Facts) -> Reason | None:
    """A diagnosis ends with a quote, not with a test."""
    return _when(f.visit == "diagnosis", "diagnosis_goes_to_quote")


def revision_known(f: Facts) -> Reason | None:
    """The board revision decides everything after it."""
    return _when(not f.revision_known, "revision_unknown")


def board_photographed(f: Facts) -> Reason | None:
    """A picture of the board as found settles disputes."""
    return _when(not f.board_photographed, "board_not_photographed")


def measured(f: Facts) -> Reason | None:
    """A quote stands on at least one measurement."""
    return _when(not f.measured, "not_measured")


def fasteners_in_a_bag(f: Facts) -> Reason | None:
    """A unit that leaves the bench open has its fasteners counted into their bag."""
    return _when(f.opened and not f.fasteners_recorded, "fasteners_not_recorded")


def steps_done(f: Facts) -> Reason | None:
    """The job sheet is ticked to its end."""
    return _when(f.steps_open, "steps_open", count=f.steps_open)


def fasteners_back(f: Facts) -> Reason | None:
    """A left-over screw is missing somewhere."""
    return _named("fasteners_missing", f.fasteners_missing)


def _passed(f: Facts, missing: tuple[str, ...], failed: tuple[str, ...], undecided: tuple[str, ...]) -> Reason | None:
    if f.visit == "closing":
        return None  # nothing was repaired: the unit goes back as it came, counted and closed
    return (
        _named("readings_failed", failed)
        or _named("readings_undecided", undecided)
        or _named("readings_missing", missing)
    )


def open_readings_pass(f: Facts) -> Reason | None:
    """First power and rails are measured while the unit can be probed."""
    return _passed(f, f.open_missing, f.open_failed, f.open_undecided)


def closed_readings_pass(f: Facts) -> Reason | None:
    """Function and soak are tried on the closed unit."""
    return _passed(f, f.closed_missing, f.closed_failed, f.closed_undecided)


def agreed_done(f: Facts) -> Reason | None:
    """What was agreed is billed, so it was done."""
    return _named("agreed_not_done", f.agreed_not_done)


def was_tested(f: Facts) -> Reason | None:
    """A unit that was never opened has nothing to test again."""
    return _when(f.ending and not f.diagnosed, "nothing_to_test")


def paid(f: Facts) -> Reason | None:
    """Nothing leaves unpaid."""
    return _when(f.due, "not_paid", due=f.due)


def parcel_recorded(f: Facts) -> Reason | None:
    """What goes by mail is packed in front of the camera, with carrier and number."""
    if not f.by_mail:
        return None
    return _when(not f.packing_photographed, "packing_not_photographed") or _when(not f.parcel_sent, "parcel_missing")
