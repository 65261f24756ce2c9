"""From a notice's facts to ready strings, written as `core.reader` says for whoever reads them."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from babel.dates import format_date
from django.conf import settings

from shop.core import clock, money
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.core.reader import reader_locale
from shop.core.tagcode import printed
from shop.notices.delivery import printable
from shop.notices.models import Notice
from shop.notices.placeholders import Known
from shop.people.models import Customer
from shop.units.links import address_for, open_link, token_of
from shop.units.models import CustomerLink, Unit
from shop.units.queries import tag_of

_DAYS = ("valid_until", "promised_on", "moved_from", "warranty_until")
_WORDS = ("name", "carrier", "tracking", "renewed", "diagnosis", "waived", "given_back", "edition", "reason")


def known_of(notice: Notice, shop: ShopProfile) -> dict[str, str]:
    """Return every fact of a notice as a ready string; what is not known is ""."""
    known = in_words(notice.facts, shop)
    known |= _of_unit(notice.unit, known) if notice.unit else {}
    return {name: printable(text) for name, text in known.items()}


def in_words(facts: Mapping[str, Any], shop: ShopProfile) -> dict[str, str]:
    """Return facts as ready strings, with what the shop says of itself. See `rendering.render` for the facts."""
    due = facts.get("due_minor")
    known = {name: str(facts.get(name) or "") for name in _WORDS}
    known |= {name: _day(facts.get(name)) for name in _DAYS}
    return known | {
        "model": str(facts.get("device") or ""),
        "changes": "\n".join(f"– {change}" for change in facts.get("changes") or ()),
        "total": _amount(facts.get("total_minor"), shop),
        "deposit": _amount(facts.get("deposit_minor"), shop),
        "due": _amount(due, shop) if due and due > 0 else "",
        "back": _amount(-due, shop) if due and due < 0 else "",
        # Nothing said about what is due is not the same as nothing due.
        "paid": "yes" if due is not None and due <= 0 else "",
        "shop": shop.name,
        "code": printed(str(facts["code"])) if facts.get("code") else "",
        "packing_words": shop.packing_words,
        "payment_words": shop.payment_words,
        "payment_link": shop.payment_link,
        "postal_address": ", ".join(part for part in (shop.name, shop.street, shop.town) if part) * bool(shop.street),
        "reply_to": shop.email,
    }


def links_of(customer: Customer | None) -> list[tuple[str, str]]:
    """Return every unit of a customer that has an open link, in words, with the address of its page. One query."""
    if customer is None:
        return []
    found = CustomerLink.objects.filter(unit__customer=customer, revoked_at=None)
    return [
        (f"{link.unit.model}, {link.unit}", f"{settings.SHOP_ADDRESS}/c/{token_of(link)}")
        for link in found.select_related("unit__model").order_by("unit__number")
    ]


def _of_unit(unit: Unit, known: Known) -> dict[str, str]:
    open_now = open_link(unit) is not None
    return {
        "model": str(unit.model),
        "name": unit.customer.name if unit.customer else "",
        "number": str(unit),
        "tag": tag_of(unit).printed_code,
        "by_mail": "yes" if unit.by_mail else "",
        "promised_on": known["promised_on"] or _still_ahead(unit.promised_on),
        "link": address_for(unit) if open_now else "",
        "link_withdrawn": "" if open_now or not unit.links.exists() else "yes",
    }


def _still_ahead(promised_on: date | None) -> str:
    """Return the promised day in words, unless it has passed: nobody expects yesterday any more."""
    today = clock.day_of(clock.now(), profile().time_zone)
    return _day(promised_on) if promised_on and promised_on >= today else ""


def _amount(minor: object, shop: ShopProfile) -> str:
    return money.show(minor, shop.currency, reader_locale()) if isinstance(minor, int) and minor else ""


def _day(day: object) -> str:
    if not day:
        return ""
    return str(format_date(date.fromisoformat(str(day)[:10]), "long", reader_locale()))
