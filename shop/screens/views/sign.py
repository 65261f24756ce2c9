"""Signing in and out."""

from django.contrib.auth import login, logout
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from shop.core import audit
from shop.core.reasons import Refused
from shop.people.signin import sign_in as check
from shop.screens.http import SEE_OTHER, page


@never_cache
@require_http_methods(["GET", "POST"])
def sign_in(request: HttpRequest) -> HttpResponse:
    """Show the form, or let somebody in; a failed try keeps the name that was typed."""
    going_to = request.POST.get("next") or request.GET.get("next", "")
    if request.method == "GET":
        return page(request, "screens/sign_in.html", {"going_to": going_to})
    username = request.POST.get("username", "")
    try:
        user = check(
            username=username,
            password=request.POST.get("password", ""),
            address=request.META.get("REMOTE_ADDR", ""),
        )
    except Refused as refused:
        typed = {"reasons": refused.reasons, "username": username, "going_to": going_to}
        return page(request, "screens/sign_in.html", typed, status=422)
    login(request, user)
    audit.record(audit.Event.SIGNED_IN, address=request.META.get("REMOTE_ADDR", ""), who=str(user.pk))
    safe = url_has_allowed_host_and_scheme(going_to, allowed_hosts={request.get_host()})
    return HttpResponseRedirect(going_to if safe else reverse("screens:floor"), status=SEE_OTHER)


@require_POST
def sign_out(request: HttpRequest) -> HttpResponse:
    """End the session."""
    who = str(request.user.pk or "")
    logout(request)
    audit.record(audit.Event.SIGNED_OUT, address=request.META.get("REMOTE_ADDR", ""), who=who)
    return redirect("screens:sign-in")
