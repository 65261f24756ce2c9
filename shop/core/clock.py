"""The one clock. Times are stored in UTC; business dates are the shop's, a customer's page uses the customer's zone."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from datetime import date, datetime, timedelta
from zoneinfo import ZoneInfo

from django.utils import timezone

_AGO: ContextVar[timedelta] = ContextVar("ago", default=timedelta())


def now() -> datetime:
    """Return the present time, aware, in UTC."""
    return timezone.now() - _AGO.get()


@contextmanager
def ago(before: timedelta) -> Iterator[None]:
    """Let the block happen so long ago, so that the demo's invented shop has a past. Nothing else uses it."""
    token = _AGO.set(before)
    try:
        yield
    finally:
        _AGO.reset(token)


def day_of(moment: datetime, zone: str) -> date:
    """Return the calendar date of an aware moment in the named zone. Raises ZoneInfoNotFoundError."""
    return moment.astimezone(ZoneInfo(zone)).date()
