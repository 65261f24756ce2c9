"""How the plan's pages word times, days and pieces of work."""

from datetime import date, datetime, time
from typing import Any
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_skeleton, format_time
from django import template
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.core import clock
from shop.core.profile import profile
from shop.core.reasons import Reason, sentence
from shop.floor.story import long_day
from shop.planning.models import PlanStep
from shop.planning.shown.sheets import Day
from shop.planning.unit_work import ALONE, BENCH, CLOSING, DIAGNOSIS
from shop.units.models import Stage

register = template.Library()
_WEEKDAYS = date(2024, 1, 1)  # a Monday


@register.filter
def at(moment: datetime) -> str:
    """Write a moment's time of day on the shop's clock: "2:30 PM"."""
    shop = profile()
    return clock_time(moment.astimezone(ZoneInfo(shop.time_zone)).time())


@register.filter
def clock_time(moment: time) -> str:
    """Write a time of day as the shop's locale does."""
    return str(format_time(moment, "short", locale=profile().locale.replace("-", "_")))


@register.filter
def local_day(moment: datetime) -> date:
    """Return the local day that a moment lies on."""
    return clock.day_of(moment, profile().time_zone)


@register.filter
def day_words(day: date | None) -> str:
    """Write a day absolutely and relatively: "Thursday, March 12, in 2 days"."""
    if day is None:
        return ""
    shop = profile()
    written = long_day(day, shop.locale)
    away = (day - clock.day_of(clock.now(), shop.time_zone)).days
    if away == 0:
        return _("%(day)s, today") % {"day": written}
    if away == 1:
        return _("%(day)s, tomorrow") % {"day": written}
    if away > 1:
        return ngettext("%(day)s, in %(n)s day", "%(day)s, in %(n)s days", away) % {"day": written, "n": away}
    return ngettext("%(day)s, %(n)s day ago", "%(day)s, %(n)s days ago", -away) % {"day": written, "n": -away}


@register.filter
def stretch_words(day: Day) -> str:
    """Write a day of a sheet, or from which until which day: "Friday, November 27 to Wednesday, December 2"."""
    if day.on == day.until:
        return day_words(day.on)
    first, last = (long_day(each, profile().locale) for each in (day.on, day.until))
    return _("%(first)s to %(last)s") % {"first": first, "last": last}


@register.filter
def ends_on(moment: datetime) -> str:
    """Write the local day of a moment with its time, absolutely and relatively."""
    return f"{day_words(local_day(moment))}, {at(moment)}"


@register.filter
def plan_reason(reason: Reason, begins_at: datetime) -> str:
    """Word why a step that begins at a moment lies where it lies; a moment on the same day is a time of day."""
    facts = dict(reason.facts)
    if "slot" in facts:
        moment = datetime.fromisoformat(facts["slot"])
        facts["slot"] = at(moment) if local_day(moment) == local_day(begins_at) else ends_on(moment)
    return sentence(Reason(reason.code, facts))


@register.filter
def weekday_name(number: int) -> str:
    """Write a weekday (Monday is 0) as the shop's locale does."""
    day = _WEEKDAYS.replace(day=number + 1)
    return str(format_date(day, "EEEE", locale=profile().locale.replace("-", "_")))


@register.filter
def work_words(step: PlanStep) -> str:
    """Say what is done in a planned step."""
    if step.kind == BENCH:
        return step.words or _("Work as agreed")
    if step.kind == ALONE:
        return (
            _("Dries after %(what)s, nobody needed") % {"what": step.words} if step.words else _("Soak, nobody needed")
        )
    if step.kind == DIAGNOSIS:
        return _("Look at it")
    return _("Close it up") if step.kind == CLOSING else _("Last tests")


@register.filter
def hours_words(minutes: float) -> str:
    """Write minutes as hours and minutes, rounded: "3 h 10 min"."""
    hours, rest = divmod(round(minutes), 60)
    facts: dict[str, Any] = {"h": hours, "m": rest}
    if not hours:
        return _("%(m)s min") % facts
    return _("%(h)s h %(m)s min") % facts if rest else _("%(h)s h") % facts


@register.filter
def stay_words(hours: float | None) -> str:
    """Write a stay as hours, or as days from two days on; a dash for none."""
    if hours is None:
        return "–"
    if hours < 48:
        return _("%(n)s h") % {"n": round(hours)}
    return _("%(n)s days") % {"n": round(hours / 24)}


@register.filter
def percent(share: float | None) -> str:
    """Write a share as whole percent; a dash for none."""
    return "–" if share is None else f"{round(100 * share)} %"


@register.filter
def stage_name(stage: str) -> str:
    """Name a stage."""
    return str(Stage(stage).label)


@register.filter
def month_day(day: date) -> str:
    """Write a day without its year: "Mar 10"."""
    return str(format_skeleton("MMMd", datetime.combine(day, time()), locale=profile().locale.replace("-", "_")))
