"""The shop itself: places, people, devices, figures, and labels for all that can be scanned."""

from typing import Any

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor
from shop.core.profile import change_profile
from shop.core.reasons import Refused
from shop.people.actions import add_place, add_staff, issue_token, revoke_token
from shop.people.models import Place, User
from shop.people.queries import places, staff, tokens
from shop.planning.queries import load
from shop.screens.http import act, given_version, page, staff_page
from shop.screens.verbs.common import given_money, given_number, needed_uuid

_TEXTS = ("name", "street", "town", "email", "phone", "time_zone", "payment_words", "packing_words")


@require_safe
@staff_page("floor.see")
def shop(request: HttpRequest, _actor: Actor) -> HttpResponse:
    """Show the shop."""
    return _shop(request)


def _shop(request: HttpRequest, reasons: Any = (), token: str = "") -> HttpResponse:
    context = {
        "places": places(),
        "staff": staff(),
        "tokens": tokens(),
        "load": load(),
        "kinds": Place.Kind.choices,
        "roles": User.Role.choices,
        "token": token,
        "typed": request.POST,
    }
    return page(request, "screens/shop.html", context, reasons=reasons)


@require_POST
@staff_page("people.change_places")
def new_place(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Add a shelf, a box or a bench."""

    def perform(post: QueryDict) -> str:
        equipment = [item.strip() for item in post.get("equipment", "").split(",") if item.strip()]
        add_place(
            actor=actor,
            name=post.get("name", ""),
            kind=post.get("kind", ""),
            capacity=given_number(post, "capacity", "Room for"),
            equipment=equipment,
        )
        return reverse("screens:shop")

    return act(request, actor, perform, _shop)


@require_POST
@staff_page("people.change_staff")
def new_person(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Add somebody who works here."""

    def perform(post: QueryDict) -> str:
        given = {name: post.get(name, "") for name in ("username", "name", "role", "password")}
        add_staff(actor=actor, **given)
        return reverse("screens:shop")

    return act(request, actor, perform, _shop)


@require_POST
@staff_page("people.issue_token")
def devices(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Issue a device's token, shown once and so never kept for a repeat; or revoke one."""
    try:
        if "revoke" in request.POST:
            revoke_token(actor=actor, token_id=needed_uuid(request.POST, "revoke", "Device"))
            return _shop(request)
        person = needed_uuid(request.POST, "user", "Person")
        _row, token = issue_token(actor=actor, user_id=person, name=request.POST.get("name", ""))
    except Refused as refused:
        return _shop(request, refused.reasons)
    return _shop(request, token=token)


@require_POST
@staff_page("core.change_profile")
def figures(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Change what the shop says of itself, and its figures."""

    def perform(post: QueryDict) -> str:
        changes: dict[str, Any] = {name: post.get(name, "").strip() for name in _TEXTS if name in post}
        changes["diagnosis_fee_minor"] = given_money(post, "diagnosis_fee", "Diagnosis fee")
        changes["quote_days"] = given_number(post, "quote_days", "Days a quote holds")
        changes["warranty_days"] = given_number(post, "warranty_days", "Days of warranty")
        change_profile(actor=actor, version=given_version(post), **changes)
        return reverse("screens:shop")

    return act(request, actor, perform, _shop)
