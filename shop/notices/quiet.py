"""When nobody is written to: from one time of day until another, on the wall clock of the place. Pure: no tables."""

from datetime import UTC, datetime, time, timedelta
from zoneinfo import ZoneInfo

_MINUTE = timedelta(minutes=1)


def is_quiet(moment: datetime, zone: str, begins: time | None, ends: time | None) -> bool:
    """Tell whether the wall clock of zone shows a time from begins until before ends; over midnight when begins > ends.

    moment is aware. Without one of the two, or when both are the same, no time is quiet. Raises
    ZoneInfoNotFoundError.
    """
    if begins is None or ends is None or begins == ends:
        return False
    shown = moment.astimezone(ZoneInfo(zone)).time()
    if begins < ends:
        return begins <= shown < ends
    return shown >= begins or shown < ends


def quiet_until(moment: datetime, zone: str, begins: time | None, ends: time | None) -> datetime | None:
    """Return when the quiet that moment lies in is over, in UTC at a full minute, or None when it is not quiet.

    The clock is followed minute by minute, at most a day and a half of them: so a clock that is put forward ends the
    quiet at once when it jumps over its end, and one that is put back is quiet until the wall clock says so.
    """
    if not is_quiet(moment, zone, begins, ends):
        return None
    later = moment.astimezone(UTC).replace(second=0, microsecond=0)
    while is_quiet(later, zone, begins, ends):
        later += _MINUTE
    return later
