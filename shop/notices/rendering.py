"""From an envelope to a message: facts are made readable, sentences chosen, templates filled.

This happens when the message is sent, never before: the customer's private address is in no table.
"""

from datetime import date
from urllib.parse import urlsplit

from django.conf import settings
from django.template.loader import render_to_string
from django.utils import translation
from django.utils.formats import date_format

from shop.core import clock, money
from shop.core.models import ShopProfile
from shop.core.profile import profile
from shop.core.tagcode import printed
from shop.notices import wording
from shop.notices.channels import Message
from shop.notices.models import Envelope, Notice
from shop.units.links import address_for, open_link
from shop.units.models import Unit
from shop.units.queries import tag_of

_DAYS = ("valid_until", "promised_on", "warranty_until")


def render(envelope: Envelope) -> Message:
    """Word an envelope as it would be sent now, in its own language. Also the preview; it changes nothing.

    Facts of a notice that are read: total_minor, due_minor (minor units of the shop's currency, due_minor below zero
    when money goes back); valid_until, promised_on, warranty_until (ISO dates); carrier, tracking; renewed (true when
    the notice brings a new link); diagnosis (true when that is what was begun); for an announcement code (a tag code),
    device and name.
    """
    shop = profile()
    notices = list(envelope.notices.select_related("unit__model", "unit__customer"))
    with translation.override(envelope.language):
        known = [_known(notice, shop) for notice in notices]
        told = [(wording.sentences(wording.LINES[_event(n)], k), k) for n, k in zip(notices, known, strict=True)]
        page = {
            "language": envelope.language,
            "subject": wording.subject(notices[0].event, known[0]),
            "greeting": _greeting(known[0]),
            "told": [{"lines": lines, "closing": wording.sentences(wording.CLOSING, k), **k} for lines, k in told],
            "open_page": wording.OPEN_PAGE,
            "shop": shop,
        }
        return Message(
            address=envelope.address,
            subject=str(page["subject"]),
            text=render_to_string("notices/message.txt", page).strip() + "\n",
            html=render_to_string("notices/message.html", page),
            message_id=envelope.message_id,
            sender_name=shop.name,
            reply_to=shop.email,
        )


def message_id(envelope_id: object) -> str:
    """Return the Message-ID that an envelope keeps: its own id at the shop's host (RFC 5322, 3.6.4).

    A receiver that gets the same message twice can tell by it. The host is cut to what the column holds.
    """
    host = urlsplit(settings.SHOP_ADDRESS).hostname or "localhost"
    return f"<{envelope_id}@{host[:80]}>"


def _event(notice: Notice) -> wording.Event:
    return wording.Event(notice.event)


def _greeting(known: wording.Known) -> str:
    text = wording.GREETING if known.get("name") else wording.GREETING_UNNAMED
    return str(text).format_map(known)


def _known(notice: Notice, shop: ShopProfile) -> dict[str, str]:
    """Return every fact as a ready string in the language that is active."""
    facts = notice.facts
    due = facts.get("due_minor")
    known = {name: str(facts.get(name) or "") for name in ("name", "carrier", "tracking", "renewed", "diagnosis")}
    known |= {name: _day(facts.get(name)) for name in _DAYS}
    known |= {
        "model": str(facts.get("device") or ""),
        "total": _amount(facts.get("total_minor"), shop),
        "due": _amount(due, shop) if due and due > 0 else "",
        "back": _amount(-due, shop) if due and due < 0 else "",
        # Nothing said about what is due is not the same as nothing due.
        "paid": "yes" if due is not None and due <= 0 else "",
        "shop": shop.name,
        "code": printed(str(facts["code"])) if facts.get("code") else "",
        "packing_words": shop.packing_words,
        "payment_words": shop.payment_words,
        "postal_address": ", ".join(part for part in (shop.name, shop.street, shop.town) if part) * bool(shop.street),
        "reply_to": shop.email,
    }
    return known | (_known_of_unit(notice.unit, known) if notice.unit else {})


def _known_of_unit(unit: Unit, known: wording.Known) -> dict[str, str]:
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
    return money.show(minor, shop.currency, shop.locale) if isinstance(minor, int) and minor else ""


def _day(day: object) -> str:
    if not day:
        return ""
    return date_format(date.fromisoformat(str(day)[:10]), "DATE_FORMAT")
