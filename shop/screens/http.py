"""What every staff page shares: who asks, a form that is sent once, a refusal that keeps what was typed."""

from collections.abc import Callable, Collection
from dataclasses import dataclass
from functools import wraps
from typing import Any
from uuid import UUID, uuid4

from django.conf import settings
from django.contrib.auth.views import redirect_to_login
from django.http import HttpRequest, HttpResponse, HttpResponseRedirect, QueryDict
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext_lazy as _

from shop.core import audit
from shop.core.actor import STRANGER, Actor, Role, may
from shop.core.idempotency import Answer, fingerprint, once
from shop.core.profile import profile
from shop.core.reasons import Missing, Reason, Refused
from shop.people.models import Place, User

View = Callable[..., HttpResponse]
SEE_OTHER = 303
_RAIL = (
    ("screens:floor", "floor.see", _("Floor")),
    ("screens:counter", "units.write_up", _("Counter")),
    ("screens:bench", "work.do", _("Bench")),
    ("screens:plan", "planning.see", _("Plan")),
    ("screens:reckoner", "floor.reckon", _("Reckoner")),
    ("screens:notices", "notices.see", _("Notices")),
    ("screens:shop", "floor.see", _("Shop")),
)


def actor_of_request(request: HttpRequest) -> Actor:
    """Return the person who is signed in, or the stranger. The device is the browser's own name for itself."""
    user = request.user
    if not isinstance(user, User):
        return STRANGER
    return Actor(
        role=Role(user.role),
        id=str(user.id),
        name=user.name,
        device=request.headers.get("User-Agent", "")[:80],
        address=request.META.get("REMOTE_ADDR", ""),
        client_key=request.POST.get("once", "")[:80],
    )


def staff_page(verb: str) -> Callable[[View], View]:
    """Let a view be seen by whoever has the verb; strangers go to the sign-in page, others get a sentence."""

    def wrap(view: View) -> View:
        @wraps(view)
        def inner(request: HttpRequest, *args: Any, **kwargs: Any) -> HttpResponse:
            actor = actor_of_request(request)
            if not actor.is_staff:
                return redirect_to_login(request.get_full_path(), reverse("screens:sign-in"))
            if _owes_a_second_step(request, actor):
                return HttpResponseRedirect(reverse("screens:second-step"), status=SEE_OTHER)
            if not may(actor, verb):
                return _not_permitted(request, actor, Reason("not_permitted", {"verb": verb, "role": actor.role.value}))
            try:
                return view(request, actor, *args, **kwargs)
            except Missing as missing:
                return refusal(request, missing, status=404)
            except Refused as refused:
                return refusal(request, refused, status=409)

        return inner

    return wrap


def _owes_a_second_step(request: HttpRequest, actor: Actor) -> bool:
    """Tell whether an owner, before whom all lies open, must set one up first: in the production form (6.3.3)."""
    if not (settings.PRODUCTION and actor.role is Role.OWNER) or request.session.get("two_steps"):
        return False
    return request.path != reverse("screens:second-step")


@dataclass(frozen=True, slots=True)
class RailPlace:
    """One entry of the rail along the top."""

    address: str
    label: str
    here: bool


def page(
    request: HttpRequest,
    template: str,
    context: dict[str, Any] | None = None,
    *,
    reasons: Collection[Reason] = (),
    status: int | None = None,
) -> HttpResponse:
    """Render a staff page: the shop, the rail, a fresh key for its forms, and the bench that this device is tied to.

    reasons are why its form was refused: they are shown above it, and the status is 422 unless another is given. No
    browser keeps the page: who uses the device next must not find a customer's address by going back.
    """
    actor = actor_of_request(request)
    shared = {
        "shop": profile(),
        "actor": actor,
        "rail": _rail(request, actor),
        "once": uuid4().hex,
        "tied_bench": request.session.get("bench", ""),
        "reasons": reasons,
    }
    status = status or (422 if reasons else 200)
    answer = render(request, template, shared | (context or {}), status=status)
    answer.headers["Cache-Control"] = "no-store"
    return answer


def _rail(request: HttpRequest, actor: Actor) -> list[RailPlace]:
    return [
        RailPlace(reverse(name), str(label), request.path == reverse(name))
        for name, verb, label in _RAIL
        if actor.is_staff and may(actor, verb)
    ]


def refusal(request: HttpRequest, refused: Refused, *, status: int = 403) -> HttpResponse:
    """Render a page that says why not."""
    return page(request, "screens/refused.html", reasons=refused.reasons, status=status)


def act(request: HttpRequest, actor: Actor, perform: Callable[[QueryDict], str], again: View) -> HttpResponse:
    """Perform a posted form once, and go to the address that perform returns.

    A repeated submission (the same hidden `once`) gets the first answer. A refusal shows the form again by calling
    again(request, reasons=…), with what was typed; nothing was written.
    """
    try:
        answer = once(
            actor=actor,
            key=request.POST.get("once", ""),
            fingerprint=fingerprint(request.path, request.POST.urlencode()),
            perform=lambda: Answer(SEE_OTHER, perform(request.POST)),
        )
    except Refused as refused:
        if refused.code == "not_permitted":
            return _not_permitted(request, actor, *refused.reasons)
        return again(request, reasons=refused.reasons)
    return HttpResponseRedirect(answer.body, status=answer.status)


def no_such_act(verb: str) -> Missing:
    """Return the refusal of a form that names an act which its page does not know."""
    return Missing(Reason("missing", {"thing": "act", "sought": verb}))


def _not_permitted(request: HttpRequest, actor: Actor, *reasons: Reason) -> HttpResponse:
    """Say that this role may not, and leave a line in the log."""
    verb = str(reasons[0].facts.get("verb", ""))
    audit.record(audit.Event.ROLE_REFUSED, address=actor.address, who=actor.id, role=actor.role.value, verb=verb)
    return refusal(request, Refused(*reasons))


def given_uuid(post: QueryDict, name: str) -> UUID | None:
    """Return a posted id, or None when it is empty. Raises Refused with `missing` when it is not an id at all."""
    text = post.get(name, "").strip()
    if not text:
        return None
    try:
        return UUID(text)
    except ValueError:
        raise Refused(Reason("missing", {"thing": name, "sought": text[:40]}, name)) from None


def given_version(post: QueryDict) -> int | None:
    """Return the version that the page showed, or None when it sent none."""
    text = post.get("version", "")
    return int(text) if text.isascii() and text.isdigit() and len(text) < 10 else None


def tied_bench(request: HttpRequest) -> Place | None:
    """Return the bench that this device is tied to, if it still is one."""
    kept = request.session.get("bench")
    return Place.objects.filter(pk=kept, kind=Place.Kind.BENCH, retired_at=None).first() if kept else None
