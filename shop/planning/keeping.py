"""Which promises were kept: those whose day is over, with whether the unit was ready by then. Three queries."""

import json
from datetime import date, datetime, timedelta
from uuid import UUID

from shop.core import clock
from shop.core.models import ShopProfile, TrailEntry
from shop.core.profile import profile
from shop.planning.models import Promise
from shop.planning.promises.calibration import Outcome
from shop.units.models import Stage, Unit

LOOK_BACK = timedelta(days=730)
# The lines of a unit's trail that bring it to another stage; others name places and holds, which may be called alike.
MOVES = ("written_up", "moved", "refused", "diagnosed", "parked", "test_failed", "recalled")


def outcomes() -> list[Outcome]:
    """Return the computed promises of the last two years whose day is over, in the order of their days.

    A unit that is still in work by then has missed its day and counts too: left out, every late one would flatter the
    record until it is done. Dates given by hand and units that were declined or refused do not count.
    """
    shop = profile()
    today = clock.day_of(clock.now(), shop.time_zone)
    over = Promise.objects.filter(on__lt=today, created_at__gte=clock.now() - LOOK_BACK)
    rows = list(
        over.filter(unit__ending=Unit.Ending.OPEN).order_by("on", "pk").values_list("unit_id", "on", "percent", "basis")
    )
    ready = _ready_days({unit_id for unit_id, *_rest in rows}, shop)
    return [
        Outcome(on, percent, kept=unit_id in ready and ready[unit_id] <= on)
        for unit_id, on, percent, basis in rows
        if "given_by" not in json.loads(basis)
    ]


def _ready_days(unit_ids: set[UUID], shop: ShopProfile) -> dict[UUID, date]:
    """Return the local day on which each unit was ready for pickup, the last time when it went back once."""
    reached = TrailEntry.objects.filter(
        subject_kind=Unit.trail_kind, subject_id__in=unit_ids, after=Stage.PICKUP, what__in=MOVES
    )
    moments: dict[UUID, datetime] = dict(reached.order_by("happened_at").values_list("subject_id", "happened_at"))
    gone_back = set(
        Unit.objects.filter(pk__in=moments, outcome="").exclude(stage=Stage.PICKUP).values_list("pk", flat=True)
    )
    return {pk: clock.day_of(moment, shop.time_zone) for pk, moment in moments.items() if pk not in gone_back}
