"""Invented facts, to look at a wording before anybody gets it."""

from collections.abc import Mapping
from datetime import date
from typing import Any

from django.conf import settings

from shop.core.models import ShopProfile
from shop.notices.facts import in_words
from shop.notices.models import Event

_QUOTE = {"total_minor": 23845, "valid_until": date(2030, 3, 24), "edition": 2}
_FACTS: Mapping[Event, Mapping[str, Any]] = {
    Event.ANNOUNCED: {"code": "K7Q2M9F", "device": "Quillon Lantern", "name": "Ada Kowalczyk"},
    Event.QUOTE_READY: _QUOTE | {"changes": ["The power inlet is replaced as well: its contact was burnt."]},
    Event.QUOTE_REMINDER: _QUOTE,
    Event.APPROVED: _QUOTE | {"promised_on": date(2030, 4, 9)},
    Event.DEPOSIT_ASKED: {"deposit_minor": 8000, "total_minor": 23845},
    Event.DEPOSIT_PAID: {"promised_on": date(2030, 4, 9)},
    Event.STARTED: {"promised_on": date(2030, 4, 9)},
    Event.PROMISE_MOVED: {
        "promised_on": date(2030, 4, 16),
        "moved_from": date(2030, 4, 9),
        "reason": "The capacitors come a week later than the supplier had said.",
    },
    Event.READY: {"due_minor": 15845},
    Event.SHIPPED: {"carrier": "Heron Post", "tracking": "HP 42 0117", "warranty_until": date(2030, 7, 8)},
    Event.COLLECTED: {"warranty_until": date(2030, 7, 8)},
}
_NO_TOKEN = "0" * 40


def known(event: Event, shop: ShopProfile) -> dict[str, str]:
    """Return the facts of an invented unit as ready strings, in the language that is active. The address opens nothing.

    The shop's own words (how to pay, how to pack) are its real ones.
    """
    facts = in_words(_FACTS.get(event, {}), shop)
    if event == Event.ANNOUNCED:
        return facts
    return facts | {
        "model": "Quillon Lantern",
        "name": "Ada Kowalczyk",
        "number": "0042",
        "tag": "K7Q-2M9F",
        "link": f"{settings.SHOP_ADDRESS}/c/{_NO_TOKEN}",
        "by_mail": "yes" if event == Event.SHIPPED else "",
        "link_withdrawn": "",
    }
