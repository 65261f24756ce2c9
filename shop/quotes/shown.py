"""An edition as pages and the API show it: every amount computed, nothing left to add up in a face.

What is shown of an edition that was sent is read back from its frozen content, so that the hash covers what was seen.
"""

import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from typing import Any
from uuid import UUID

from django.utils.translation import gettext as _

from shop.core import clock, money
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.core.reader import reader_locale
from shop.core.reasons import Reason, Refused
from shop.ledger.tax import TaxRow
from shop.quotes import content as contents
from shop.quotes import pricing
from shop.quotes.changes import LineChange, changes
from shop.quotes.choices import taken_options, whole_options
from shop.quotes.elections import rules_of
from shop.quotes.lines import Line
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.quotes.old_forms import read_back
from shop.quotes.shown_data import ShownLine, ShownOption, ShownQuote, ShownTax, ShownTerm

__all__ = ["ShownLine", "ShownOption", "ShownQuote", "changed_since", "read_taken", "shown", "taken_lines"]
State = QuoteVersion.State


def shown(quote: QuoteVersion, *, taken: Collection[UUID] | None = None) -> ShownQuote:
    """Return an edition for showing, as fetched by `queries`. One query more, for the shop's profile.

    taken are the optional lines that somebody ticked but has not sent yet, so that the sums can be seen first; without
    it the options stand as decided, or as the shop set them. Raises Refused with `option_unknown` or
    `option_incomplete`, and what `pricing.price` raises of a choice that is not allowed.
    """
    shop = profile()
    content = content_now(quote, shop)
    lines = _chosen(content, quote, taken)
    totals = contents.totals_of(quote, lines)
    nets = contents.comes_to(lines, totals)
    terms = tuple(_term(term, content) for term in content["terms"])
    return ShownQuote(
        id=quote.id,
        edition=quote.edition,
        version=quote.version,
        state=quote.state,
        state_words=str(State(quote.state).label),
        open=quote.state == State.SENT and _holds(quote, shop),
        within_limit=quote.within_limit,
        urgent=any(line.kind == QuoteLine.Kind.SURCHARGE for line in lines),
        currency=quote.currency,
        note=content["note"],
        why_changed=content["why_changed"],
        terms=terms,
        lines=tuple(_line(said, line, net) for said, line, net in zip(content["lines"], lines, nets, strict=True)),
        options=_options(quote, content, lines),
        not_allowed=() if taken is None else _not_allowed(lines),
        **contents.figures(totals),
        taxes=tuple(_tax(row) for row in totals.table if row.rate_millipercent),
        prices_include_tax=quote.prices_include_tax,
        tax_name=quote.tax_name,
        tax_rate_words=pricing.rate_words(quote.tax_rate_millipercent),
        explained=pricing.explain(totals),
        deposit_minor=contents.deposit_of(content, totals.total_minor),
        fee_if_declined_total_minor=content["fee_if_declined_total_minor"],
        valid_until=quote.valid_until,
        content_sha256=quote.content_sha256 or contents.sha256(contents.canonical(content)),
    )


def _term(said: Mapping[str, Any], content: Mapping[str, Any]) -> ShownTerm:
    words = {line["option"]: line["words"] for line in reversed(content["lines"])}
    only_with = ", ".join(words.get(option, "") for option in said["options"])
    return ShownTerm(said["code"], said["words"], said["asks"], only_with)


def content_now(quote: QuoteVersion, shop: ShopProfile) -> dict[str, Any]:
    """Return what an edition says: as it was frozen, or a draft as it stands."""
    if quote.content:
        return read_back(quote.content)
    return contents.content_of(quote, quote.lines.all(), quote.unit, shop)


def _holds(quote: QuoteVersion, shop: ShopProfile) -> bool:
    return quote.valid_until is not None and quote.valid_until >= clock.day_of(clock.now(), shop.time_zone)


def decision_of(quote: QuoteVersion) -> Decision | None:
    """Return what was decided about an edition fetched with its decision, or None."""
    return getattr(quote, "decision", None)


def taken_lines(quote: QuoteVersion) -> tuple[Line, ...]:
    """Return the lines of an edition that was shown, with the options as decided, or as the shop set them."""
    return _chosen(read_back(quote.content), quote, None)


def _chosen(content: Mapping[str, Any], quote: QuoteVersion, taken: Collection[UUID] | None) -> tuple[Line, ...]:
    """Return the lines with the options as given, as decided, or as they were set."""
    lines = contents.lines_in(content)
    if taken is None and (decision := decision_of(quote)) and decision.kind != Decision.Kind.DECLINED:
        taken = [UUID(line_id) for line_id in json.loads(decision.content)["taken"]]
    if taken is None:
        return lines
    options = {UUID(said["id"]): said["option"] for said in content["lines"] if said["optional"]}
    return pricing.choose(lines, whole_options(options, taken))


