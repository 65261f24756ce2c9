"""A quote being written: its lines, its sums, and sending it."""

from functools import partial
from typing import Any
from uuid import UUID

from django.http import HttpRequest, HttpResponse, QueryDict
from django.urls import reverse
from django.views.decorators.http import require_POST, require_safe

from shop.boards.queries import extras
from shop.core.actor import Actor, may
from shop.core.profile import profile
from shop.core.rows import existing
from shop.floor.flows import quote as flows
from shop.quotes.actions import change_quote
from shop.quotes.models import QuoteVersion
from shop.quotes.queries import shown, shown_editions
from shop.quotes.shown import changed_since, decision_of
from shop.quotes.template_actions import keep_as_template, templates
from shop.screens.http import act, actor_of_request, given_version, page, staff_page
from shop.screens.verbs.quotes import CHOICES, operation
from shop.units import queries

QUOTE_VERBS = (
    "send", "go-ahead", "withdraw", "keep", "add", "change", "remove", "move", "note", "reason", "template", "offer",
)  # fmt: skip


@require_safe
@staff_page("quotes.write")
def quote_page(request: HttpRequest, _actor: Actor, quote_id: UUID) -> HttpResponse:
    """Show an edition, editable while it is a draft."""
    return _quote(request, quote_id)


def _quote(request: HttpRequest, quote_id: UUID, reasons: Any = ()) -> HttpResponse:
    company = QuoteVersion.objects.select_related("unit__model", "decision")
    quote = existing(company.prefetch_related("lines__service", "lines__donor"), quote_id)
    changes, changed_from = changed_since(quote, shown_editions(quote.unit_id))
    context = CHOICES | {
        "quote": shown(quote),
        "changes": changes,
        "changed_from": changed_from,
        "unit": queries.one(quote.unit_id),
        "is_draft": quote.state == QuoteVersion.State.DRAFT,
        "decided": may(actor_of_request(request), "quotes.paper") and decision_of(quote) is not None,
        "templates": templates(),
        "extras": extras(),
        "urgency_millipercent": profile().urgency_millipercent,
        "typed": request.POST,
        "currency": profile().currency,
    }
    return page(request, "screens/quote.html", context, reasons=reasons)


@require_POST
@staff_page("quotes.write")
def quote_do(request: HttpRequest, actor: Actor, quote_id: UUID, verb: str) -> HttpResponse:
    """Change a draft, send it, go ahead within the limit, take back what waits, or keep it as a template."""

    def perform(post: QueryDict) -> str:
        if verb == "send":
            quote = flows.send_quote(actor=actor, quote_id=quote_id, version=given_version(post) or 0)
        elif verb == "go-ahead":
            quote = flows.go_ahead(actor=actor, quote_id=quote_id).quote
        elif verb == "withdraw":
            quote = flows.withdraw_quote(actor=actor, quote_id=quote_id, reason=post.get("reason", ""))
        elif verb == "keep":
            keep_as_template(actor=actor, quote_id=quote_id, name=post.get("name", ""))
            return reverse("screens:quote", args=[quote_id])
        else:
            change = operation(verb, post)
            change_quote(actor=actor, quote_id=quote_id, version=given_version(post) or 0, operations=[change])
            return reverse("screens:quote", args=[quote_id])
        return reverse("screens:unit", args=[quote.unit.number])

    return act(request, actor, perform, partial(_quote, quote_id=quote_id))
