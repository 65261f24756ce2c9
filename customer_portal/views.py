"""The customer's page: where it is, when it is done, what it costs, and the answer to the quote."""

from typing import Any
from uuid import UUID

from django.conf import settings
from django.http import Http404, HttpRequest, HttpResponse, HttpResponseRedirect
from django.shortcuts import render
from django.urls import reverse
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST, require_safe

from customer_portal.limits import address_of, too_often, used_up
from shop.books.receipts import receipt_pdf
from shop.core import audit
from shop.core.actor import Actor, Role
from shop.core.files import only_to_look_at
from shop.core.photos import stored_bytes
from shop.core.profile import profile
from shop.core.reasons import Refused
from shop.floor.customer_view import view_of
from shop.floor.flows.quote import decide_quote
from shop.quotes.queries import read_taken
from shop.units import links, queries
from shop.units.models import CustomerLink, Unit

SEE_OTHER = 303
_WRONG_LINKS = 30
_COOKIE_AGE_S = 60 * 60 * 24 * 180


@never_cache
@require_safe
def enter(request: HttpRequest, token: str) -> HttpResponse:
    """Exchange the secret in the address for a cookie, so that it is not in the address any more."""
    if used_up(request, "link", _WRONG_LINKS) or links.find(token) is None:
        return _no_link(request)
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


def _link(request: HttpRequest) -> CustomerLink | None:
    if used_up(request, "link", _WRONG_LINKS):
        return None
    return links.find(request.COOKIES.get(settings.CUSTOMER_COOKIE_NAME, ""))


def _no_link(request: HttpRequest) -> HttpResponse:
    """Say the same of a withdrawn, a guessed and a missing link."""
    late = too_often(request, "link", _WRONG_LINKS)
    audit.record(audit.Event.LINK_SLOWED if late else audit.Event.LINK_REFUSED, address=address_of(request))
    return render(request, "customer/no_link.html", {"shop": profile()}, status=429 if late else 404)


@never_cache
@require_safe
def unit_page(request: HttpRequest) -> HttpResponse:
    """Show the unit behind the cookie."""
    link = _link(request)
    return _page(request, queries.one(link.unit_id)) if link else _no_link(request)


@never_cache
@require_safe
def part(request: HttpRequest) -> HttpResponse:
    """Return the page's middle alone, which the script puts in when something changed."""
    link = _link(request)
    if link is None:
        return _no_link(request)
    return render(request, "customer/part.html", _context(queries.one(link.unit_id), request))


def _page(request: HttpRequest, unit: Unit, reasons: Any = (), status: int = 200) -> HttpResponse:
    return render(request, "customer/page.html", _context(unit, request) | {"reasons": reasons}, status=status)


def _context(unit: Unit, request: HttpRequest) -> dict[str, Any]:
    view = view_of(unit)
    return {"view": view, "shop": view.shop, "unit": unit, "answered": "answered" in request.GET}


@never_cache
@require_POST
def answer(request: HttpRequest) -> HttpResponse:
    """Take the yes or no to the quote. A double tap is one answer; a stale page is told so."""
    link = _link(request)
    if link is None:
        return _no_link(request)
    actor = Actor(
        role=Role.CUSTOMER,
        id=str(link.id),
        device=request.headers.get("User-Agent", "")[:80],
        address=address_of(request),
    )
    try:
        decide_quote(
            actor=actor,
            quote_id=_quote_id(request),
            approve=request.POST.get("answer") == "yes",
            taken_line_ids=tuple(read_taken(request.POST.getlist("taken"))),
            shown_sha256=request.POST.get("shown", ""),
            reason=request.POST.get("reason", ""),
            agent=request.headers.get("User-Agent", "")[:300],
            unit_id=link.unit_id,
        )
    except Refused as refused:
        return _page(request, queries.one(link.unit_id), refused.reasons, status=409)
    return HttpResponseRedirect(f"{reverse('customer:page')}?answered=1", status=SEE_OTHER)


def _quote_id(request: HttpRequest) -> UUID:
    try:
        return UUID(request.POST.get("quote", ""))
    except ValueError:
        raise Http404 from None


@never_cache
@require_safe
def receipt(request: HttpRequest) -> HttpResponse:
    """Return the receipt."""
    link = _link(request)
    if link is None:
        return _no_link(request)
    unit = queries.one(link.unit_id)
    try:
        return only_to_look_at(receipt_pdf(unit), "application/pdf", f"receipt-{unit}.pdf")
    except Refused as refused:
        return _page(request, unit, refused.reasons, status=409)


@require_safe
def photo(request: HttpRequest, photo_id: UUID) -> HttpResponse:
    """Return one of this unit's pictures that the customer may see."""
    link = _link(request)
    if link is None:
        return _no_link(request)
    kept = queries.photos_of(link.unit, for_customer=True).filter(photo_id=photo_id).first()
    content = stored_bytes(kept.photo) if kept else None
    if content is None:
        raise Http404
    return only_to_look_at(content, "image/jpeg", "picture.jpg", keep=True)
