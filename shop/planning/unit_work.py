"""What is left to do on each unit that is here, as pieces of work, and what it waits for. A fixed number of queries.

Estimates follow `queries`: a service's minutes more or less by its spread, or from three quarters to twice where it
has none; a diagnosis, opening and closing, the tests and a mend are assumptions for a new shop.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date
from uuid import UUID

from shop.boards.models import Service
from shop.core.reasons import Reason
from shop.planning import queries
from shop.planning.promises.estimates import Estimate
from shop.planning.unit_rows import Rows, read_rows
from shop.units.models import Hold, Stage, Unit, Visit

# What everybody who works at a bench can do: opening, looking, cleaning, closing, testing.
GENERAL = "bench"
OPENING_MIN, TESTING_MIN = 15, 15
DIAGNOSIS, BENCH, CLOSING, TESTING, ALONE = "diagnosis", "bench", "closing", "testing", "alone"


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece of work on a unit: whole estimate in minutes, what of it is done, and what it needs.

    kind is one of the five above; service names whose record says how long it really takes; like says what it is alike
    to, so that like work can follow like.
    """

    key: str
    kind: str
    words: str
    estimate: Estimate
    service: str
    skill: str = GENERAL
    equipment: frozenset[str] = frozenset()
    worked_min: float = 0
    like: str = ""

    @property
    def attended(self) -> bool:
        """Tell whether somebody has to be there."""
        return self.kind != ALONE

    @property
    def left_min(self) -> int:
        """Return the likely minutes that are left, the least of them when it took longer than expected."""
        least = min(queries.LEAST_LEFT_MIN, self.estimate.likely_min)
        return max(1, round(max(least, self.estimate.likely_min - self.worked_min)))


@dataclass(frozen=True, slots=True)
class UnitWork:
    """A unit's pieces in order; when its parts are due; who has it at the bench now and where; or why it waits.

    A unit with a reason has no place in a plan. worked_by and at_bench are set for work that has begun.
    """

    unit: Unit
    pieces: tuple[Piece, ...] = ()
    parts_due: date | None = None
    worked_by: UUID | None = None
    at_bench: UUID | None = None
    pinned: UUID | None = None
    first: bool = False
    reason: Reason | None = None

    @property
    def comeback(self) -> bool:
        """Tell whether it is here again under warranty."""
        return self.unit.earlier_unit_id is not None and bool(self.unit.free_of_charge)


def work_left() -> list[UnitWork]:
    """Return what is left to do on every unit that is here and not yet ready, in the order of their numbers."""
    rows = read_rows()
    return [_work_of(unit, rows) for unit in rows.units]


def pieces_of_services(services: Sequence[Service]) -> tuple[Piece, ...]:
    """Return the pieces of a unit that does not exist yet: opening, these services, the tests."""
    return (*_opened(bench_pieces(services, {}, "")), _testing())


def _work_of(unit: Unit, rows: Rows) -> UnitWork:
    work = UnitWork(
        unit,
        parts_due=max((hold.due_on for hold in rows.holds[unit.pk] if hold.due_on), default=None),
        pinned=rows.pins.get(unit.pk),
        first=unit.pk in rows.first,
    )
    reason = _waits(unit, rows)
    if reason:
        return replace(work, reason=reason)
    pieces = _pieces(unit, rows)
    if not pieces:
        return replace(work, reason=Reason("plan_nothing_to_do", {"number": str(unit)}))
    if unit.stage == Stage.BENCH:
        bench = unit.place_id if unit.place and unit.place.kind == "bench" else None
        return replace(work, pieces=pieces, worked_by=unit.technician_id, at_bench=bench)
    return replace(work, pieces=pieces)


def _waits(unit: Unit, rows: Rows) -> Reason | None:
    """Return what keeps a unit out of any plan, or None. Work that has begun goes on whatever is asked meanwhile."""
    facts = {"number": str(unit)}
    if unit.stage == Stage.INTAKE:
        return Reason("plan_waits_intake", facts)
    if unit.stage != Stage.QUEUE:
        return None
    held = next(filter(None, map(_held, rows.holds[unit.pk])), None)
    if held:
        return held
    if unit.ending or _cleared(unit, rows) or (unit.agreed != Unit.Agreed.NOTHING and not unit.diagnosed):
        return None
    return Reason("plan_waits_quote", facts)


def _held(hold: Hold) -> Reason | None:
    """Return what a hold keeps a unit from; one that says until when only moves its beginning."""
    facts = {"number": str(hold.unit), "words": hold.words or str(hold.get_kind_display())}
    if hold.kind == Hold.Kind.APPROVAL:
        return Reason("plan_waits_approval", facts)
    if hold.kind == Hold.Kind.DEPOSIT:
        return Reason("plan_waits_deposit", facts)
    if hold.kind == Hold.Kind.CUSTOMER:
        return Reason("plan_waits_customer", facts)
    if hold.due_on:
        return None
    return Reason("plan_waits_parts" if hold.kind == Hold.Kind.PARTS else "plan_waits_other", facts)


def _cleared(unit: Unit, rows: Rows) -> bool:
    """Tell whether work may be done: approved, within the limit, free of charge, or the shop's own."""
    return unit.own or bool(unit.free_of_charge) or unit.pk in rows.approved


