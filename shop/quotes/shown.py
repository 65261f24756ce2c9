"""An edition as pages and the API show it: every amount computed, nothing left to add up in a face.

What is shown of a sent edition is read back from its frozen content, so that the hash covers what was seen.
"""

import json
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from datetime import date
from typing import Any
from uuid import UUID

from shop.core import clock
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.quotes import content as contents
from shop.quotes import pricing
from shop.quotes.models import QuoteLine, QuoteVersion

State = QuoteVersion.State


@dataclass(frozen=True, slots=True)
class ShownLine:
    """One line. Money is minor units before tax."""

    id: UUID
    kind: str
    kind_words: str
    words: str
    quantity: int
    unit_minor: int
    net_minor: int
    taxed: bool
    optional: bool
    taken: bool
    option: str


@dataclass(frozen=True, slots=True)
class ShownOption:
    """Lines that are taken or left together, and what the total is either way, the other options as they are.

    value is what a form sends for a taken option; read it with `read_taken`.
    """

    option: str
    value: str
    line_ids: tuple[UUID, ...]
    words: tuple[str, ...]
    taken: bool
    net_minor: int
    change_minor: int
    total_with_minor: int
    total_without_minor: int


@dataclass(frozen=True, slots=True)
class ShownQuote:
    """One edition with its sums for the options as chosen. Money is minor units of the currency."""

    id: UUID
    edition: int
    version: int
    state: str
    state_words: str
    open: bool
    within_limit: bool
    currency: str
    note: str
    terms: str
    lines: tuple[ShownLine, ...]
    options: tuple[ShownOption, ...]
    net_minor: int
    taxable_minor: int
    tax_minor: int
    total_minor: int
    tax_name: str
    tax_rate_words: str
    explained: pricing.Explained
    fee_if_declined_total_minor: int
    valid_until: date | None
    content_sha256: str


def shown(quote: QuoteVersion, *, taken: Iterable[str] | None = None) -> ShownQuote:
    """Return an edition for showing, as fetched by `queries`. One query more, for the shop's profile.

    taken are the `option` names that somebody chose but has not sent yet, so that a page without script can show the
    sums first; without it the options stand as stored. Raises Refused with `option_unknown`.
    """
    shop = profile()
    content = json.loads(quote.content) if quote.content else _live(quote)
    lines = _chosen(contents.lines_in(content), quote, taken)
    totals = contents.totals_of(quote, lines)
    today = clock.day_of(clock.now(), shop.time_zone)
    return ShownQuote(
        id=quote.id,
        edition=quote.edition,
        version=quote.version,
        state=quote.state,
        state_words=quote.get_state_display(),
        open=quote.state == State.SENT and quote.valid_until is not None and quote.valid_until >= today,
        within_limit=quote.within_limit,
        currency=quote.currency,
        note=content["note"],
        terms=content["terms"],
        lines=tuple(_line(said, line) for said, line in zip(content["lines"], lines, strict=True)),
        options=_options(quote, content, lines),
        **contents.figures(totals),
        tax_name=quote.tax_name,
        tax_rate_words=pricing.rate_words(quote.tax_rate_millipercent),
        explained=pricing.explain(totals),
        fee_if_declined_total_minor=content["fee_if_declined_total_minor"],
        valid_until=quote.valid_until,
        content_sha256=quote.content_sha256 or contents.sha256(contents.canonical(content)),
    )


def _live(quote: QuoteVersion) -> dict[str, Any]:
    return contents.content_of(quote, quote.lines.all(), quote.unit, profile())


def _chosen(
    lines: tuple[pricing.Line, ...], quote: QuoteVersion, taken: Iterable[str] | None
) -> tuple[pricing.Line, ...]:
    """Return the lines with the options as given, or as stored: a decision marks them in the stored lines."""
    if taken is None:
        taken = {contents.option_of(line) for line in quote.lines.all() if line.optional and line.taken}
    try:
        return pricing.choose(lines, set(taken))
    except ValueError:
        raise Refused(Reason("option_unknown", {}, "take")) from None


def _line(said: Mapping[str, Any], line: pricing.Line) -> ShownLine:
    return ShownLine(
        id=UUID(said["id"]),
        kind=line.kind,
        kind_words=str(QuoteLine.Kind(line.kind).label),
        words=line.words,
        quantity=line.quantity,
        unit_minor=line.unit_minor,
        net_minor=line.net_minor,
        taxed=line.taxed,
        optional=line.optional,
        taken=line.taken,
        option=line.option,
    )


def _options(
    quote: QuoteVersion, content: Mapping[str, Any], lines: tuple[pricing.Line, ...]
) -> tuple[ShownOption, ...]:
    now_taken = {line.option for line in lines if line.optional and line.taken}
    found = []
    for option, group in pricing.options(lines).items():
        ids = [said["id"] for said in content["lines"] if said["option"] == option]
        without, with_it = (
            contents.totals_of(quote, pricing.choose(lines, chosen)).total_minor
            for chosen in (now_taken - {option}, now_taken | {option})
        )
        found.append(
            ShownOption(
                option=option,
                value=",".join(ids),
                line_ids=tuple(map(UUID, ids)),
                words=tuple(line.words for line in group),
                taken=option in now_taken,
                net_minor=sum(line.net_minor for line in group),
                change_minor=with_it - without,
                total_with_minor=with_it,
                total_without_minor=without,
            )
        )
    return tuple(found)


def read_taken(values: Iterable[str]) -> frozenset[UUID]:
    """Return the line ids in what a form or the API sent for the taken options.

    Raises Refused with `option_unknown` for what is no id.
    """
    try:
        return frozenset(UUID(each) for value in values for each in value.split(",") if each)
    except ValueError:
        raise Refused(Reason("option_unknown", {}, "take")) from None
