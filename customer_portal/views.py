"""The customer's page: where it is, when it is done, what it costs, and the answer to the quote.

One link opens all units of its customer: the one it was given to first, the others by their number.
"""

from collections.abc import Callable, Sequence
from functools import wraps
from typing import Any
from uuid import UUID

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import get_language
from django.utils.translation import gettext as _
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from customer_portal import kept
from customer_portal.limits import address_of, too_often, used_up
from customer_portal.page import context, show
from shop.books.receipts import receipt_pdf
from shop.core import audit
from shop.core.actor import Actor, Role
from shop.core.files import only_to_look_at
from shop.core.photos import stored_bytes
from shop.core.profile import profile
from shop.core.reader import written_for
from shop.core.reasons import Missing, Reason, Refused
from shop.core.text import choice
from shop.floor.customer_reading import units_behind
from shop.floor.customer_state import state_behind
from shop.floor.flows.quote import decide_quote
from shop.floor.forms import taken_values
from shop.quotes.papers import paper_of
from shop.quotes.questions import ask
from shop.quotes.shown import read_taken
from shop.units import links, queries
from shop.units.models import Unit

SEE_OTHER = 303
_WRONG_LINKS = 30
_QUESTIONS = 20
_COOKIE_AGE_S = 60 * 60 * 24 * 180

Opened = Callable[..., HttpResponse]


@never_cache
@require_safe
def enter(request: HttpRequest, token: str) -> HttpResponse:
    """Exchange the secret in the address for a cookie, so that it is not in the address any more."""
    if used_up(request, "link", _WRONG_LINKS) or links.find(token) is None:
        return no_link(request)
    answer = HttpResponseRedirect(reverse("customer:page"), status=SEE_OTHER)
    answer.set_cookie(
        settings.CUSTOMER_COOKIE_NAME,
        token,
        max_age=_COOKIE_AGE_S,
        secure=settings.HTTPS,
        httponly=True,
        samesite="Lax",
        path="/",
    )
    answer["Referrer-Policy"] = "no-referrer"
    return answer


def with_link(view: Opened) -> Opened:
    """Hand a view the units that the cookie's link opens, and write for the reader's language.

    The address may name one of them by its number; any other number is not there, whoever's it is.
    """

    @never_cache
    @wraps(view)
    def opened(request: HttpRequest, number: int | None = None, **kwargs: Any) -> HttpResponse:
        units = [] if used_up(request, "link", _WRONG_LINKS) else units_behind(_token(request))
        if not units:
            return no_link(request)
        unit = next((each for each in units if number in (None, each.number)), None)
        if unit is None:
            raise Http404
        with written_for(get_language() or "en"):
            return view(request, units, unit, **kwargs)

    return opened


def _token(request: HttpRequest) -> str:
    return request.COOKIES.get(settings.CUSTOMER_COOKIE_NAME, "")


def no_link(request: HttpRequest) -> HttpResponse:
    """Say the same of a withdrawn, a guessed and a missing link, and offer to send the right one."""
    late = too_often(request, "link", _WRONG_LINKS)
    audit.record(audit.Event.LINK_SLOWED if late else audit.Event.LINK_REFUSED, address=address_of(request))
    return render(request, "customer/no_link.html", {"shop": profile()}, status=429 if late else 404)


@never_cache
@require_safe
def unit_page(request: HttpRequest, number: int | None = None) -> HttpResponse:
    """Show a unit, from the kept copy where nothing was changed since."""
    token = _token(request)
    state = "" if used_up(request, "link", _WRONG_LINKS) else state_behind(token)
    name = kept.name_of(request, state, token)
    if name and (page := kept.page(request, name)):
        return page
    answer = _unit_page(request, number=number)
    kept.keep(name, answer)
    return answer


@with_link
def _unit_page(request: HttpRequest, units: Sequence[Unit], unit: Unit) -> HttpResponse:
    return show(request, units, unit)


