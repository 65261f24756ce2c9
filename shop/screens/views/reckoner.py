"""The reckoner: a form for each calculation, its answer beside it, and keeping it with a unit."""

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor
from shop.core.reasons import Refused
from shop.floor.flows.reckon import keep_reckoning
from shop.reckoner.asking import given_figures, reckon, reckoning
from shop.reckoner.contents import CHAPTERS
from shop.reckoner.forms import Asked, Kind, Reckoning
from shop.reckoner.plot import plot
from shop.screens.http import act, page, staff_page
from shop.screens.verbs.common import given_number
from shop.units import queries


@require_safe
@staff_page("floor.reckon")
def contents(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Show the table of contents."""
    return page(request, "screens/reckoner.html", {"chapters": CHAPTERS, "unit_number": request.GET.get("unit", "")})


@require_safe
@staff_page("floor.reckon")
def reckoning_page(request: HttpRequest, _actor: Actor, name: str) -> HttpResponse:
    """Show a calculation with its answer: of the figures in the address, or of the form's own example."""
    return _reckoning(request, name, request.GET)


def _reckoning(request: HttpRequest, name: str, typed: QueryDict, reasons: Any = ()) -> HttpResponse:
    asked_for = reckoning(name)
    given = _given(asked_for, typed)
    answer = None
    try:
        answer = reckon(name, given)
    except Refused as refused:
        reasons = [*reasons, *refused.reasons]
    context = {
        "reckoning": asked_for,
        "fields": [_field(each, given_figures(name, given)[each.name], reasons) for each in asked_for.asks],
        "answer": answer,
        "plot": plot(answer.curve.points, answer.curve.here) if answer and answer.curve else None,
        "given": given_figures(name, given),
        "unit_number": typed.get("unit", ""),
    }
    return page(request, "screens/reckoning.html", context, reasons=reasons)


def _given(asked_for: Reckoning, typed: QueryDict) -> dict[str, str]:
    """Return the figures that a form sent. One that was not sent is left out; an unticked box of a sent form is no."""
    given = {each.name: str(typed[each.name]) for each in asked_for.asks if each.name in typed}
    if given:
        unticked = [each.name for each in asked_for.asks if each.kind is Kind.YES and each.name not in given]
        given |= dict.fromkeys(unticked, "no")
    return given


def _field(asked: Asked, value: str, reasons: Any) -> dict[str, Any]:
    wrong = any(reason.field == asked.name for reason in reasons)
    return {"asked": asked, "value": value, "wrong": wrong, "ticked": value in ("yes", "on", "true", "1")}


@require_POST
@staff_page("floor.reckon")
def keep(request: HttpRequest, actor: Actor, name: str) -> HttpResponse:
    """Put an answer into a unit's trail."""

    def perform(post: QueryDict) -> str:
        number = given_number(post, "unit", "Unit")
        unit = queries.by_number(number)
        keep_reckoning(actor=actor, unit_id=unit.id, name=name, given=_given(reckoning(name), post))
        return reverse("screens:unit", args=[number]) + "#trail"

    def again(request: HttpRequest, reasons: Any = ()) -> HttpResponse:
        return _reckoning(request, name, request.POST, reasons)

    return act(request, actor, perform, again)
