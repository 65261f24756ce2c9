"""What templates draw and word: tags, bands, the trace, money, times and reasons."""

import re
from dataclasses import replace
from datetime import date, datetime
from decimal import Decimal
from typing import Any
from zoneinfo import ZoneInfo

from babel.dates import format_date, format_skeleton, format_time
from babel.numbers import get_decimal_symbol
from django import template
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.boards.spots import Spot
from shop.boards.table_actions import Import
from shop.core import clock, money, tagcode
from shop.core.profile import profile
from shop.core.reader import reader_locale
from shop.core.reasons import Reason, sentence
from shop.engineering.bands import bands_of
from shop.floor import story
from shop.floor.trace import Drawing
from shop.quotes.pricing import rate_words
from shop.reckoner.showing import shown
from shop.units.models import Unit
from shop.units.queries import tag_of
from shop.work.part_words import polarity

register = template.Library()
_BAR_X = (16, 32, 48)


@register.inclusion_tag("floor/band.html")
def band(digits: str) -> dict[str, Any]:
    """Draw three digits as resistor colour bands, the digits beneath."""
    bars = [
        {"x": x, "middle": x + 4.5, "digit": digit, "colour": colour.paint}
        for x, digit, colour in zip(_BAR_X, digits, bands_of(digits), strict=True)
    ]
    return {"digits": digits, "bars": bars}


@register.inclusion_tag("floor/trace.html")
def trace(drawing: Drawing, words: str, zone: str) -> dict[str, Any]:
    """Draw a unit's trace; words say the same for whoever cannot see it."""
    return {"drawing": drawing, "words": words, "zone": zone}


@register.filter
def short_day(moment: datetime, zone: str) -> str:
    """Write a moment's day in a zone: "Mar 10"."""
    return story.short_date(moment, zone, reader_locale())


@register.filter
def money_text(minor: int, currency: str) -> str:
    """Write minor units as the reader's locale does."""
    return money.show(minor, currency, reader_locale())


@register.filter
def reason_text(reason: Reason) -> str:
    """Word a reason, its days as the reader's locale writes them."""
    days = {name: day(fact) for name, fact in reason.facts.items() if isinstance(fact, date)}
    return sentence(replace(reason, facts={**reason.facts, **days}))


@register.filter
def printed_code(code: str) -> str:
    """Write a code as labels show it, with its check symbol."""
    return tagcode.printed(code)


@register.filter
def tag_code(unit: Unit) -> str:
    """Return the printed code of a unit's own tag."""
    return tag_of(unit).printed_code


@register.filter
def plain_tag(unit: Unit) -> str:
    """Return the code of a unit's own tag as its QR code says it, without check symbol."""
    return tag_of(unit).code


@register.filter
def plus_text(spot: Spot) -> str:
    """Say where a part's plus points."""
    return polarity(spot)


@register.filter
def counted(looked: Import, change: str) -> int:
    """Return how many rows of a table are new, changed or same."""
    return looked.count(change)


@register.filter
def headline(unit: Unit) -> str:
    """Return the one sentence that matters about a unit."""
    return story.headline(unit)


@register.filter
def day(moment: date | None) -> str:
    """Write a date as the reader's locale does: "Mar 12, 2026"."""
    return format_date(moment, "medium", locale=reader_locale()) if moment else ""


@register.filter
def when(moment: datetime | None, zone: str = "") -> str:
    """Write a time absolutely and relatively, in the given zone or the shop's: "Tuesday 14:30, 2 hours ago"."""
    if moment is None:
        return ""
    locale = reader_locale()
    local = moment.astimezone(ZoneInfo(zone or profile().time_zone))
    now = clock.now()
    written = f"{format_skeleton('EEEMMMd', local, locale=locale)} {format_time(local, 'short', locale=locale)}"
    seconds = int((now - moment).total_seconds())
    if 0 <= seconds < 60:
        return _("%(at)s, just now") % {"at": written}
    if 0 <= seconds < 3600:
        return _("%(at)s, %(n)s min ago") % {"at": written, "n": seconds // 60}
    if 0 <= seconds < 86400:
        return _("%(at)s, %(n)s h ago") % {"at": written, "n": seconds // 3600}
    days = seconds // 86400
    return (
        ngettext("%(at)s, %(n)s day ago", "%(at)s, %(n)s days ago", days) % {"at": written, "n": days}
        if days > 0
        else written
    )


@register.filter
def major(minor: int, currency: str) -> str:
    """Write minor units as somebody would type them: "12.50"."""
    return str(money.to_major(minor, currency))


@register.filter
def minus(number: int, other: int) -> int:
    """Subtract, for the count that is still out."""
    return number - other


@register.filter
def span(minutes: int) -> str:
    """Write a number of minutes as hours and minutes: "3 h 12 min"."""
    hours, rest = divmod(minutes, 60)
    return _("%(h)s h %(m)s min") % {"h": hours, "m": rest} if hours else _("%(m)s min") % {"m": rest}


@register.filter
def minor_digits(currency: str) -> int:
    """Return how many digits follow the point in a currency."""
    return money.minor_digits(currency)


@register.filter
def figure(value: Decimal | None) -> str:
    """Write a measurement without needless zeros: 4.7500 is 4.75; nothing stays nothing."""
    return "" if value is None else f"{value.normalize():f}"


@register.filter
def figure_text(value: float | str, unit: str) -> str:
    """Write a figure of the reckoner with its unit and prefix: 4.7 µF."""
    return shown(value, str(unit))


@register.filter
def positive(minor: int) -> int:
    """Drop the sign of what is taken off, for a field in which people type it without one."""
    return abs(minor)


@register.filter
def rate_text(rate: str) -> str:
    """Write a rate of `pricing.rate_words` as the reader's locale does: "8.875" is "8.875%", or "8,875 %"."""
    return money.show_rate(int(Decimal(rate) * 1000), reader_locale())


@register.filter
def reckoning(arithmetic: str) -> str:
    """Write the figures of `pricing.explain` with the decimal sign of the reader's locale."""
    return re.sub(r"(?<=\d)\.(?=\d)", get_decimal_symbol(reader_locale()), arithmetic)


@register.filter
def percent(millipercent: int) -> str:
    """Write a rate as somebody would type it: 8875 is "8.875"; nothing is nothing."""
    return rate_words(millipercent) if millipercent else ""
