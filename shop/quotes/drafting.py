"""The lines that a new edition starts from. Nothing is saved here."""

from django.utils.translation import gettext as _

from shop.boards.models import Service
from shop.quotes.models import QuoteLine, QuoteVersion
from shop.units.models import Finding, Unit
from shop.work.repairs import offer_words

_WORDS_LIMIT = 160
Kind = QuoteLine.Kind


def first_lines(quote: QuoteVersion, unit: Unit) -> list[QuoteLine]:
    """Return labour and parts of each wished service, at the library's prices, or at nothing on a free comeback.

    An optional extra becomes an option that nobody has taken yet: what costs more is for the customer to tick. Its
    parts hang on the same service and so go with it. Two queries.
    """
    lines: list[QuoteLine] = []
    for service in unit.services.order_by("name", "code").prefetch_related("parts__part"):
        lines.append(_line(quote, unit, service, kind=Kind.LABOUR, words=service.name, unit_minor=service.price_minor))
        lines += [
            _line(
                quote,
                unit,
                service,
                kind=Kind.PART,
                words=needed.part.name,
                unit_minor=needed.part.price_minor,
                part=needed.part,
                quantity=needed.quantity,
            )
            for needed in sorted(service.parts.all(), key=lambda needed: needed.part.code)
        ]
    return lines


def with_repairs(lines: list[QuoteLine], quote: QuoteVersion, unit: Unit) -> list[QuoteLine]:
    """Return the lines with an option for each finding that is offered to the customer and is not among them yet."""
    quoted = {line.finding_id for line in lines}
    offered = unit.findings.filter(repair=Finding.Repair.OFFERED, settled_at=None).exclude(pk__in=quoted - {None})
    repairs = [
        QuoteLine(
            quote=quote, kind=Kind.LABOUR, words=offer_words(finding), unit_minor=finding.repair_minor,
            finding=finding, optional=True, taken=False,
        )
        for finding in offered
    ]  # fmt: skip
    for line in repairs:
        if unit.free_of_charge:
            _make_free(line, unit)
    return [*lines, *repairs]


def _line(quote: QuoteVersion, unit: Unit, service: Service, **fields: object) -> QuoteLine:
    line = QuoteLine(
        quote=quote,
        service=service,
        optional=service.optional_extra,
        taken=not service.optional_extra,
        **fields,
    )
    if unit.free_of_charge:
        _make_free(line, unit)
    return line


def _make_free(line: QuoteLine, unit: Unit) -> None:
    """Put a line at nothing and say why, so that nobody takes it for a mistake."""
    ending = _(" (free of charge: unit {number} came back)").format(number=unit.earlier_unit or unit)
    line.unit_minor = 0
    line.words = line.words[: _WORDS_LIMIT - len(ending)] + ending


def with_postage(lines: list[QuoteLine], quote: QuoteVersion, unit: Unit, postage_minor: int | None) -> list[QuoteLine]:
    """Return the lines with return postage at this amount, in place of what postage they have.

    Without an amount, a unit that goes back by mail gets a line at 0 for the counter to fill in, unless it has one.
    """
    has_postage = any(line.kind == Kind.POSTAGE for line in lines)
    if postage_minor is None and (has_postage or not unit.by_mail):
        return lines
    postage = QuoteLine(quote=quote, kind=Kind.POSTAGE, words=_("Return postage"), unit_minor=postage_minor or 0)
    if unit.free_of_charge:
        _make_free(postage, unit)
    return [line for line in lines if line.kind != Kind.POSTAGE] + [postage]


def copied_lines(quote: QuoteVersion, source: QuoteVersion) -> list[QuoteLine]:
    """Return an earlier edition's lines for a new one, options taken or left as they were."""
    own = ("kind", "words", "quantity", "unit_minor", "taxed", "optional", "taken")
    names = (*own, "service_id", "part_id", "finding_id")
    return [QuoteLine(quote=quote, **{name: getattr(line, name) for name in names}) for line in source.lines.all()]


def numbered(lines: list[QuoteLine]) -> list[QuoteLine]:
    """Give the lines their positions, from 1."""
    for position, line in enumerate(lines, start=1):
        line.position = position
    return lines
