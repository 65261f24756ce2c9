"""A quote being written: its lines, its sums, and sending it."""

from functools import partial
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.core.actor import Actor
from shop.core.profile import profile
from shop.core.reasons import Missing, Reason
from shop.floor.flows import quote as flows
from shop.quotes.actions import change_quote
from shop.quotes.models import QuoteLine, QuoteVersion
from shop.quotes.operations import AddLine, ChangeLine, RemoveLine, SetNote
from shop.quotes.queries import shown
from shop.screens.http import act, given_version, page, staff_page
from shop.screens.verbs.common import given_money, given_number, needed_uuid
from shop.units import queries

QUOTE_VERBS = ("send", "go-ahead", "withdraw", "add", "change", "remove", "note")


@require_safe
@staff_page("quotes.write")
def quote_page(request: HttpRequest, _actor: Actor, quote_id: UUID) -> HttpResponse:
    """Show an edition, editable while it is a draft."""
    return _quote(request, quote_id)


def _quote(request: HttpRequest, quote_id: UUID, reasons: Any = ()) -> HttpResponse:
    quote = QuoteVersion.objects.select_related("unit__model").prefetch_related("lines").filter(pk=quote_id).first()
    if quote is None:
        raise Missing(Reason("missing", {"thing": "quote", "sought": quote_id}))
    context = {
        "quote": shown(quote),
        "unit": queries.one(quote.unit_id),
        "is_draft": quote.state == QuoteVersion.State.DRAFT,
        "kinds": QuoteLine.Kind.choices,
        "typed": request.POST,
        "reasons": reasons,
        "currency": profile().currency,
    }
    return page(request, "screens/quote.html", context, status=422 if reasons else 200)


@require_POST
@staff_page("quotes.write")
def quote_do(request: HttpRequest, actor: Actor, quote_id: UUID, verb: str) -> HttpResponse:
    """Change a draft, send it, go ahead within the limit, or take back what waits."""

    def perform(post: QueryDict) -> str:
        if verb == "send":
            quote = flows.send_quote(actor=actor, quote_id=quote_id, version=given_version(post) or 0)
        elif verb == "go-ahead":
            quote = flows.go_ahead(actor=actor, quote_id=quote_id).quote
        elif verb == "withdraw":
            quote = flows.withdraw_quote(actor=actor, quote_id=quote_id, reason=post.get("reason", ""))
        else:
            operation = _operation(verb, post)
            change_quote(actor=actor, quote_id=quote_id, version=given_version(post) or 0, operations=[operation])
            return reverse("screens:quote", args=[quote_id])
        return reverse("screens:unit", args=[quote.unit.number])

    return act(request, actor, perform, partial(_quote, quote_id=quote_id))


def _operation(verb: str, post: QueryDict) -> AddLine | RemoveLine | ChangeLine | SetNote:
    """Read one named operation from its form."""
    if verb == "remove":
        return RemoveLine(line_id=needed_uuid(post, "line", "Line"))
    if verb == "note":
        return SetNote(text=post.get("note", ""))
    if verb == "change":
        return ChangeLine(
            line_id=needed_uuid(post, "line", "Line"),
            words=post.get("words", ""),
            quantity=given_number(post, "quantity", "Quantity"),
            unit_minor=given_money(post, "price", "Price of one"),
        )
    if verb == "add":
        return AddLine(
            kind=post.get("kind", ""),
            words=post.get("words", ""),
            quantity=given_number(post, "quantity", "Quantity"),
            unit_minor=given_money(post, "price", "Price of one"),
            optional="optional" in post,
        )
    raise Missing(Reason("missing", {"thing": "act", "sought": verb}))
