"""Which promises were kept: those whose day is over, with whether the unit was ready by then. Three queries."""

import json
from collections import defaultdict
from datetime import date, datetime, timedelta
from uuid import UUID

from django.db.models import Q

from shop.core import clock
from shop.core.models import ShopProfile, TrailEntry
from shop.core.profile import profile
from shop.planning.models import Promise
from shop.planning.promises.calibration import Outcome
from shop.units.models import Stage, Unit

LOOK_BACK = timedelta(days=730)
# The lines of a unit's trail that bring it to another stage; others name places and holds, which may be called alike.
MOVES = ("written_up", "moved", "refused", "diagnosed", "parked", "test_failed", "recalled")
WITHDRAWN = "promise_withdrawn"


def outcomes() -> list[Outcome]:
    """Return the computed promises of the last two years whose day is over, in the order of their days.

    A unit that is still in work by then has missed its day and counts too: left out, every late one would flatter the
    record until it is done. Dates given by hand, those taken back before their day was over, and units that were
    declined or refused do not count.
    """
    shop = profile()
    today = clock.day_of(clock.now(), shop.time_zone)
    over = Promise.objects.filter(on__lt=today, created_at__gte=clock.now() - LOOK_BACK)
    told = [
        each
        for each in over.filter(unit__ending=Unit.Ending.OPEN).order_by("on", "pk")
        if "given_by" not in json.loads(each.basis)
    ]
    ready, taken_back = _from_trails({each.unit_id for each in told}, shop)
    return [
        Outcome(each.on, each.percent, kept=each.unit_id in ready and ready[each.unit_id] <= each.on)
        for each in told
        if not any(_ends(moment, each, shop) for moment in taken_back[each.unit_id])
    ]


def _ends(moment: datetime, promise: Promise, shop: ShopProfile) -> bool:
    """Tell whether a date was promised before a moment and its day was not over then."""
    return promise.created_at <= moment and clock.day_of(moment, shop.time_zone) <= promise.on


def _from_trails(unit_ids: set[UUID], shop: ShopProfile) -> tuple[dict[UUID, date], defaultdict[UUID, list[datetime]]]:
    """Return by unit the local day on which it was ready for pickup, and the moments at which its date was taken back.

    Ready is the last time where it went back once.
    """
    moments: dict[UUID, datetime] = {}
    taken_back: defaultdict[UUID, list[datetime]] = defaultdict(list)
    lines = TrailEntry.objects.filter(
        Q(after=Stage.PICKUP, what__in=MOVES) | Q(what=WITHDRAWN), subject_kind=Unit.trail_kind, subject_id__in=unit_ids
    )
    for unit_id, what, moment in lines.order_by("happened_at").values_list("subject_id", "what", "happened_at"):
        if what == WITHDRAWN:
            taken_back[unit_id].append(moment)
        else:
            moments[unit_id] = moment
    gone_back = set(
        Unit.objects.filter(pk__in=moments, outcome="").exclude(stage=Stage.PICKUP).values_list("pk", flat=True)
    )
    ready = {pk: clock.day_of(moment, shop.time_zone) for pk, moment in moments.items() if pk not in gone_back}
    return ready, taken_back
