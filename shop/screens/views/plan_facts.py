"""What the plan is made from: shifts, days off, extra days, skills, what runs alone, and how sure dates are."""

from datetime import time
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor
from shop.core.reasons import Reason, Refused
from shop.planning import actions
from shop.planning.shown.facts import facts_shown
from shop.screens.http import act, given_uuid, given_version, no_such_act, page, staff_page
from shop.screens.verbs.common import given_day, given_number, needed_uuid


@require_safe
@staff_page("planning.see")
def plan_facts(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Show who works when and can do what."""
    return _facts(request)


def _facts(request: HttpRequest, reasons: Any = ()) -> HttpResponse:
    context = {"facts": facts_shown(), "weekdays": range(7), "typed": request.POST}
    return page(request, "screens/plan_facts.html", context, reasons=reasons)


def _time(post: QueryDict, name: str, label: str, *, required: bool = True) -> time | None:
    """Return a typed time of day. Raises Refused with `blank` or `not_a_number`."""
    typed = post.get(name, "").strip()
    if not typed:
        if required:
            raise Refused(Reason("blank", {"label": label}, name))
        return None
    try:
        return time.fromisoformat(typed).replace(second=0, microsecond=0, tzinfo=None)
    except ValueError:
        raise Refused(Reason("not_a_number", {"label": label, "given": typed[:40]}, name)) from None


def _hours(post: QueryDict) -> dict[str, Any]:
    return {"begins": _time(post, "begins", "From"), "ends": _time(post, "ends", "Until")}


def _shift(actor: Actor, post: QueryDict) -> None:
    days = [int(day) for day in post.getlist("weekdays") if day.isascii() and day.isdigit() and len(day) == 1]
    who = needed_uuid(post, "technician", "Technician")
    actions.add_shifts(actor=actor, technician_id=who, weekdays=days, **_hours(post))


def _day_off(actor: Actor, post: QueryDict) -> None:
    first = given_day(post, "from_day", "First day")
    if first is None:
        raise Refused(Reason("blank", {"label": "First day"}, "from_day"))
    actions.add_day_off(
        actor=actor,
        technician_id=given_uuid(post, "technician"),
        from_day=first,
        until_day=given_day(post, "until_day", "Last day"),
        begins=_time(post, "begins", "From", required=False),
        ends=_time(post, "ends", "Until", required=False),
        text=post.get("words", ""),
    )


def _extra_day(actor: Actor, post: QueryDict) -> None:
    day = given_day(post, "day", "Day")
    if day is None:
        raise Refused(Reason("blank", {"label": "Day"}, "day"))
    actions.add_extra_day(actor=actor, technician_id=given_uuid(post, "technician"), day=day, **_hours(post))


def _skill(actor: Actor, post: QueryDict) -> None:
    actions.set_skill(
        actor=actor,
        technician_id=needed_uuid(post, "technician", "Technician"),
        skill=post.get("skill", ""),
        percent=given_number(post, "percent", "Speed"),
    )


def _alone(actor: Actor, post: QueryDict) -> None:
    kind, _dash, given = post.get("of", "").partition(" ")
    try:
        chosen = UUID(given)
    except ValueError:
        raise Refused(Reason("alone_of_what", {}, "of")) from None
    named: dict[str, Any] = {"service_id": chosen} if kind == "service" else {"point_id": chosen}
    actions.set_alone(actor=actor, minutes=given_number(post, "minutes", "Minutes"), **named)


def _figures(actor: Actor, post: QueryDict) -> None:
    actions.set_figures(
        actor=actor,
        version=given_version(post),
        promise_percent=given_number(post, "promise_percent", "How sure"),
        holidays_of=post.get("holidays_of", ""),
        minutes_per_day=given_number(post, "minutes_per_day", "Minutes a day"),
    )


def _remove(actor: Actor, post: QueryDict) -> None:
    actions.remove_fact(actor=actor, kind=post.get("kind", ""), fact_id=needed_uuid(post, "row", "Entry"))


FACT_VERBS = {
    "shift": _shift,
    "day-off": _day_off,
    "extra-day": _extra_day,
    "skill": _skill,
    "alone": _alone,
    "figures": _figures,
    "remove": _remove,
}


@require_POST
@staff_page("planning.change")
def plan_facts_do(request: HttpRequest, actor: Actor, verb: str) -> HttpResponse:
    """Enter or take back one of them."""

    def perform(post: QueryDict) -> str:
        if verb not in FACT_VERBS:
            raise no_such_act(verb)
        FACT_VERBS[verb](actor, post)
        return reverse("screens:plan-facts")

    return act(request, actor, perform, _facts)
