"""The lines that a new edition starts from. Nothing is saved here."""

from collections.abc import Iterable, Sequence

from django.utils.translation import gettext as _

from shop.boards.models import Service
from shop.boards.queries import spots_of
from shop.boards.selecting import selected
from shop.boards.spots import Spot
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.parts.models import Part
from shop.quotes.charges import fee_lines, insurance, labour
from shop.quotes.markup import Band, part_price
from shop.quotes.models import MarkupBand, QuoteLine, QuoteVersion, TemplateLine
from shop.units.models import Finding, Parcel, Unit
from shop.work.repairs import offer_words
from shop.work.step_words import names

_WORDS_LIMIT = 160
_WHY_LIMIT = 300
Kind = QuoteLine.Kind
# What a template's line and a quote's line have in common.
SHARED = (
    "kind", "words", "service_id", "part_id", "quantity", "unit_minor", "discount_millipercent",
    "percent_millipercent", "tax_class", "optional", "taken", "one_of", "may_skip", "needs", "why", "source",
)  # fmt: skip


def first_lines(quote: QuoteVersion, unit: Unit) -> list[QuoteLine]:
    """Return labour and parts of each wished service, and the fee where it is charged besides. Four queries."""
    services = unit.services.order_by("name", "code").prefetch_related("parts__part")
    return [*service_lines(quote, unit, services), *_fee(quote, unit, profile())]


def service_lines(quote: QuoteVersion, unit: Unit, services: Iterable[Service]) -> list[QuoteLine]:
    """Return labour and parts of services, as the shop reckons them, or at nothing on a free comeback.

    Labour is the service's flat price, else its minutes at the shop's rate; a part without a price of its own is
    marked up from its cost. A service that is about placements of the unit's board names them. An optional extra
    becomes an option that nobody has taken yet: what costs more is for the customer to tick. Its parts hang on the
    same service and so go with it. services come with their parts.
    """
    shop = profile()
    bands = markup_bands()
    spots = spots_of(unit.edition) if unit.edition else ()
    lines: list[QuoteLine] = []
    for service in services:
        why = about_service(service, spots, unit.variant)
        price = labour_price(service, shop)
        lines.append(_line(quote, unit, service, kind=Kind.LABOUR, words=service.name, unit_minor=price, why=why))
        for needed in sorted(service.parts.all(), key=lambda needed: needed.part.code):
            part, price = needed.part, sold_for(needed.part, bands)
            told = {"words": part.name, "unit_minor": price, "part": part, "quantity": needed.quantity}
            lines.append(_line(quote, unit, service, kind=Kind.PART, **told))
    return lines


def labour_price(service: Service, shop: ShopProfile) -> int:
    """Return what a service's labour costs: its own price, else its minutes at the shop's rate for an hour."""
    work = labour(
        flat_minor=service.price_minor,
        minutes=service.minutes,
        rate_minor=shop.labour_rate_minor,
        step_minutes=shop.labour_step_minutes,
    )
    return work.minor


def markup_bands() -> tuple[Band, ...]:
    """Return the shop's mark-ups. One query."""
    rows = MarkupBand.objects.order_by("from_cost_minor")
    return tuple(Band(row.from_cost_minor, row.markup_millipercent, row.least_minor) for row in rows)


def sold_for(part: Part, bands: Sequence[Band]) -> int:
    """Return what a part is sold for: its own price, else its cost marked up."""
    return part.price_minor or part_price(part.cost_minor, bands)


def about_service(service: Service, spots: Sequence[Spot], variant: str) -> str:
    """Say what a service is, and which placements of the board it is about."""
    about = [service.says.strip()] if service.says.strip() else []
    if service.selects and (meant := selected(spots, service.selects, variant=variant)):
        about.append(_("On this board: %(names)s.") % {"names": names([spot.designator for spot in meant])})
    return " ".join(about)[:_WHY_LIMIT]


def _fee(quote: QuoteVersion, unit: Unit, shop: ShopProfile) -> list[QuoteLine]:
    """Return the agreed diagnosis fee where the shop charges it besides the work."""
    agreed = unit.agreed == Unit.Agreed.FEE and not unit.own and not unit.free_of_charge
    lines = fee_lines(
        unit.agreed_fee_minor if agreed else 0,
        words=_("Diagnosis fee"),
        credit_words="",
        credited=shop.fee_credited,
        shown=False,
    )
    return [QuoteLine(quote=quote, kind=line.kind, words=line.words, unit_minor=line.unit_minor) for line in lines]


def with_repairs(lines: list[QuoteLine], quote: QuoteVersion, unit: Unit) -> list[QuoteLine]:
    """Return the lines with an option for each finding that is offered to the customer and is not among them yet."""
    quoted = {line.finding_id for line in lines}
    offered = unit.findings.filter(repair=Finding.Repair.OFFERED, settled_at=None).exclude(pk__in=quoted - {None})
    repairs = [
        QuoteLine(
            quote=quote, kind=Kind.LABOUR, words=offer_words(finding), unit_minor=finding.repair_minor,
            finding=finding, optional=True, taken=False, why=finding.words[:_WHY_LIMIT],
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
    """Return the lines with return postage at this amount, in place of what postage they have, and its insurance.

    Without an amount, a unit that goes back by mail gets a line at 0 for the counter to fill in, unless it has one.
    """
    has_postage = any(line.kind == Kind.POSTAGE for line in lines)
    if postage_minor is None and (has_postage or not unit.by_mail):
        return lines
    postage = QuoteLine(quote=quote, kind=Kind.POSTAGE, words=_("Return postage"), unit_minor=postage_minor or 0)
    if unit.free_of_charge:
        _make_free(postage, unit)
    others = [line for line in lines if line.kind not in (Kind.POSTAGE, Kind.INSURANCE)]
    return [*others, postage, *_insured(quote, unit, profile())]


def _insured(quote: QuoteVersion, unit: Unit, shop: ShopProfile) -> list[QuoteLine]:
    """Return a line for insuring the parcel back at the value that was declared when it came. One query."""
    if not shop.insurance_millipercent or not unit.by_mail:
        return []
    came = Parcel.objects.filter(unit=unit, direction=Parcel.Direction.IN).last()
    declared = came.declared_minor if came else 0
    premium = insurance(declared, millipercent=shop.insurance_millipercent, least_minor=shop.insurance_least_minor)
    line = QuoteLine(quote=quote, kind=Kind.INSURANCE, words=_("Insurance of the parcel back"), unit_minor=premium)
    return [line] if premium else []


def line_from(kept: TemplateLine, quote: QuoteVersion) -> QuoteLine:
    """Return a new line of a quote that says what a template's line says."""
    return QuoteLine(quote=quote, **{name: getattr(kept, name) for name in SHARED})


def copied_lines(quote: QuoteVersion, source: QuoteVersion) -> list[QuoteLine]:
    """Return an earlier edition's lines for a new one, known by the same keys, options taken or left as they were."""
    names_of = (*SHARED, "finding_id", "donor_id", "key")
    return [QuoteLine(quote=quote, **{name: getattr(line, name) for name in names_of}) for line in source.lines.all()]


def numbered(lines: list[QuoteLine]) -> list[QuoteLine]:
    """Give the lines their positions, from 1."""
    for position, line in enumerate(lines, start=1):
        line.position = position
    return lines
