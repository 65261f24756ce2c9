"""Turning the second step of signing in on and off, for oneself."""

from typing import Any

import qrcode
from django.conf import settings
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.urls import reverse
from django.utils.safestring import SafeString, mark_safe
from django.views.decorators.http import require_http_methods, require_POST
from qrcode.image.svg import SvgPathImage

from shop.core.actor import Actor
from shop.core.reasons import Refused
from shop.people import second_factor
from shop.people.models import User
from shop.screens.http import SEE_OTHER, page, staff_page


@require_http_methods(["GET", "POST"])
@staff_page("people.change_own_password")
def second_step(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show the QR code to set it up, and turn it on with the first code; the recovery codes are shown once."""
    if request.method == "GET":
        return _second_step(request, actor)
    try:
        codes = second_factor.confirm(actor=actor, code=request.POST.get("code", ""))
    except Refused as refused:
        return _second_step(request, actor, reasons=refused.reasons)
    request.session["two_steps"] = True
    return page(request, "screens/second_step.html", {"codes": codes})


@require_POST
@staff_page("people.change_own_password")
def turn_off(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Turn one's own second step off, with a code."""
    try:
        second_factor.end(actor=actor, user_id=actor.id, code=request.POST.get("code", ""))
    except Refused as refused:
        return _second_step(request, actor, reasons=refused.reasons)
    request.session.pop("two_steps", None)
    return HttpResponseRedirect(reverse("screens:second-step"), status=SEE_OTHER)


def _second_step(request: HttpRequest, actor: Actor, reasons: Any = ()) -> HttpResponse:
    context: dict[str, Any] = {"is_on": True}
    if second_factor.factor_of(User.objects.get(pk=actor.id)) is None:
        factor = second_factor.begin(actor=actor)
        context = {
            "owed": settings.PRODUCTION and actor.role == "owner",
            "picture": _drawn(second_factor.address_of(factor)),
            "secret": second_factor.secret_of(factor),
        }
    return page(request, "screens/second_step.html", context, reasons=reasons)


def _drawn(address: str) -> SafeString:
    """Return the address as a QR code in SVG, which holds nothing but its own path."""
    drawn: str = qrcode.make(address, image_factory=SvgPathImage, border=4).to_string(encoding="unicode")
    return mark_safe(drawn)  # noqa: S308