@require_safe
@with_link
def part(request: HttpRequest, units: Sequence[Unit], unit: Unit) -> HttpResponse:
    """Return the page's middle alone, which the script puts in when something changed."""
    return render(request, "customer/part.html", context(request, units, unit))


def customer(request: HttpRequest, units: Sequence[Unit]) -> Actor:
    """Return who acts: the holder of the link that opened these units, which is the first one's."""
    return Actor(
        role=Role.CUSTOMER,
        id=str(units[0].link_id),  # type: ignore[attr-defined]
        device=request.headers.get("User-Agent", "")[:80],
        address=address_of(request),
    )


@require_POST
@with_link
def answer(request: HttpRequest, units: Sequence[Unit], unit: Unit) -> HttpResponse:
    """Take the yes or no to the quote. A double tap is one answer; a stale page is told so."""
    try:
        decide_quote(
            actor=customer(request, units),
            quote_id=_quote_id(request),
            approve=_yes(request),
            taken_line_ids=tuple(read_taken(taken_values(request.POST))),
            agreed=tuple(request.POST.getlist("agreed")),
            shown_sha256=request.POST.get("shown", ""),
            reason=request.POST.get("reason", ""),
            agent=request.headers.get("User-Agent", "")[:300],
            unit_id=unit.id,
        )
    except Refused as refused:
        return show(request, units_behind(_token(request)) or units, unit, refused.reasons, status=409)
    return _back(unit, "answered=1")


def _yes(request: HttpRequest) -> bool:
    """Return whether the answer is yes; what is neither yes nor no is no answer."""
    return choice(request.POST.get("answer", ""), ("yes", "no"), label=_("The answer"), field="answer") == "yes"


def _quote_id(request: HttpRequest) -> UUID:
    try:
        return UUID(request.POST.get("quote", ""))
    except ValueError:
        raise Http404 from None


def _back(unit: Unit, said: str, at: str = "") -> HttpResponse:
    address = reverse("customer:unit", args=[unit.number])
    return HttpResponseRedirect(f"{address}?{said}{at}", status=SEE_OTHER)


@require_POST
@with_link
def question(request: HttpRequest, units: Sequence[Unit], unit: Unit) -> HttpResponse:
    """Take a question about a unit; what was typed stays when it cannot be taken."""
    try:
        if too_often(request, "question", _QUESTIONS):
            return show(request, units, unit, (Reason("asked_too_often"),), status=429)
        ask(actor=customer(request, units), unit_id=unit.id, text=request.POST.get("question", ""))
    except Refused as refused:
        return show(request, units, unit, refused.reasons, status=422)
    return _back(unit, "asked=1", "#questions")


@require_safe
@with_link
def receipt(request: HttpRequest, units: Sequence[Unit], unit: Unit) -> HttpResponse:
    """Return the receipt."""
    try:
        content = receipt_pdf(queries.one(unit.id))
    except Refused as refused:
        return show(request, units, unit, refused.reasons, status=409)
    return only_to_look_at(content, "application/pdf", f"receipt-{unit}.pdf")


@require_safe
@with_link
def paper(request: HttpRequest, units: Sequence[Unit], unit: Unit, edition: int) -> HttpResponse:
    """Return the paper of a decision on one edition of the quote."""
    try:
        made = paper_of(actor=customer(request, units), unit_id=unit.id, edition=edition)
    except Missing:
        raise Http404 from None
    except Refused as refused:
        return show(request, units, unit, refused.reasons, status=409)
    return only_to_look_at(bytes(made.pdf), "application/pdf", f"quote-{unit}-{edition}.pdf")


@require_safe
@with_link
def photo(_request: HttpRequest, units: Sequence[Unit], _unit: Unit, photo_id: UUID) -> HttpResponse:
    """Return a picture of one of the customer's units that they may see."""
    kept = queries.photos_seen(units, photo_id)
    content = stored_bytes(kept.photo) if kept else None
    if content is None:
        raise Http404
    return only_to_look_at(content, "image/jpeg", "picture.jpg", keep=True)
