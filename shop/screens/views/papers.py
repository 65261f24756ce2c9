"""The paper of what was decided about a quote."""

from uuid import UUID

from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

from shop.core.actor import Actor
from shop.core.files import only_to_look_at
from shop.core.rows import existing
from shop.quotes.models import QuoteVersion
from shop.quotes.papers import paper_of
from shop.screens.http import staff_page


@require_safe
@staff_page("quotes.paper")
def quote_paper(_request: HttpRequest, actor: Actor, quote_id: UUID) -> HttpResponse:
    """Return the paper of the decision on one edition of a quote."""
    quote = existing(QuoteVersion.objects.select_related("unit"), quote_id)
    made = paper_of(actor=actor, unit_id=quote.unit_id, edition=quote.edition)
    return only_to_look_at(bytes(made.pdf), "application/pdf", f"quote-{quote.unit}-{quote.edition}.pdf")
