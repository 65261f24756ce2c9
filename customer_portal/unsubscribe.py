"""The page where a customer stops messages that the contract does not need, or lets them come again.

Looking at it changes nothing (mail programs open every address to look for harm). A tap on a button posts, and so do
mail programs by themselves for whoever taps their own button (RFC 8058). That post comes from elsewhere and without a
cookie, so the check against foreign forms is off here; what lets the caller in is the address alone.
"""

from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.views.decorators.cache import never_cache
from django.views.decorators.csrf import csrf_exempt
from django.views.decorators.http import require_http_methods

from customer_portal.limits import address_of, too_often, used_up
from shop.core.actor import Actor, Role
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.notices import unsubscribing
from shop.notices.actions import choose_messages
from shop.notices.models import Group
from shop.people.models import Customer

SEE_OTHER = 303
_WRONG_ADDRESSES = 30


@csrf_exempt
@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def stop(request: HttpRequest, token: str, what: str) -> HttpResponse:
    """Show what is sent and what is not, or change it."""
    customer = None if used_up(request, "stop", _WRONG_ADDRESSES) else unsubscribing.customer_of(token)
    named = unsubscribing.groups_named(what)
    if customer is None or not named:
        status = 429 if too_often(request, "stop", _WRONG_ADDRESSES) else 404
        return _page(request, None, named, (Reason("unsubscribe_unknown"),), status)
    if request.method != "POST":
        return _page(request, customer, named)
    one_click = request.POST.get("List-Unsubscribe") == "One-Click"
    chosen = {name: request.POST.getlist(name) for name in ("stop", "want")}
    if one_click:
        chosen = {"stop": [group.value for group in named], "want": []}
    actor = Actor(role=Role.CUSTOMER, id=f"customer:{customer.id}", address=address_of(request))
    try:
        choose_messages(actor=actor, customer_id=customer.id, **chosen)
    except Refused as refused:
        return _page(request, customer, named, refused.reasons, 422)
    if one_click:  # RFC 8058, 3.1: no redirect
        return _page(request, customer, named)
    return HttpResponseRedirect(request.path, status=SEE_OTHER)


def _page(
    request: HttpRequest,
    customer: Customer | None,
    named: list[Group],
    reasons: tuple[Reason, ...] = (),
    status: int = 200,
) -> HttpResponse:
    unwanted = unsubscribing.unwanted_by(customer) if customer else frozenset()
    context = {
        "shop": profile(),
        "known": customer is not None,
        "groups": [(group, group in unwanted) for group in Group],
        "named": [group for group in named if group not in unwanted],
        "reasons": reasons,
    }
    answer = render(request, "customer/stop.html", context, status=status)
    answer["Referrer-Policy"] = "no-referrer"
    return answer
