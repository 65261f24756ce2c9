"""The paper of what was decided about a quote."""

from uuid import UUID

from api.operation import Call, Endpoint, operation
from shop.core.rows import existing
from shop.quotes.models import QuoteVersion
from shop.quotes.papers import paper_of


class QuotePaper(Endpoint):
    """The paper of a decision."""

    @operation("get_quote_paper", verb="quotes.paper", binary=("application/pdf",))
    def get(self, call: Call, quote_id: UUID) -> bytes:
        """Return what was decided about an edition, with its evidence, as PDF: the same file each time."""
        quote = existing(QuoteVersion, quote_id)
        return bytes(paper_of(actor=call.actor, unit_id=quote.unit_id, edition=quote.edition).pdf)
