"""What an edition says to the customer, as one canonical text with its hash.

The page, the API and the evidence all stand on this text: it is frozen when the edition is sent, what is shown is
read back from it, and a decision names its hash. It holds no name or address of the customer, so that it may be kept.
"""

import hashlib
import json
from collections.abc import Iterable, Mapping
from typing import Any

from django.utils.translation import gettext as _

from shop.core.models import ShopProfile
from shop.quotes import pricing
from shop.quotes.models import QuoteLine, QuoteVersion
from shop.units.models import Unit

FORM = 1


def canonical(content: Mapping[str, Any]) -> str:
    """Return JSON that is the same for equal content: keys in order, no blanks, no escapes. No floats go in."""
    return json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def sha256(text: str) -> str:
    """Return the SHA-256 of a text's UTF-8 bytes as 64 hex digits."""
    return hashlib.sha256(text.encode()).hexdigest()


def option_of(line: QuoteLine) -> str:
    """Return what an optional line is taken or left with: its service, else itself. Empty if it is not optional."""
    return str(line.service_id or line.id) if line.optional else ""


def priced(line: QuoteLine) -> pricing.Line:
    """Return a stored line as the pricing knows it."""
    return pricing.Line(
        words=line.words,
        kind=line.kind,
        quantity=line.quantity,
        unit_minor=line.unit_minor,
        taxed=line.taxed,
        optional=line.optional,
        taken=line.taken,
        option=option_of(line),
    )


def totals_of(quote: QuoteVersion, lines: Iterable[pricing.Line]) -> pricing.Totals:
    """Return what lines come to at an edition's rate and currency. Raises what `pricing.price` raises."""
    return pricing.price(lines, rate_millipercent=quote.tax_rate_millipercent, currency=quote.currency)


def content_of(quote: QuoteVersion, lines: Iterable[QuoteLine], unit: Unit, shop: ShopProfile) -> dict[str, Any]:
    """Return what an edition says: shop, unit, lines, totals as preset, terms, the fee of a decline, how long it holds.

    Money is minor units before tax unless its name says total. Raises what `pricing.price` raises.
    """
    lines = list(lines)
    return {
        "form": FORM,
        "shop": {name: getattr(shop, name) for name in ("name", "street", "town", "email", "phone")},
        "unit": str(unit),
        "model": str(unit.model),
        "quote": str(quote.id),
        "edition": quote.edition,
        "currency": quote.currency,
        "tax_name": quote.tax_name,
        "tax_rate_millipercent": quote.tax_rate_millipercent,
        "note": quote.note,
        "terms": shop.terms_work,
        "valid_until": quote.valid_until.isoformat() if quote.valid_until else "",
        "lines": [_said(line) for line in lines],
        "totals": figures(totals_of(quote, map(priced, lines))),
        "fee_if_declined_total_minor": totals_of(quote, _fee_if_declined(quote, unit)).total_minor,
    }


def _said(line: QuoteLine) -> dict[str, Any]:
    return {
        "id": str(line.id),
        "kind": line.kind,
        "words": line.words,
        "quantity": line.quantity,
        "unit_minor": line.unit_minor,
        "net_minor": line.quantity * line.unit_minor,
        "taxed": line.taxed,
        "optional": line.optional,
        "taken": line.taken,
        "option": option_of(line),
    }


def figures(totals: pricing.Totals) -> dict[str, int]:
    """Return the four sums of a quote in minor units."""
    return {
        "net_minor": totals.net_minor,
        "taxable_minor": totals.taxable_minor,
        "tax_minor": totals.tax_minor,
        "total_minor": totals.total_minor,
    }


def fee_lines(unit: Unit) -> tuple[pricing.Line, ...]:
    """Return the line of the diagnosis fee that was agreed at intake, or nothing where none is to be paid."""
    agreed = unit.agreed == Unit.Agreed.FEE and unit.agreed_fee_minor > 0
    if not agreed or unit.own or unit.free_of_charge:
        return ()
    fee = QuoteLine.Kind.FEE.value
    return (pricing.Line(words=_("Diagnosis fee"), kind=fee, quantity=1, unit_minor=unit.agreed_fee_minor),)


def _fee_if_declined(quote: QuoteVersion, unit: Unit) -> tuple[pricing.Line, ...]:
    """Return the fee line, or nothing where an earlier approval has credited the fee and stands after a decline."""
    approved = QuoteVersion.objects.filter(unit=unit, state=QuoteVersion.State.APPROVED).exclude(pk=quote.pk)
    return () if approved.exists() else fee_lines(unit)


def lines_in(content: Mapping[str, Any]) -> tuple[pricing.Line, ...]:
    """Return the lines of a content as the pricing knows them."""
    names = ("words", "kind", "quantity", "unit_minor", "taxed", "optional", "taken", "option")
    return tuple(pricing.Line(**{name: line[name] for name in names}) for line in content["lines"])


def answer(
    content: Mapping[str, Any], *, kind: str, taken: Iterable[str], totals: pricing.Totals, decided_at: str
) -> str:
    """Return the evidence of a decision: what was shown with its hash, what was answered and chosen, and the sums."""
    return canonical(
        {
            "form": FORM,
            "shown": content,
            "shown_sha256": sha256(canonical(content)),
            "answer": kind,
            "taken": sorted(taken),
            "totals": figures(totals),
            "decided_at": decided_at,
        }
    )
