"""What flows need of this room inside their transaction. The unit handed in is locked."""

import hmac
import json
from datetime import timedelta
from typing import Any

from django.utils.formats import date_format
from django.utils.translation import gettext as _

from shop.books.models import Invoice, Release
from shop.books.posting import post_invoice, today
from shop.books.queries import invoice_of, paid_minor, release_of
from shop.core import clock, tagcode, text, trail
from shop.core.actor import Actor
from shop.core.models import ShopProfile, TrailEntry
from shop.core.numbering import next_number
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.quotes.lines import Totals
from shop.units.links import pickup_code
from shop.units.models import Unit

WRONG_CODES = 5
WRONG_CODES_WITHIN = timedelta(hours=1)
_WRONG_CODE = "pickup_code_wrong"


def issue_invoice(*, actor: Actor, unit: Unit, totals: Totals, tax_name: str) -> Invoice:
    """Issue the unit's one bill: everything is copied in, the number is the next without a gap, and it is posted.

    totals come from `shop.quotes.pricing.price`; tax_name is what the quote or the profile calls the tax. A bill over
    nothing is issued like any other. Raises Refused with `invoice_issued_before`.
    """
    earlier = invoice_of(unit)
    if earlier:
        raise Refused(Reason("invoice_issued_before", {"number": str(unit), "invoice": earlier.number}))
    deposited = paid_minor(unit, totals.currency)
    invoice = Invoice.objects.create(
        number=next_number("invoice"),
        unit=unit,
        currency=totals.currency,
        bill_to=bill_to(unit),
        from_shop=from_shop(profile()),
        lines=_frozen_lines(totals),
        net_minor=totals.net_minor,
        tax_name=tax_name,
        tax_rate_millipercent=totals.rate_millipercent,
        tax_minor=totals.tax_minor,
        total_minor=totals.total_minor,
        prices_include_tax=totals.rules.inclusive,
        taxes=_frozen_taxes(totals),
        issued_on=today(),
    )
    post_invoice(invoice, postage_minor=_postage_net(totals), deposited_minor=deposited)
    facts = {"invoice": invoice.id, "number": invoice.number, "total_minor": invoice.total_minor}
    trail.write(unit, actor, "invoice_issued", facts=facts | {"currency": invoice.currency})
    return invoice


def _postage_net(totals: Totals) -> int:
    """Return what postage comes to without tax; after its share of discounts where tax is rounded by item."""
    rules = totals.rules
    postage = [line for line in totals.lines if line.kind == "postage"]
    charged = [
        (line.net_minor if line.settled_minor is None else line.settled_minor, line.line.tax_class) for line in postage
    ]
    return sum(minor - (rules.rounded(minor, tax_class) if rules.inclusive else 0) for minor, tax_class in charged)


def bill_to(unit: Unit) -> str:
    """Return whom a bill names: the customer with the address that is known, or a sale over the counter."""
    if unit.customer is None:
        return _("Sold over the counter")
    return "\n".join(part for part in (unit.customer.name, unit.customer.postal_address) if part)


def from_shop(shop: ShopProfile) -> str:
    """Return who bills: the shop's name, address and how to reach it, a line each."""
    return "\n".join(part for part in (shop.name, shop.street, shop.town, shop.email, shop.phone) if part)


def _frozen_taxes(totals: Totals) -> str:
    rows = [
        {"rate_millipercent": row.rate_millipercent, "taxable_minor": row.taxable_minor, "tax_minor": row.tax_minor}
        for row in totals.table
        if row.rate_millipercent
    ]
    return _canonical(rows)


def _canonical(rows: list[dict[str, Any]]) -> str:
    return json.dumps(rows, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def _frozen_lines(totals: Totals) -> str:
    """Write the lines as canonical JSON: sorted keys, no spare blanks."""
    lines = [
        {
            "kind": line.kind,
            "words": line.words,
            "quantity": line.quantity,
            "unit_minor": line.unit_minor,
            "net_minor": line.net_minor,
        }
        for line in totals.lines
    ]
    return _canonical(lines)


def release(*, actor: Actor, unit: Unit, check_kind: str, code: str = "", document: str = "") -> Release:
    """Record that the unit is handed over, once it is known to whom. Whether it is paid is asked by the gates.

    code is what the customer's page shows, typed in any case and grouping; document is the kind of identity document
    that was seen. Raises Refused with `not_a_choice`, `released_before`, `no_pickup_code`, `too_many_codes`,
    `pickup_code_wrong`, `blank`, `too_long`, `document_number`, `not_shops_own`. After `pickup_code_wrong` the flow
    calls `note_wrong_code` in a transaction of its own, since this one is rolled back.
    """
    text.choice(check_kind, Release.Check.values, label="How the person was known", field="check_kind")
    earlier = release_of(unit)
    if earlier:
        day = date_format(clock.day_of(earlier.created_at, profile().time_zone))
        raise Refused(Reason("released_before", {"number": str(unit), "day": day}))
    seen = ""
    if check_kind == Release.Check.CODE:
        _check_code(unit, code)
    elif check_kind == Release.Check.IDENTITY:
        seen = _kind_of_document(document)
    elif check_kind == Release.Check.OWN and not unit.own:
        raise Refused(Reason("not_shops_own", {"number": str(unit)}, "check_kind"))
    made = Release.objects.create(unit=unit, check_kind=check_kind, document=seen, by_id=actor.id)
    trail.write(unit, actor, "released", after=check_kind, facts={"release": made.id})
    return made


def _check_code(unit: Unit, code: str) -> None:
    """Compare in constant time; a few wrong ones close this way for a while."""
    number = str(unit)
    wanted = pickup_code(unit)
    if not wanted:
        raise Refused(Reason("no_pickup_code", {"number": number}, "code"))
    if wrong_codes(unit) >= WRONG_CODES:
        minutes = int(WRONG_CODES_WITHIN.total_seconds() // 60)
        raise Refused(Reason("too_many_codes", {"number": number, "tries": WRONG_CODES, "minutes": minutes}, "code"))
    if not hmac.compare_digest(tagcode.tidy(code).encode(), wanted.encode()):
        raise Refused(Reason("pickup_code_wrong", {"number": number}, "code"))


def wrong_codes(unit: Unit) -> int:
    """Return how many wrong codes were noted for the unit within the last hour."""
    since = clock.now() - WRONG_CODES_WITHIN
    return TrailEntry.objects.filter(subject_id=unit.id, what=_WRONG_CODE, recorded_at__gt=since).count()


def note_wrong_code(actor: Actor, unit: Unit) -> TrailEntry:
    """Note in the trail of a locked unit that a wrong code was given, without the code."""
    return trail.write(unit, actor, _WRONG_CODE)


def _kind_of_document(document: str) -> str:
    """Return the kind of document in words; a digit would be somebody's number, which is not kept."""
    seen = text.words(document, label="Which document was seen", field="document", limit=60)
    if any(symbol.isdigit() for symbol in seen):
        raise Refused(Reason("document_number", {}, "document"))
    return seen