def _pieces(unit: Unit, rows: Rows) -> tuple[Piece, ...]:
    worked, before_approval = rows.worked[unit.pk], rows.worked_before_approval[unit.pk]
    if unit.ending:
        if not unit.opened and unit.stage == Stage.QUEUE:
            return ()
        closing = Piece("closing", CLOSING, "", _spread(queries.CLOSING_MIN), CLOSING)
        return (_testing(),) if unit.stage == Stage.TESTING else (closing, _testing())
    if unit.visit == Visit.DIAGNOSIS or (unit.stage == Stage.QUEUE and not _cleared(unit, rows)):
        return (Piece("diagnosis", DIAGNOSIS, "", _spread(queries.DIAGNOSIS_MIN), DIAGNOSIS, worked_min=worked),)
    after = _after(unit, rows)
    if unit.stage == Stage.TESTING:
        return after
    bench = bench_pieces(rows.services[unit.pk], rows.alone_of_service, _board(unit))
    bench = _with_repairs(_opened(bench), rows.repair_minutes[unit.pk], unit)
    return (*_worked_off(bench, worked - before_approval), *after)


def _board(unit: Unit) -> str:
    return str(unit.revision_id or unit.model_id)


def _after(unit: Unit, rows: Rows) -> tuple[Piece, ...]:
    """Return the tests, and the soak where a test point of the unit asks for one that it has not had."""
    minutes = max((each.minutes for each in rows.soaks if each.asks(unit, rows.services[unit.pk])), default=0)
    if not minutes or unit.pk in rows.soaked:
        return (_testing(),)
    soak = Piece("soak", ALONE, "", Estimate(minutes, minutes, minutes), "soak")
    return (_testing(), soak)


def _testing() -> Piece:
    return Piece("testing", TESTING, "", _spread(TESTING_MIN), TESTING)


def bench_pieces(services: Iterable[Service], alone: dict[UUID, int], board: str) -> list[Piece]:
    """Return the bench work of services: those that need the same skill and equipment are one piece, then drying."""
    groups: dict[tuple[str, frozenset[str]], list[Service]] = {}
    for service in sorted(services, key=lambda each: (bool(alone.get(each.pk)), each.code)):
        needs = (service.skill.strip() or GENERAL, frozenset(map(folded, service.equipment)))
        groups.setdefault(needs, []).append(service)
    pieces: list[Piece] = []
    for (skill, equipment), group in groups.items():
        main = max(group, key=lambda each: each.minutes)
        words = ", ".join(each.name for each in group)[:160]
        like = f"{main.code} {board}"
        pieces.append(
            Piece(f"bench {main.code}", BENCH, words, _sum(group), main.code, folded(skill), equipment, like=like)
        )
        dries = max((alone.get(each.pk, 0) for each in group), default=0)
        if dries:
            drying = Estimate(dries, dries, dries)
            pieces.append(Piece(f"dries {main.code}", ALONE, words, drying, f"dries {main.code}"))
    return pieces


def folded(word: str) -> str:
    """Return a skill or a piece of equipment as it is compared: spaces and capitals do not count."""
    return " ".join(word.casefold().split())


def _sum(services: Iterable[Service]) -> Estimate:
    low = likely = high = 0.0
    for service in services:
        spread = service.minutes_spread
        low += service.minutes - spread if spread else queries.LOW_FACTOR * service.minutes
        high += service.minutes + spread if spread else queries.HIGH_FACTOR * service.minutes
        likely += service.minutes
    return Estimate(low, likely, high)


def _spread(minutes: float) -> Estimate:
    return Estimate(queries.LOW_FACTOR * minutes, minutes, queries.HIGH_FACTOR * minutes)


def _longer(piece: Piece, minutes: float) -> Piece:
    more = _spread(minutes)
    was = piece.estimate
    return replace(
        piece,
        estimate=Estimate(was.low_min + more.low_min, was.likely_min + more.likely_min, was.high_min + more.high_min),
    )


def _opened(pieces: list[Piece]) -> list[Piece]:
    """Add the opening and closing of the case to the first piece; a unit without services is opened all the same."""
    if not pieces:
        return [Piece("bench other", BENCH, "", _spread(queries.DIAGNOSIS_MIN), "other")]
    return [_longer(pieces[0], OPENING_MIN), *pieces[1:]]


def _with_repairs(pieces: list[Piece], repair_minutes: int, unit: Unit) -> list[Piece]:
    """Add what findings take to mend, and a mend for each failed test, to the first piece."""
    more = repair_minutes + queries.MEND_MIN * (unit.test_round - 1)
    return [_longer(pieces[0], more), *pieces[1:]] if more else pieces


def _worked_off(pieces: list[Piece], worked: float) -> list[Piece]:
    """Take off what was worked from the pieces in order; a piece that is done is left out, but never the last one."""
    attended = [piece for piece in pieces if piece.attended]
    left = []
    for piece in pieces:
        if piece.attended and piece is not attended[-1] and worked >= piece.estimate.likely_min:
            worked -= piece.estimate.likely_min
            continue
        left.append(replace(piece, worked_min=max(0.0, worked)) if piece.attended else piece)
        worked = 0 if piece.attended else worked
    return left
