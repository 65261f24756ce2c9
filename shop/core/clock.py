"""The one clock. Times are stored in UTC; business dates are the shop's, a customer's page uses the customer's zone."""

from datetime import date, datetime
from zoneinfo import ZoneInfo

from django.utils import timezone


def now() -> datetime:
    """Return the present time, aware, in UTC."""
    return timezone.now()


def day_of(moment: datetime, zone: str) -> date:
    """Return the calendar date of an aware moment in the named zone. Raises ZoneInfoNotFoundError."""
    return moment.astimezone(ZoneInfo(zone)).date()
