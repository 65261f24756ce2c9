"""Until when the shop stands by its work."""

from datetime import date, timedelta

from shop.core import clock
from shop.core.profile import profile
from shop.units.models import Outcome, Unit

WITH_WARRANTY = (Outcome.COLLECTED, Outcome.SHIPPED, Outcome.SOLD, Outcome.PARTLY_REPAIRED)


def warranty_until(unit: Unit) -> date | None:
    """Return the last day of a unit's warranty in the shop's zone, or None: still here, or left without work."""
    if unit.outcome not in WITH_WARRANTY or unit.left_at is None:
        return None
    shop = profile()
    return clock.day_of(unit.left_at, shop.time_zone) + timedelta(days=shop.warranty_days)
