"""What if: another unit, a sick day, another technician, a Saturday. Shown beside the plan; changes nothing."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, time
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, QueryDict
from django.utils.translation import gettext as _
from django.views.decorators.http import require_safe

from shop.boards.models import Service
from shop.core.actor import Actor
from shop.core.reasons import Reason, Refused
from shop.people.queries import technicians
from shop.planning.shown import what_if
from shop.planning.shown.what_if import WhatIf
from shop.screens.http import given_uuid, page, staff_page
from shop.screens.verbs.common import given_day


@dataclass(frozen=True, slots=True)
class Answered:
    """A question with its answer, and the form that does it for real, where that is possible: verb and its fields."""

    question: str
    answer: WhatIf
    verb: str = ""
    fields: tuple[tuple[str, str], ...] = ()


@require_safe
@staff_page("planning.see")
def plan_what_if(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Ask what would happen, by the address alone, and show it beside the present plan."""
    asked, answered, reasons = request.GET.get("ask", ""), None, ()
    if asked in ASKED:
        try:
            answered = ASKED[asked](request.GET)
        except Refused as refused:
            reasons = refused.reasons  # type: ignore[assignment]
    context: dict[str, Any] = {
        "answered": answered,
        "technicians": technicians(),
        "services": Service.objects.filter(retired_at=None),
        "typed": request.GET,
    }
    return page(request, "screens/plan_what_if.html", context, reasons=reasons)


def _unit(given: QueryDict) -> Answered:
    ids = [pk for text in given.getlist("service") if (pk := _uuid(text))]
    services = list(Service.objects.filter(pk__in=ids, retired_at=None))
    if not services:
        raise Refused(Reason("blank", {"label": _("Service")}, "service"))
    names = ", ".join(service.name for service in services)
    return Answered(_("If one more unit came in for %(what)s") % {"what": names}, what_if.add_unit(services))


def _uuid(text: str) -> UUID | None:
    try:
        return UUID(text)
    except ValueError:
        return None


def _sick(given: QueryDict) -> Answered:
    pk, day = given_uuid(given, "technician"), _day(given)
    person = technicians().filter(pk=pk).first() if pk else None
    if person is None:
        raise Refused(Reason("blank", {"label": _("Technician")}, "technician"))
    fields = (("technician", str(person.pk)), ("from_day", day.isoformat()))
    question = _("If %(who)s were away on %(day)s") % {"who": person.name, "day": day.isoformat()}
    return Answered(question, what_if.sick_day(person, day), "day-off", fields)


def _day(given: QueryDict) -> date:
    day = given_day(given, "day", _("Day"))
    if day is None:
        raise Refused(Reason("blank", {"label": _("Day")}, "day"))
    return day


def _third(_given: QueryDict) -> Answered:
    return Answered(_("If there were one more technician"), what_if.third_technician(_("One more")))


def _saturday(given: QueryDict) -> Answered:
    day = _day(given)
    hours = []
    for name, label in (("begins", _("From")), ("ends", _("Until"))):
        try:
            hours.append(time.fromisoformat(given.get(name, "")).replace(second=0, microsecond=0, tzinfo=None))
        except ValueError:
            raise Refused(
                Reason("not_a_number", {"label": label, "given": given.get(name, "")[:40] or "–"}, name)
            ) from None
    answer = what_if.extra_day(day, *hours)
    fields = (("day", day.isoformat()), ("begins", f"{hours[0]:%H:%M}"), ("ends", f"{hours[1]:%H:%M}"))
    question = _("If everybody worked on %(day)s from %(begins)s until %(ends)s") % dict(fields)
    return Answered(question, answer, "extra-day", fields)


ASKED: dict[str, Callable[[QueryDict], Answered]] = {
    "unit": _unit,
    "sick": _sick,
    "third": _third,
    "saturday": _saturday,
}
