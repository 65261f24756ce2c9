"""A unit's board alone: to look closer, and to put a finding where it was seen. And its whole job sheet."""

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_http_methods, require_safe

from shop.boards.queries import Board, board
from shop.core.actor import Actor
from shop.core.reasons import Missing, Reason
from shop.floor.at_bench import board_svg
from shop.screens.http import act, page, staff_page
from shop.screens.tapping import tap_picture, tapped_mm
from shop.screens.verbs.bench import note_finding
from shop.units import queries
from shop.units.models import Finding, Unit
from shop.work.queries import present_step, sheet

_SIDES = ("top", "bottom")


@require_http_methods(["GET", "HEAD", "POST"])
@staff_page("units.find")
def unit_board(request: HttpRequest, actor: Actor, number: int) -> HttpResponse:
    """Show a unit's board; a posted form is a finding on it, tapped on the photo or given in figures."""
    unit = queries.by_number(number)
    known = _known(unit)
    if request.method != "POST":
        return _page(request, unit, known)

    def perform(post: QueryDict) -> str:
        side = post.get("side", "")
        note_finding(actor, unit, post, request.FILES, place=tapped_mm(post, known, side))
        return reverse("screens:unit-board", args=[number])

    return act(request, actor, perform, lambda request, reasons: _page(request, unit, known, reasons))


def _known(unit: Unit) -> Board:
    if unit.revision is None:
        raise Missing(Reason("board_unknown", {"unit": str(unit)}))
    return board(unit.revision, unit.edition)


def _page(request: HttpRequest, unit: Unit, known: Board, reasons: Any = ()) -> HttpResponse:
    steps = sheet(unit)
    present = present_step(steps)
    side = request.GET.get("side", "") if request.GET.get("side", "") in _SIDES else ""
    findings = list(unit.findings.select_related("photo"))
    context = {
        "unit": unit,
        "board": known,
        "drawing": board_svg(known, steps, present, findings, side=side),
        "present_step": present,
        "findings": findings,
        "finding_kinds": Finding.Kind.choices,
        "repairs": Finding.Repair.choices,
        "taps": [tap for shows in _SIDES if (tap := tap_picture(known, shows))],
        "typed": request.POST,
    }
    return page(request, "screens/unit_board.html", context, reasons=reasons)


@require_safe
@staff_page("units.see")
def whole_sheet(request: HttpRequest, _actor: Actor, number: int) -> HttpResponse:
    """Show every step of a unit's job sheet."""
    unit = queries.by_number(number)
    return page(request, "screens/whole_sheet.html", {"unit": unit, "sheet": sheet(unit)})
