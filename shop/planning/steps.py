"""What a flow needs of planning inside its transaction. The unit is handed in locked."""

import json
from dataclasses import dataclass
from datetime import date

from django.db.models import Max

from shop.core import trail
from shop.core.actor import Actor
from shop.core.locks import save
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.planning import queries
from shop.planning.keeping import WITHDRAWN
from shop.planning.models import Plan, Promise
from shop.planning.outlook import figures_of, outlook_of
from shop.planning.promises.forecast import MOST_PERCENT, Situation, chance, forecast
from shop.units.models import Unit

# How sure a promise is where the profile says nothing else.
PERCENT = 80
WORKING_WEEKDAYS = frozenset({0, 1, 2, 3, 4})


@dataclass(frozen=True, slots=True)
class Reckoned:
    """A date that is to be promised, its confidence in percent, the figures behind it, and what was known then."""

    on: date
    percent: int
    figures: dict[str, object]
    known: tuple[int, int]


def reckon(unit: Unit, today: date, percent: int | None = None) -> Reckoned:
    """Compute the date that will be kept with the given percent (50 to 99; else the profile's). Locks nothing.

    It may take a second: not inside a transaction, where others would wait for it.

    today is the shop's calendar day. The date comes from the plan that is stored, with this unit after what the plan
    has, and from the record of how long work really takes; where there is no plan yet, from the estimates ahead in the
    queue. The number of queries does not depend on how much is ahead. Raises Refused with `promise_beyond_horizon`.
    """
    wanted, known = profile().promise_percent if percent is None else percent, _known()
    on, figures = _by_plan(unit, wanted) or _by_estimates(unit, today, wanted)
    return Reckoned(on, wanted, figures, known)


def _known() -> tuple[int, int]:
    """Return which plan is stored and how many dates were promised: promises are added and never taken away."""
    plan = Plan.objects.filter(stored_at__isnull=False).aggregate(newest=Max("generation"))["newest"]
    return plan or 0, Promise.objects.count()


def promise_reckoned(*, actor: Actor, unit: Unit, day: Reckoned) -> Promise | None:
    """Promise a reckoned date. One that comes out as it stands is left alone, and its promise returned.

    None when there is another plan or promise since it was reckoned: the time that it counts on may be somebody
    else's, so reckon anew. Dates are promised one after the other; the shop's row is the lock.
    """
    ShopProfile.objects.select_for_update().first()
    if day.known != _known():
        return None
    before = queries.latest(unit)
    if before and (before.on, before.percent) == (day.on, day.percent) == (unit.promised_on, unit.promise_percent):
        return before
    return write_promise(unit, actor, on=day.on, percent=day.percent, figures=day.figures)


def _by_plan(unit: Unit, percent: int) -> tuple[date, dict[str, object]] | None:
    """Return the date by the stored plan and the figures behind it, or None where no plan can say."""
    seen = outlook_of(unit, percent)
    return (seen.sure.on, figures_of(seen, seen.sure.on)) if seen else None


def _by_estimates(unit: Unit, today: date, percent: int) -> tuple[date, dict[str, object]]:
    seen = situation(unit, today)
    expected = forecast(seen, percent)
    figures = _figures(seen) | {
        "mean_min": round(expected.mean_min, 1),
        "sd_min": round(expected.sd_min, 1),
        "minutes_until": expected.minutes_until,
        "chance_percent": round(expected.chance_percent, 1),
    }
    return expected.on, figures


def promise_given(*, actor: Actor, unit: Unit, today: date, on: date, words: str = "") -> Promise:
    """Promise a date that a person gave, with the confidence that the figures give it (1 to 99 percent)."""
    planned = outlook_of(unit, PERCENT)
    if planned:
        share, figures = planned.chance_of(on), figures_of(planned, on)
    else:
        seen = situation(unit, today)
        share, figures = chance(seen, on), _figures(seen)
    percent = min(MOST_PERCENT, max(1, int(100 * share)))
    return write_promise(
        unit, actor, on=on, percent=percent, figures=figures | {"given_by": actor.role.value}, words=words
    )


def situation(unit: Unit, today: date) -> Situation:
    """Gather what the unit's date is computed from without a plan."""
    ahead = queries.ahead_of(unit)
    left = queries.estimates([*ahead, unit])
    return Situation(
        today=today,
        ahead=tuple(left[other.pk] for other in ahead),
        own=left[unit.pk],
        minutes_a_day=profile().minutes_per_day,
        weekdays=WORKING_WEEKDAYS,
        earliest_start=queries.parts_due(unit),
    )


def _figures(seen: Situation) -> dict[str, object]:
    return {
        "today": seen.today.isoformat(),
        "units_ahead": len(seen.ahead),
        "minutes_ahead": round(sum(job.mean_min for job in seen.ahead), 1),
        "own_min": [round(minutes, 1) for minutes in (seen.own.low_min, seen.own.likely_min, seen.own.high_min)],
        "minutes_a_day": seen.minutes_a_day,
        "weekdays": sorted(seen.weekdays),
        "earliest_start": seen.earliest_start.isoformat() if seen.earliest_start else None,
    }


def withdraw_promise(*, actor: Actor, unit: Unit) -> None:
    """Take back the date of a locked unit, if it has one: it waits for its customer, and is not planned until then."""
    if unit.promised_on is None:
        return
    before = unit.promised_on.isoformat()
    unit.promised_on = unit.promise_percent = None
    save(unit, "promised_on", "promise_percent")
    trail.write(unit, actor, WITHDRAWN, before=before)


def write_promise(
    unit: Unit, actor: Actor, *, on: date, percent: int, figures: dict[str, object], words: str = ""
) -> Promise:
    """Write down that a date was promised for a locked unit, with the figures behind it."""
    made = Promise.objects.create(
        unit=unit, on=on, percent=percent, basis=json.dumps(figures, sort_keys=True, separators=(",", ":"))
    )
    before = unit.promised_on.isoformat() if unit.promised_on else ""
    unit.promised_on, unit.promise_percent = on, percent
    save(unit, "promised_on", "promise_percent")
    facts = {"promise": made.pk, "percent": percent}
    trail.write(unit, actor, "promised", before=before, after=on.isoformat(), facts=facts, note=words)
    return made
