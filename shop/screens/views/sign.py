"""Signing in, in one step or two, and out."""

from uuid import UUID

from django.contrib.auth import login, logout
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import redirect
from django.urls import reverse
from django.utils.http import url_has_allowed_host_and_scheme
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from shop.core import audit, clock
from shop.core.reasons import Refused
from shop.people import second_factor
from shop.people.models import User
from shop.people.signin import sign_in as check
from shop.screens.http import SEE_OTHER, page

# How long the second step may take.
HALF_IN_S = 300


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
        typed = {"username": username, "going_to": going_to}
        return page(request, "screens/sign_in.html", typed, reasons=refused.reasons)
    if second_factor.factor_of(user):
        request.session.flush()
        request.session["half_in"] = {"user": str(user.pk), "at": clock.now().timestamp(), "going_to": going_to}
        return HttpResponseRedirect(reverse("screens:sign-in-code"), status=SEE_OTHER)
    return _let_in(request, user, going_to)


@never_cache
@require_http_methods(["GET", "POST"])
def sign_in_code(request: HttpRequest) -> HttpResponse:
    """Ask somebody whose password was right for the code of the second step."""
    half = request.session.get("half_in", {})
    user = User.objects.filter(pk=UUID(half["user"]), retired_at=None).first() if half else None
    if user is None or clock.now().timestamp() - half["at"] > HALF_IN_S:
        return redirect("screens:sign-in")
    if request.method == "GET":
        return page(request, "screens/sign_in_code.html")
    try:
        second_factor.check(user=user, code=request.POST.get("code", ""), address=request.META.get("REMOTE_ADDR", ""))
    except Refused as refused:
        return page(request, "screens/sign_in_code.html", reasons=refused.reasons)
    del request.session["half_in"]
    answer = _let_in(request, user, half["going_to"])
    request.session["two_steps"] = True
    return answer


def _let_in(request: HttpRequest, user: User, going_to: str) -> HttpResponse:
    """Begin the session, and go on to where the person wanted."""
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
