"""The plan: day sheets with the dates that follow, one unit's place in it, and the owner's word on it."""

from functools import partial
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor
from shop.core.reasons import Missing, Reason
from shop.people.queries import technicians
from shop.planning.actions import ask_for_plan, pin_unit, put_back, put_first, unpin_unit
from shop.planning.queries import record_of_promises
from shop.planning.shown import what_if
from shop.planning.shown.sheets import shown
from shop.planning.shown.unit_place import place_of
from shop.screens.http import act, given_version, no_such_act, page, staff_page
from shop.screens.verbs.common import needed_uuid
from shop.units import queries


@require_safe
@staff_page("planning.see")
def plan(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show the day sheets, one's own first."""
    return _plan(request, actor)


def _plan(request: HttpRequest, actor: Actor, reasons: Any = ()) -> HttpResponse:
    seen = shown(first_of=UUID(actor.id))
    context = {
        "seen": seen,
        "own": str(seen.sheets[0].technician.pk) == actor.id if seen.sheets else False,
        "kept": record_of_promises(),
    }
    return page(request, "screens/plan.html", context, reasons=reasons)


@require_safe
@staff_page("planning.see")
def plan_sheet(request: HttpRequest, _actor: Actor, user_id: UUID) -> HttpResponse:
    """Show somebody's day sheet alone, to be printed and pinned to the wall."""
    sheet = next((one for one in shown(first_of=user_id).sheets if one.technician.pk == user_id), None)
    if sheet is None:
        raise Missing(Reason("missing", {"thing": "day sheet", "sought": user_id}))
    return page(request, "screens/day_sheet_alone.html", {"sheet": sheet})


@require_safe
@staff_page("planning.see")
def plan_unit(request: HttpRequest, _actor: Actor, number: int) -> HttpResponse:
    """Show why a unit lies where it does; on request, what it would cost the others to let it go first."""
    return _plan_unit(request, number=number)


def _plan_unit(request: HttpRequest, number: int, reasons: Any = ()) -> HttpResponse:
    unit = queries.by_number(number)
    context = {
        "unit": unit,
        "seen": place_of(unit),
        "technicians": technicians(),
        "cost": what_if.cost_of_first(unit) if "first" in request.GET else None,
    }
    return page(request, "screens/plan_unit.html", context, reasons=reasons)


UNIT_VERBS = ("pin", "unpin", "first", "back")


@require_POST
@staff_page("planning.change")
def plan_unit_do(request: HttpRequest, actor: Actor, number: int, verb: str) -> HttpResponse:
    """Keep a unit with somebody or let it go; let it go first or wait its turn."""

    def perform(post: QueryDict) -> str:
        about: dict[str, Any] = {
            "actor": actor, "unit_id": queries.by_number(number).id, "version": given_version(post),
        }  # fmt: skip
        words = post.get("words", "")
        if verb == "pin":
            pin_unit(**about, technician_id=needed_uuid(post, "technician", "Technician"), text=words)
        elif verb == "unpin":
            unpin_unit(**about)
        elif verb == "first":
            put_first(**about, text=words)
        elif verb == "back":
            put_back(**about)
        else:
            raise no_such_act(verb)
        return reverse("screens:plan-unit", args=[number])

    return act(request, actor, perform, partial(_plan_unit, number=number))


@require_POST
@staff_page("planning.change")
def plan_again(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Ask for a new plan."""

    def perform(_post: QueryDict) -> str:
        ask_for_plan(actor=actor)
        return reverse("screens:plan")

    return act(request, actor, perform, partial(_plan, actor=actor))
