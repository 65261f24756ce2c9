"""Where somebody who lost their link asks for it. The answer is the same whether or not an address is known."""

from django.http import HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_http_methods

from customer_portal.limits import address_of, too_often
from shop.core.actor import Actor, Role
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.floor.flows.lost_link import wish_for_links

_MOST = 5


@require_http_methods(["GET", "POST"])
def lost(request: HttpRequest) -> HttpResponse:
    """Show the form, or take the wish: a message goes to the address if the shop knows it, and nowhere else."""
    context = {"shop": profile(), "typed": request.POST, "reasons": (), "taken": False}
    if request.method == "GET":
        return render(request, "customer/lost.html", context)
    if too_often(request, "lost", _MOST):
        context["reasons"] = (Reason("asked_too_often"),)
        return render(request, "customer/lost.html", context, status=429)
    try:
        wish_for_links(
            actor=Actor(role=Role.STRANGER, address=address_of(request)), email=request.POST.get("email", "")
        )
    except Refused as refused:
        return render(request, "customer/lost.html", context | {"reasons": refused.reasons}, status=422)
    return render(request, "customer/lost.html", context | {"taken": True})
