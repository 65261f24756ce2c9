"""The paper of a decision: made out once as a PDF, kept, and known by its hash to whoever holds a copy."""

import hashlib
import json
from collections.abc import Iterator
from dataclasses import dataclass
from uuid import UUID

from django.conf import settings
from django.db import transaction
from django.utils import translation

from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.core.models import TrailEntry
from shop.core.profile import profile
from shop.core.reader import written_for
from shop.core.reasons import Missing, Reason
from shop.quotes.content import sha256 as hash_of
from shop.quotes.evidence import DECIDED
from shop.quotes.models import Decision, DecisionPaper, QuoteVersion
from shop.quotes.paper_drawing import draw_decision
from shop.quotes.paper_sheet import Circumstances
from shop.units.models import Unit

CHECK_PATH = "/c/check"


def paper_of(*, actor: Actor, unit_id: UUID, edition: int) -> DecisionPaper:
    """Return the paper of what was decided about an edition of a unit's quote, made out at the first call.

    Raises Missing for an edition that is not there or has no decision, and Refused with what `draw_decision` refuses.
    """
    permit(actor, "quotes.paper")
    return _kept(unit_id, edition) or _made(unit_id, edition)


def _kept(unit_id: UUID, edition: int) -> DecisionPaper | None:
    return DecisionPaper.objects.filter(decision__quote__unit=unit_id, decision__quote__edition=edition).first()


def _made(unit_id: UUID, edition: int) -> DecisionPaper:
    """Make the paper out, or return the one that somebody else has made meanwhile.

    It is drawn before the lock is taken: that takes a second for a long quote, and the evidence no longer changes.
    """
    decided = Decision.objects.filter(quote__unit=unit_id, quote__edition=edition)
    decision = decided.select_related("quote__unit__customer").first()
    if decision is None:
        raise Missing(Reason("paper_missing"))
    pdf = _drawn(decision)
    with transaction.atomic():
        lock(Unit, pk=unit_id)
        if kept := _kept(unit_id, edition):
            return kept
        return DecisionPaper.objects.create(decision=decision, pdf=pdf, pdf_sha256=hashlib.sha256(pdf).hexdigest())


def _drawn(decision: Decision) -> bytes:
    """Draw a decision in the customer's language, whoever asks first."""
    unit = decision.quote.unit
    language = unit.customer.language if unit.customer else settings.LANGUAGE_CODE
    with translation.override(language), written_for(language) as locale:
        about = Circumstances(
            by_role=decision.by_role,
            address=decision.address,
            agent=decision.agent,
            zone=profile().time_zone,
            locale=locale,
            check_at=f"{settings.SHOP_ADDRESS}{CHECK_PATH}",
        )
        return draw_decision(decision.content, about)


@dataclass(frozen=True, slots=True)
class Known:
    """A decision that a hash is known for. what it is the hash of: "paper", "evidence" or "shown"."""

    what: str
    decision: Decision


def found_by_hash(sha256: str) -> Known | None:
    """Return what a hash (64 hex digits, lower case) is of: a paper, the evidence, or what was shown; else None.

    What is stored is hashed again: a row that was changed is not found, whatever hash is kept beside it. Three
    queries at most.
    """
    decisions = Decision.objects.select_related("quote__unit")
    paper = DecisionPaper.objects.filter(pdf_sha256=sha256).select_related("decision__quote__unit").first()
    if paper:
        whole = _pdf_hash(paper) == sha256 and hash_of(paper.decision.content) == paper.decision.content_sha256
        return Known("paper", paper.decision) if whole else None
    evidence = decisions.filter(content_sha256=sha256).first()
    if evidence:
        return Known("evidence", evidence) if hash_of(evidence.content) == sha256 else None
    shown = decisions.filter(quote__content_sha256=sha256).first()
    return Known("shown", shown) if shown and hash_of(shown.quote.content) == sha256 else None


def _pdf_hash(paper: DecisionPaper) -> str:
    return hashlib.sha256(bytes(paper.pdf)).hexdigest()


def _not_what_the_trail_says() -> Iterator[tuple[str, QuoteVersion]]:
    """Yield decisions whose hash is not the one that the trail, which cannot be rewritten unseen, holds of them."""
    written = TrailEntry.objects.filter(what__in=DECIDED.values()).values_list("facts", flat=True)
    known = {facts["quote"]: facts["content_sha256"] for facts in map(json.loads, written.iterator())}
    for decision in Decision.objects.select_related("quote__unit").order_by("created_at").iterator():
        if known.get(str(decision.quote_id)) != decision.content_sha256:
            yield "evidence", decision.quote


def changed_since_stored() -> Iterator[tuple[str, QuoteVersion]]:
    """Yield what no longer has the hash that was stored with it: "shown", "evidence" or "paper", and the edition.

    Reads all editions that were shown, all decisions and all papers.
    """
    for quote in QuoteVersion.objects.exclude(content="").select_related("unit").order_by("unit", "edition").iterator():
        if hash_of(quote.content) != quote.content_sha256:
            yield "shown", quote
    for decision in Decision.objects.select_related("quote__unit").order_by("created_at").iterator():
        if hash_of(decision.content) != decision.content_sha256:
            yield "evidence", decision.quote
    yield from _not_what_the_trail_says()
    papers = DecisionPaper.objects.select_related("decision__quote__unit").order_by("created_at")
    for paper in papers.iterator(chunk_size=20):
        if _pdf_hash(paper) != paper.pdf_sha256:
            yield "paper", paper.decision.quote
