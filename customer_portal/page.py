"""The page of one unit, as every view of it renders it."""

from collections.abc import Sequence
from typing import Any

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import render

from shop.core.reasons import Reason
from shop.floor.customer_reading import read
from shop.floor.customer_view import view_in
from shop.floor.customer_words import pay_link
from shop.floor.forms import ticked
from shop.units.models import Unit


def show(
    request: HttpRequest, units: Sequence[Unit], unit: Unit, reasons: Sequence[Reason] = (), status: int = 200
) -> HttpResponse:
    """Render the page, with the reasons of a refusal, or what keeps the options from being taken as they are ticked."""
    told = context(request, units, unit)
    quote = told["view"].quote
    told["reasons"] = reasons or (quote.not_allowed if quote else ())
    return render(request, "customer/page.html", told, status=status)


def context(request: HttpRequest, units: Sequence[Unit], unit: Unit) -> dict[str, Any]:
    """Return what the page is written with; what was typed and ticked on a form of it is kept."""
    view = view_in(read(units, unit.number), ticked(request.POST))
    amount = view.deposit_minor or max(0, view.due.due_minor)
    return {
        "view": view,
        "shop": view.shop,
        "unit": unit,
        "answered": "answered" in request.GET,
        "asked": "asked" in request.GET,
        "typed": request.POST,
        "agreed": request.POST.getlist("agreed"),
        "languages": settings.LANGUAGES,
        "pay_link": pay_link(view.shop, view.number, amount, view.due.currency),
    }
