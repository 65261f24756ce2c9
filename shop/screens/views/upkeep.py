"""Changing what the shop is made of: one person, one place, and whoever is signed in."""

from functools import partial
from typing import Any
from uuid import UUID

from django.contrib.auth import update_session_auth_hash
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor
from shop.core.reasons import Refused
from shop.core.rows import existing
from shop.people import second_factor
from shop.people.actions import change_place, change_staff_role, retire_place, retire_staff, set_password
from shop.people.models import Place, User
from shop.screens.http import SEE_OTHER, act, given_version, no_such_act, page, staff_page
from shop.screens.verbs.common import given_number
from shop.units.queries import units_in


@require_safe
@staff_page("people.change_staff")
def person(request: HttpRequest, _actor: Actor, user_id: UUID) -> HttpResponse:
    """Show somebody who works here, and what the owner may change about them."""
    return _person(request, user_id)


def _person(request: HttpRequest, user_id: UUID, reasons: Any = ()) -> HttpResponse:
    user = existing(User, user_id)
    context = {
        "person": user,
        "roles": User.Role.choices,
        "two_steps": second_factor.factor_of(user) is not None,
    }
    return page(request, "screens/staff_member.html", context, reasons=reasons)


@require_POST
@staff_page("people.change_staff")
def person_do(request: HttpRequest, actor: Actor, user_id: UUID, verb: str) -> HttpResponse:
    """Change somebody's role or password, turn their second step off, or let them go."""

    def perform(post: QueryDict) -> str:
        if verb == "role":
            change_staff_role(actor=actor, user_id=user_id, role=post.get("role", ""))
        elif verb == "password":
            set_password(actor=actor, user_id=user_id, password=post.get("password", ""))
        elif verb == "second-step-off":
            second_factor.end(actor=actor, user_id=user_id)
        elif verb == "retire":
            retire_staff(actor=actor, user_id=user_id)
        else:
            raise no_such_act(verb)
        return reverse("screens:shop") if verb == "retire" else reverse("screens:person", args=[user_id])

    if str(user_id) == actor.id:  # one's own password and second step have a page that asks for proof
        return HttpResponseRedirect(reverse("screens:me"), status=SEE_OTHER)
    return act(request, actor, perform, partial(_person, user_id=user_id))


@require_safe
@staff_page("people.change_places")
def place(request: HttpRequest, _actor: Actor, place_id: UUID) -> HttpResponse:
    """Show a place, to change it or to take it out of use."""
    return _place(request, place_id)


def _place(request: HttpRequest, place_id: UUID, reasons: Any = ()) -> HttpResponse:
    found = existing(Place, place_id)
    context = {"place": found, "inside": units_in(found), "typed": request.POST}
    return page(request, "screens/place_change.html", context, reasons=reasons)


@require_POST
@staff_page("people.change_places")
def place_do(request: HttpRequest, actor: Actor, place_id: UUID, verb: str) -> HttpResponse:
    """Change a place, or take it out of use."""

    def perform(post: QueryDict) -> str:
        version = given_version(post) or 0
        if verb == "change":
            change_place(
                actor=actor,
                place_id=place_id,
                version=version,
                name=post.get("name", ""),
                capacity=given_number(post, "capacity", "Room for"),
                equipment=[item.strip() for item in post.get("equipment", "").split(",") if item.strip()],
            )
        elif verb == "retire":
            retire_place(actor=actor, place_id=place_id, version=version, units_there=units_in)
        else:
            raise no_such_act(verb)
        return reverse("screens:shop")

    return act(request, actor, perform, partial(_place, place_id=place_id))


@require_safe
@staff_page("people.change_own_password")
def me(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Show whoever is signed in their own account."""
    return _me(request, actor)


def _me(request: HttpRequest, actor: Actor, reasons: Any = ()) -> HttpResponse:
    user = User.objects.get(pk=actor.id)
    context = {"person": user, "two_steps": second_factor.factor_of(user) is not None}
    return page(request, "screens/me.html", context, reasons=reasons)


@require_POST
@staff_page("people.change_own_password")
def my_password(request: HttpRequest, actor: Actor) -> HttpResponse:
    """Change one's own password, proved by the present one; sessions elsewhere end, this one goes on.

    Not through `act`: a wrong present password must stay counted though the form is refused.
    """
    given = {"password": request.POST.get("password", ""), "present": request.POST.get("present", "")}
    try:
        user = set_password(actor=actor, user_id=actor.id, **given)
    except Refused as refused:
        return _me(request, actor, refused.reasons)
    update_session_auth_hash(request, user)
    return HttpResponseRedirect(reverse("screens:me") + "?changed", status=SEE_OTHER)