def _not_allowed(lines: Sequence[Line]) -> tuple[Reason, ...]:
    try:
        pricing.check_choice(lines, taken_options(lines))
    except Refused as refused:
        return refused.reasons
    return ()


def _line(said: Mapping[str, Any], line: Line, net_minor: int) -> ShownLine:
    return ShownLine(
        id=UUID(said["id"]),
        key=UUID(said["key"]),
        kind=line.kind,
        kind_words=str(QuoteLine.Kind(line.kind).label),
        words=line.words,
        about=_about(said, line),
        why=said["why"],
        quantity=line.quantity,
        unit_minor=line.unit_minor,
        discount_millipercent=line.discount_millipercent,
        percent_millipercent=line.percent_millipercent,
        net_minor=net_minor,
        tax_class=line.tax_class.value,
        optional=line.optional,
        taken=line.taken,
        option=line.option,
        one_of=line.one_of,
        may_skip=line.may_skip,
        needs=line.needs,
        source=said["source"],
        donor=said["donor"],
    )


def _about(said: Mapping[str, Any], line: Line) -> str:
    """Say in a line what explains another: why it is needed, whose part it is, and what was taken off."""
    parts = [said["why"].rstrip(".")] if said["why"] else []
    if said["source"] == QuoteLine.Source.CUSTOMER:
        parts.append(_("brought by you: no charge, no warranty on the part"))
    if said["source"] == QuoteLine.Source.HARVESTED:
        parts.append(_("used part, from unit %(donor)s") % {"donor": said["donor"]})
    if line.discount_millipercent:
        parts.append(_("%(percent)s off") % {"percent": _rate(line.discount_millipercent)})
    if line.percent_millipercent:
        parts.append(_("%(percent)s of the rest") % {"percent": _rate(line.percent_millipercent)})
    return _joined(parts)


def _joined(remarks: Iterable[str]) -> str:
    return _("; ").join(filter(None, remarks))


def _rate(millipercent: int) -> str:
    return money.show_rate(millipercent, reader_locale())


def _tax(row: TaxRow) -> ShownTax:
    return ShownTax(row.tax_class.value, pricing.rate_words(row.rate_millipercent), row.taxable_minor, row.tax_minor)


def _options(quote: QuoteVersion, content: Mapping[str, Any], lines: Sequence[Line]) -> tuple[ShownOption, ...]:
    rules = rules_of(quote)
    groups = pricing.options(lines)
    words = {option: group[0].words for option, group in groups.items()}
    changes_by = pricing.changes(lines, rules)
    return tuple(_option(option, group, content, changes_by[option], words) for option, group in groups.items())


def _option(
    option: str, group: Sequence[Line], content: Mapping[str, Any], change: pricing.Change, words: Mapping[str, str]
) -> ShownOption:
    said = [line for line in content["lines"] if line["option"] == option]
    ids = [line["id"] for line in said]
    needs = [words.get(line.needs, "") for line in group if line.needs]
    return ShownOption(
        option=option,
        value=",".join(ids),
        line_ids=tuple(map(UUID, ids)),
        words=tuple(line.words for line in group),
        about=_joined(_about(each, line) for each, line in zip(said, group, strict=True)),
        taken=any(line.taken for line in group),
        group=next((line.one_of for line in group if line.one_of), ""),
        may_skip=any(line.may_skip for line in group),
        needs_words=", ".join(filter(None, needs)),
        net_minor=sum(line.net_minor for line in group),
        change_minor=change.total_minor,
        total_with_minor=change.with_minor,
        total_without_minor=change.without_minor,
    )


def changed_since(quote: QuoteVersion, editions: Iterable[QuoteVersion]) -> tuple[tuple[LineChange, ...], int]:
    """Return how an edition differs from the one that its customer saw before, and that one's number; 0 for none.

    editions are those that were shown, in any order.
    """
    earlier = [each for each in editions if each.edition < quote.edition and each.content]
    if not earlier:
        return (), 0
    last = max(earlier, key=lambda each: each.edition)
    return changes(read_back(last.content), content_now(quote, profile())), last.edition


def read_taken(values: Iterable[str]) -> frozenset[UUID]:
    """Return the line ids in what a form or the API sent for the taken options.

    Raises Refused with `option_unknown` for what is no id.
    """
    try:
        return frozenset(UUID(each) for value in values for each in value.split(",") if each)
    except ValueError:
        raise Refused(Reason("option_unknown", {}, "take")) from None
