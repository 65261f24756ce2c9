"""The public page on which a unit is announced before it is posted."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from customer_portal.limits import address_of, too_often
from shop.core.actor import Actor, Role
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.floor.flows.intake import announce as note

_MOST = 10
_FIELDS = ("name", "email", "phone", "device", "complaint")


@require_http_methods(["GET", "POST"])
def announce(request: HttpRequest) -> HttpResponse:
    """Show the form, or note the announcement and show how to pack and which code to put in."""
    context = {"shop": profile(), "typed": request.POST, "reasons": ()}
    if request.method == "GET":
        return render(request, "customer/announce.html", context)
    if too_often(request, "announce", _MOST):
        context["reasons"] = (Reason("announced_too_often"),)
        return render(request, "customer/announce.html", context, status=429)
    actor = Actor(role=Role.STRANGER, address=address_of(request))
    try:
        made = note(actor=actor, **{name: request.POST.get(name, "") for name in _FIELDS})
    except Refused as refused:
        return render(request, "customer/announce.html", context | {"reasons": refused.reasons}, status=422)
    return render(request, "customer/announced.html", context | {"made": made})
