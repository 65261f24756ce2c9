"""What an edition says to the customer, as one canonical text with its hash.

The page, the API and the evidence all stand on this text: it is frozen when the edition is sent, what is shown is
read back from it, and a decision names its hash. It holds no name or address of the customer, so that it may be kept.
"""

import hashlib
import json
from collections.abc import Collection, Iterable, Mapping, Sequence
from contextlib import AbstractContextManager
from typing import Any

from django.utils import translation
from django.utils.translation import gettext as _

from shop.core.models import ShopProfile
from shop.ledger.tax import TaxClass
from shop.quotes import pricing
from shop.quotes.deposit import deposit_minor
from shop.quotes.elections import elected, rules_of
from shop.quotes.lines import Line, Totals
from shop.quotes.models import QuoteLine, QuoteVersion
from shop.quotes.old_forms import today
from shop.quotes.terms import terms_of
from shop.units.models import Unit

FORM = 2
# What a line of the content says to the pricing, by the same names; the rest is for people.
_PRICED = (
    "words", "kind", "quantity", "unit_minor", "discount_millipercent", "percent_millipercent", "optional", "taken",
    "option", "one_of", "may_skip", "needs",
)  # fmt: skip


def in_customers_language(unit: Unit) -> AbstractContextManager[None]:
    """Word what is worded inside the block for a unit's customer; in English where it has none."""
    return translation.override(unit.customer.language if unit.customer else None)


def canonical(content: Mapping[str, Any]) -> str:
    """Return JSON that is the same for equal content: keys in order, no blanks, no escapes. No floats go in."""
    return json.dumps(content, sort_keys=True, separators=(",", ":"), ensure_ascii=False, allow_nan=False)


def sha256(text: str) -> str:
    """Return the SHA-256 of a text's UTF-8 bytes as 64 hex digits."""
    return hashlib.sha256(text.encode()).hexdigest()


def option_of(line: QuoteLine) -> str:
    """Return what an optional line is taken or left with: its service, else itself. Empty if it is not optional.

    It is the same from edition to edition, so that another option can need it.
    """
    return str(line.service_id or line.key) if line.optional else ""


def priced(line: QuoteLine) -> Line:
    """Return a stored line as the pricing knows it."""
    told = {name: getattr(line, name) for name in _PRICED if name != "option"}
    return Line(**told, option=option_of(line), tax_class=TaxClass(line.tax_class))


def totals_of(quote: QuoteVersion, lines: Iterable[Line]) -> Totals:
    """Return what lines come to at an edition's rates and currency. Raises what `pricing.price` raises."""
    return pricing.price(lines, rules_of(quote))


def content_of(quote: QuoteVersion, lines: Iterable[QuoteLine], unit: Unit, shop: ShopProfile) -> dict[str, Any]:
    """Return what an edition says: shop, unit, lines, totals as preset, terms, the fee of a decline, how long it holds.

    Money is minor units, as the shop writes prices unless its name says total. Raises what `pricing.price` raises.
    """
    lines = list(lines)
    known = [priced(line) for line in lines]
    totals = pricing.price(known, rules_of(quote))
    nets = comes_to(known, totals)
    return {
        "form": FORM,
        "shop": {name: getattr(shop, name) for name in ("name", "street", "town", "email", "phone")},
        "unit": str(unit),
        "model": str(unit.model),
        "quote": str(quote.id),
        "edition": quote.edition,
        "currency": quote.currency,
        "tax_name": quote.tax_name,
        **elected(quote),
        "note": quote.note,
        "why_changed": quote.why_changed,
        "terms": [term.as_content() for term in terms_of(lines, unit, shop)],
        "valid_until": quote.valid_until.isoformat() if quote.valid_until else "",
        "lines": [_said(line, net) for line, net in zip(lines, nets, strict=True)],
        "totals": figures(totals),
        "deposit": {"percent": shop.deposit_percent, "from_minor": shop.deposit_from_minor},
        "fee_if_declined_total_minor": _fee_if_declined(quote, unit),
    }


def comes_to(lines: Sequence[Line], totals: Totals) -> list[int]:
    """Return what each of the lines adds to the sum; a share of others that is not taken adds nothing yet."""
    reckoned = iter(totals.lines)
    return [next(reckoned).net_minor if line.taken else line.net_minor for line in lines]


def _said(line: QuoteLine, net_minor: int) -> dict[str, Any]:
    told = {name: getattr(line, name) for name in _PRICED if name != "option"}
    return told | {
        "id": str(line.id),
        "key": str(line.key),
        "option": option_of(line),
        "tax_class": line.tax_class,
        "net_minor": net_minor,
        "why": line.why,
        "source": line.source,
        "donor": str(line.donor) if line.donor else "",
    }


def figures(totals: Totals) -> dict[str, int]:
    """Return the sums of a quote in minor units."""
    return {
        "net_minor": totals.net_minor,
        "taxable_minor": totals.taxable_minor,
        "tax_minor": totals.tax_minor,
        "total_minor": totals.total_minor,
    }


def deposit_of(content: Mapping[str, Any], total_minor: int) -> int:
    """Return the deposit that a content asks for on a total, in minor units; 0 for none."""
    return deposit_minor(total_minor, **today(dict(content))["deposit"])


def fee_lines(unit: Unit) -> tuple[Line, ...]:
    """Return the line of the diagnosis fee that was agreed at intake, or nothing where none is to be paid."""
    agreed = unit.agreed == Unit.Agreed.FEE and unit.agreed_fee_minor > 0
    if not agreed or unit.own or unit.free_of_charge:
        return ()
    fee = QuoteLine.Kind.FEE.value
    with in_customers_language(unit):
        words = _("Diagnosis fee")
    return (Line(words=words, kind=fee, quantity=1, unit_minor=unit.agreed_fee_minor),)


def _fee_if_declined(quote: QuoteVersion, unit: Unit) -> int:
    """Return the fee with tax, or nothing where an earlier approval has credited the fee and stands after a decline."""
    approved = QuoteVersion.objects.filter(unit=unit, state=QuoteVersion.State.APPROVED).exclude(pk=quote.pk)
    return 0 if approved.exists() else totals_of(quote, fee_lines(unit)).total_minor


def lines_in(content: Mapping[str, Any]) -> tuple[Line, ...]:
    """Return the lines of a content as the pricing knows them."""
    return tuple(
        Line(**{name: line[name] for name in _PRICED}, tax_class=TaxClass(line["tax_class"]))
        for line in content["lines"]
    )


def answer(
    content: Mapping[str, Any],
    *,
    kind: str,
    taken: Iterable[str],
    agreed: Collection[str],
    totals: Totals,
    decided_at: str,
) -> str:
    """Return the evidence of a decision: what was shown with its hash, the answer, what was chosen and agreed."""
    declined = kind == "declined"
    return canonical(
        {
            "form": FORM,
            "shown": content,
            "shown_sha256": sha256(canonical(content)),
            "answer": kind,
            "taken": sorted(taken),
            "agreed": sorted(agreed),
            "totals": figures(totals),
            "deposit_minor": 0 if declined else deposit_of(content, totals.total_minor),
            "decided_at": decided_at,
        }
    )
