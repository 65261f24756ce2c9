"""How a decision is recorded: what was shown and chosen, by whom and from where, and what that does to the editions."""

import json
from collections.abc import Collection
from uuid import UUID

from django.utils.translation import gettext as _

from shop.core import clock, trail
from shop.core.actor import Actor
from shop.core.locks import save
from shop.core.reasons import Reason, Refused
from shop.core.text import words
from shop.quotes import content as contents
from shop.quotes.choices import check_choice, whole_options
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.quotes.old_forms import read_back
from shop.units.models import Unit

State = QuoteVersion.State


def move(quote: QuoteVersion, state: str, *fields: str) -> None:
    """Write the state of a locked edition, and the named fields with it."""
    quote.state = state
    save(quote, "state", *fields)


def repeated(*, quote_id: UUID, approve: bool, taken_line_ids: Collection[UUID], shown_sha256: str) -> Decision | None:
    """Return the decision on an edition that says the very same, for a flow to answer a double tap with; else None."""
    decision = Decision.objects.filter(quote_id=quote_id).select_related("quote", "words").first()
    if decision is None or decision.quote.state not in (State.APPROVED, State.DECLINED):
        return None
    kept = json.loads(decision.content)
    kind = Decision.Kind.APPROVED if approve else Decision.Kind.DECLINED
    taken = sorted(map(str, taken_line_ids)) if approve else []
    same = (decision.kind, kept["taken"], kept["shown_sha256"]) == (kind, taken, shown_sha256)
    return decision if same else None


def take(lines: list[QuoteLine], taken: frozenset[UUID]) -> None:
    """Mark exactly these optional lines as taken.

    Raises Refused with `option_unknown`, `option_incomplete`, `option_one_of`, `option_at_most_one` or
    `option_requires`.
    """
    optional = [line for line in lines if line.optional]
    chosen = whole_options({line.id: contents.option_of(line) for line in optional}, taken)
    check_choice([contents.priced(line) for line in lines], chosen)
    for line in optional:
        line.taken = line.id in taken
    QuoteLine.objects.bulk_update(optional, ["taken"])


def insist_on_terms(quote: QuoteVersion, taken: Collection[str], agreed: Collection[str]) -> frozenset[str]:
    """Return which terms got the yes of their own that they want, or raise Refused with `terms_not_agreed`.

    taken are the options taken: a term that only some options call for is asked of who takes one of them.
    """
    terms = [term for term in read_back(quote.content)["terms"] if term["asks"]]
    asked = {term["code"] for term in terms if not term["options"] or set(term["options"]) & set(taken)}
    if asked - set(agreed):
        raise Refused(Reason("terms_not_agreed", {"terms": ", ".join(sorted(asked - set(agreed)))}, "agreed"))
    return frozenset(asked)


# What a decision is called in the trail.
DECIDED = {
    Decision.Kind.APPROVED: "quote_approved",
    Decision.Kind.DECLINED: "quote_declined",
    Decision.Kind.WITHIN_LIMIT: "went_ahead_within_limit",
}


def record(
    actor: Actor,
    unit: Unit,
    quote: QuoteVersion,
    *,
    kind: Decision.Kind,
    lines: list[QuoteLine],
    agreed: Collection[str] = (),
    said: str = "",
    agent: str = "",
) -> Decision:
    """Write the decision with its evidence, move the editions, and append to the trail."""
    totals = contents.totals_of(quote, map(contents.priced, lines))
    declined = kind == Decision.Kind.DECLINED
    taken = [] if declined else [str(line.id) for line in lines if line.optional and line.taken]
    now = clock.now()
    evidence = contents.answer(
        json.loads(quote.content),
        kind=kind.value,
        taken=taken,
        agreed=agreed,
        totals=totals,
        decided_at=now.isoformat(),
    )
    kept = {"total_minor": totals.total_minor, "content_sha256": contents.sha256(evidence)}
    facts = {"quote": quote.id, "edition": quote.edition, "currency": quote.currency, "taken": sorted(taken)}
    facts |= {"replaces": _move_editions(unit, quote, declined=declined)}
    entry = trail.write(unit, actor, DECIDED[kind], after=str(quote.edition), facts=facts | kept, note=said)
    return Decision.objects.create(
        quote=quote, kind=kind, created_at=now, content=evidence, words=entry.note, **kept, **_by_whom(actor, agent)
    )


def _move_editions(unit: Unit, quote: QuoteVersion, *, declined: bool) -> int | None:
    """Write the new state of the decided edition, and return the number of the one whose place it takes, if any."""
    # Who declines an extra keeps what was approved before; only a new approval takes the place of an older one.
    earlier = None if declined else QuoteVersion.objects.filter(unit=unit, state=State.APPROVED).first()
    if earlier:
        move(earlier, State.REPLACED)
    # A draft that goes ahead is frozen by this very write; for a sent edition these fields are what they were.
    move(quote, State.DECLINED if declined else State.APPROVED, "within_limit", "content", "content_sha256")
    return earlier.edition if earlier else None


def _by_whom(actor: Actor, agent: str) -> dict[str, str]:
    """Return who decided and from where, as a decision keeps it; agent is what the browser calls itself."""
    return {
        "by_role": actor.role.value,
        "by_id": actor.id[:60],
        "address": actor.address[:45],
        "agent": words(agent[:300], label=_("The browser"), limit=600, required=False)[:300],
    }
