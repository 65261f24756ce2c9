"""A unit's story in words and as stops of its trace, read from its own trail."""

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import date, datetime
from zoneinfo import ZoneInfo

from babel import Locale
from babel.dates import format_date, format_skeleton, match_skeleton
from django.utils.translation import gettext as _
from django.utils.translation import ngettext

from shop.core import clock
from shop.core.models import TrailEntry
from shop.core.profile import profile
from shop.floor.trace import Drawing, Mark, Stop, draw, stages_ahead, went_back
from shop.units.models import Hold, Outcome, Stage, Unit, Visit

_STAGES = {stage.value: stage for stage in Stage}
# In a pattern: words in quotes, which stay as they are, or a day's or month's name in short.
_SHORT_NAMES = re.compile(r"'[^']*'|E+|c{3,4}|M{3,4}|L{3,4}")
_LONG = {"E": "EEEE", "c": "cccc", "M": "MMMM", "L": "LLLL"}


def stops_of(entries: Iterable[TrailEntry]) -> list[Stop]:
    """Return the stops of a unit's journey in the order of time, holds between them."""
    journey = _Journey()
    for entry in entries:
        if entry.what == "held":
            journey.hold(entry.after, entry.happened_at)
        elif entry.what == "hold_lifted":
            journey.lift(entry.before, entry.happened_at)
        elif entry.what == "left":
            journey.stops.append(Stop("end", str(Outcome(entry.after).label), entry.happened_at))
        elif entry.after in _STAGES:
            journey.reach(entry)
    return journey.stops


class _Journey:
    """The stops so far, and which of them are holds that are open.

    A deposit that is asked for at the bench holds nobody there; it does where the unit leaves the bench before it is
    paid.
    """

    def __init__(self) -> None:
        self.stops: list[Stop] = []
        self.open: dict[str, int] = {}
        self.stage, self.owed = "", False

    def hold(self, kind: str, at: datetime) -> None:
        if kind == Hold.Kind.DEPOSIT and self.stage not in Unit.BEFORE_BENCH:
            self.owed = True
        elif kind not in self.open:
            self.open[kind] = len(self.stops)
            self.stops.append(Stop("gap", _("held: %(why)s") % {"why": Hold.Kind(kind).label}, at))

    def lift(self, kind: str, at: datetime) -> None:
        self.owed = self.owed and kind != Hold.Kind.DEPOSIT
        index = self.open.pop(kind, None)
        if index is not None:
            self.stops[index] = replace(self.stops[index], until=at)

    def reach(self, entry: TrailEntry) -> None:
        self.stage = entry.after
        self.stops.append(_pad(entry))
        if self.owed and self.stage in Unit.BEFORE_BENCH:
            self.owed = False
            self.hold(Hold.Kind.DEPOSIT, entry.happened_at)


def _pad(entry: TrailEntry) -> Stop:
    label = str(_STAGES[entry.after].label)
    note = ""
    if entry.after == Stage.BENCH:
        for visit in (Visit.DIAGNOSIS, Visit.CLOSING):
            note = str(visit.label) if f'"visit": "{visit.value}"' in entry.facts else note
    if entry.what == "test_failed":
        note = _("a test failed")
    return Stop("pad", label, entry.happened_at, back=went_back(entry.before, entry.after), note=note)


def trace_of(unit: Unit, entries: Iterable[TrailEntry]) -> Drawing:
    """Return the drawing of a unit's trace, the stages ahead thin and unrouted."""
    ahead = () if unit.outcome else stages_ahead(unit.stage, ended=bool(unit.ending) and not unit.opened)
    return draw(stops_of(entries), [str(_STAGES[stage].label) for stage in ahead])


def spoken(drawing: Drawing, zone: str, locale: str) -> str:
    """Say in words what the trace shows, for whoever cannot see it."""
    parts = [_spoken(mark, zone, locale) for mark in drawing.marks]
    return _("; ").join(parts).removesuffix(".") + "."


def _spoken(mark: Mark, zone: str, locale: str) -> str:
    stop = mark.stop
    said = f"{stop.label} ({stop.note})" if stop.note else stop.label
    if stop.back:
        said = _("back to %(stage)s") % {"stage": said}
    said = f"{said}, {short_date(stop.at, zone, locale)}"
    if stop.until:
        said = _("%(stop)s, until %(day)s") % {"stop": said, "day": short_date(stop.until, zone, locale)}
    return _("now: %(stop)s") % {"stop": said} if mark.now else said


def short_date(moment: datetime, zone: str, locale: str) -> str:
    """Write the day of a moment in a zone as a locale does, without the year: "Mar 10"."""
    local = moment.astimezone(ZoneInfo(zone))
    return format_skeleton("MMMd", local, locale=locale.replace("-", "_"))


def long_day(day: date, locale: str) -> str:
    """Write a day with its weekday: "Thursday, March 12"."""
    where = Locale.parse(locale.replace("-", "_"))
    known = where.datetime_skeletons
    # The nearest pattern that the locale has may be a short one; then it is widened (CLDR: UTS 35, 4, "matching").
    nearest = known[match_skeleton("EEEEMMMMd", known)].pattern
    return format_date(day, _SHORT_NAMES.sub(lambda name: _LONG.get(name[0][0], name[0]), nearest), where)


def headline(unit: Unit) -> str:
    """Return the one sentence that matters about a unit now, for its tag.

    Reads only what `units.queries` fetched with the unit (open_holds, place, technician).
    """
    if unit.outcome:
        return str(unit.get_outcome_display()).capitalize() + "."
    known: list[Hold] = getattr(unit, "open_holds", [])
    if holds := [hold for hold in known if hold.keeps]:
        return _held(holds[0])
    if unit.stage == Stage.BENCH and unit.technician:
        facts = {"visit": unit.get_visit_display(), "who": unit.technician.name, "place": unit.place or "–"}
        return _("On %(place)s for %(visit)s with %(who)s.") % facts
    return _stage_words(unit)


def _held(hold: Hold) -> str:
    facts = {"what": hold.words or hold.get_kind_display(), "kind": hold.get_kind_display()}
    if hold.kind == Hold.Kind.APPROVAL:
        return _("Waits for the customer's answer to the quote.")
    if hold.kind == Hold.Kind.DEPOSIT:
        return _("Waits for the customer's deposit.")
    if hold.due_on:
        facts["day"] = format_date(hold.due_on, "medium", locale=profile().locale.replace("-", "_"))
        return _("Waits for %(kind)s: %(what)s, due %(day)s.") % facts
    return _("Waits for %(kind)s: %(what)s.") % facts


def _ready(days: int) -> str:
    if days < 1:
        return _("Ready today, on %(place)s.")
    return ngettext("Ready, on %(place)s, for %(days)s day.", "Ready, on %(place)s, for %(days)s days.", days)


def _stage_words(unit: Unit) -> str:
    days = (clock.now() - unit.stage_since).days
    place = str(unit.place) if unit.place else _("no place yet")
    words = {
        Stage.INTAKE: _("Being written up."),
        Stage.QUEUE: _("Waits its turn on %(place)s."),
        Stage.BENCH: _("On the bench."),
        Stage.TESTING: _("Being tested."),
        Stage.PICKUP: _ready(days),
    }
    if unit.ending == Unit.Ending.DECLINED and unit.stage == Stage.QUEUE:
        return _("Declined: close it up and give it back.") if unit.opened else _("Declined: give it back.")
    return words[Stage(unit.stage)] % {"place": place, "days": days}
