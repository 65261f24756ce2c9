"""Moments and days as the planner's slots: whole quarters of an hour in UTC, from the one that a plan starts with."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, date, datetime, time, timedelta
from zoneinfo import ZoneInfo

from shop.core.models import ShopProfile
from shop.planning.assigning.plan_facts import SLOT_MINUTES
from shop.planning.worktime.working_time import Span, to_slots

SLOT = timedelta(minutes=SLOT_MINUTES)


def slot_start(moment: datetime) -> datetime:
    """Return when the slot that a moment lies in began: whole quarters of an hour in UTC."""
    whole = moment.astimezone(UTC).replace(second=0, microsecond=0)
    return whole - timedelta(minutes=whole.minute % SLOT_MINUTES)


@dataclass(frozen=True, slots=True)
class Slots:
    """How days and spans read in slots from a start."""

    start: datetime
    shop: ShopProfile
    horizon: int

    def of(self, spans: Iterable[Span]) -> tuple[tuple[int, int], ...]:
        """Return the whole slots within spans, up to the horizon: from which until before which."""
        return tuple(to_slots(spans, self.start, SLOT_MINUTES, self.horizon))

    def begin_of(self, day: date) -> int:
        """Return the slot at which a local day begins; below 0 for a day that is over."""
        midnight = datetime.combine(day, time(0), ZoneInfo(self.shop.time_zone))
        return (midnight.astimezone(UTC) - self.start) // SLOT
