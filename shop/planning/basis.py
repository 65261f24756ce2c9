"""What a promised date rests on, as it is kept with the promise, so that a later one can be explained."""

import json
from collections.abc import Mapping, Sequence
from datetime import date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from shop.planning.forecasting import Given
from shop.planning.gathering import Gathered
from shop.planning.promises.telling import Basis
from shop.planning.unit_work import Piece
from shop.planning.worktime.working_time import minutes_between


def basis_of(gathered: Gathered, order: Sequence[Given], key: str, until: date) -> Basis:
    """Return what a unit's date rests on in an order of work; working time is counted until the end of a local day."""
    own = [given for given in order if given.key == key]
    people = {given.technician for given in own if given.technician}
    last = max((at for at, given in enumerate(order) if given.key == key), default=0)
    ahead = [given for given in order[:last] if given.key != key and given.technician in people]
    work = gathered.works[key]
    end = datetime.combine(until + timedelta(days=1), time(0), ZoneInfo(gathered.shop.time_zone))
    working = [
        minutes_between(calendar, gathered.start, end)
        for pk, calendar in gathered.calendars.of.items()
        if str(pk) in people
    ]
    return Basis(
        ahead_min=sum(_left(given.piece) for given in ahead),
        own_min=sum(_left(given.piece) for given in own),
        parts_due=work.parts_due,
        working_min=sum(working),
        failed_tests=work.unit.test_round - 1,
    )


def _left(piece: Piece) -> float:
    """Return the expected minutes of somebody's work that are left of a piece."""
    return max(0.0, piece.estimate.mean_min - piece.worked_min) if piece.attended else 0.0


def written_basis(basis: Basis, until: date) -> dict[str, object]:
    """Return a basis as plain values, with the day up to which working time was counted."""
    return {
        "ahead_min": round(basis.ahead_min, 1),
        "own_min": round(basis.own_min, 1),
        "parts_due": basis.parts_due.isoformat() if basis.parts_due else None,
        "working_min": round(basis.working_min, 1),
        "failed_tests": basis.failed_tests,
        "until": until.isoformat(),
    }


def read_basis(text: str) -> tuple[Basis, date] | None:
    """Read the basis kept with a promise and its day, or None for a promise that was not computed from a plan."""
    kept: Mapping[str, str | float | int | None] | None = json.loads(text).get("rests_on")
    if kept is None:
        return None
    parts_due = kept["parts_due"]
    basis = Basis(
        ahead_min=float(kept["ahead_min"] or 0),
        own_min=float(kept["own_min"] or 0),
        parts_due=date.fromisoformat(str(parts_due)) if parts_due else None,
        working_min=float(kept["working_min"] or 0),
        failed_tests=int(kept["failed_tests"] or 0),
    )
    return basis, date.fromisoformat(str(kept["until"]))
