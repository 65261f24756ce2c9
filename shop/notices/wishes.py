"""Whether somebody wants to be told, where and when. Asked when a notice is written and again when it is sent."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime
from typing import Any

from shop.core import clock
from shop.core.profile import profile
from shop.notices.channels import CHANNELS, EMAIL, SMS
from shop.notices.kinds import ANSWERS, CONTRACT, FRESH
from shop.notices.models import Envelope, Event, Notice
from shop.notices.quiet import quiet_until
from shop.notices.sentences import (
    ADDRESS_FAILING,
    LINK_WITHDRAWN,
    NO_ADDRESS,
    NOT_REACHABLE,
    UNSUBSCRIBED,
    UNWANTED,
)
from shop.notices.trouble import is_dead
from shop.notices.unsubscribing import group_of, unwanted_by
from shop.people.models import Customer
from shop.units.links import open_link
from shop.units.models import CustomerLink


@dataclass(frozen=True, slots=True)
class Route:
    """Where a message goes: channel by name, address there, language to write in."""

    channel: str
    address: str
    language: str


def route_to(customer: Customer | None, event: str) -> Route | None:
    """Return how a customer wants to hear from the shop, or None when there is nobody to tell.

    Whoever wants text messages and cannot get any gets e-mail; without an e-mail address the route leads nowhere, so
    that staff see the message fail. A lost link goes by e-mail whatever the wish: it was asked for just now.
    """
    if customer is None or customer.retired_at:
        return None
    if event == Event.LINK_RENEWED and customer.email:
        return Route(EMAIL, customer.email, customer.language)
    return _route(customer, customer.channel) if customer.channel in CHANNELS else None


def _route(customer: Customer, wish: str) -> Route | None:
    channel = EMAIL if wish == SMS and customer.email and not _texts_reach(customer) else wish
    address = CHANNELS[channel].address_of(customer)
    return Route(channel, address, customer.language) if address or channel == SMS else None


def _texts_reach(customer: Customer) -> bool:
    return CHANNELS[SMS].ready() and bool(CHANNELS[SMS].address_of(customer))


def route_now(envelope: Envelope) -> Route | str:
    """Return where a written envelope goes at present, or the note (see `NOTES`) why it goes nowhere."""
    notices = _notices(envelope)
    customer = _customer(notices)
    unwanted = unwanted_by(customer) if customer else frozenset()
    objections = [_objection(notice, unwanted) for notice in notices]
    if objections and all(objections):
        return objections[0]
    route: Route | None = Route(envelope.channel, envelope.address, envelope.language)
    if customer:
        renewed = envelope.channel == EMAIL and notices[0].event == Event.LINK_RENEWED
        wish = customer.channel if customer.channel in CHANNELS and not renewed else envelope.channel
        route = _route(customer, wish)
    if route is None:
        return NO_ADDRESS
    if route.channel == SMS and not (route.address and CHANNELS[SMS].ready()):
        return NOT_REACHABLE
    return ADDRESS_FAILING if is_dead(route.address) else route


def wanted(envelope: Envelope) -> list[Notice]:
    """Return those notices of an envelope that should go out now, oldest first; all of them when none should."""
    notices = _notices(envelope)
    customer = _customer(notices)
    unwanted = unwanted_by(customer) if customer else frozenset()
    return [notice for notice in notices if not _objection(notice, unwanted)] or notices


def _notices(envelope: Envelope) -> list[Notice]:
    return list(envelope.notices.select_related("unit__model", "unit__customer"))


def _customer(notices: list[Notice]) -> Customer | None:
    return next((notice.unit.customer for notice in notices if notice.unit), None)


def _objection(notice: Notice, unwanted: frozenset[str]) -> str:
    """Return the note why one notice should not go out now, or ""."""
    unit = notice.unit
    if unit is None or unit.customer is None or (notice.event in CONTRACT and not unit.customer.retired_at):
        return ""
    if unit.customer.retired_at:
        return NO_ADDRESS
    if group_of(notice.event) in unwanted:
        return UNSUBSCRIBED
    if notice.event == Event.LINK_RENEWED:
        return "" if _has_links(unit.customer) else LINK_WITHDRAWN
    if unit.customer.channel not in CHANNELS:
        return UNWANTED
    return LINK_WITHDRAWN if open_link(unit) is None and unit.links.exists() else ""


def _has_links(customer: Customer) -> bool:
    return CustomerLink.objects.filter(unit__customer=customer, revoked_at=None).exists()


def is_answer(event: str, facts: Mapping[str, Any]) -> bool:
    """Tell whether a notice answers what the customer did just now: it waits for nothing."""
    return event in ANSWERS or bool(facts.get("renewed"))


def quiet_for(customer: Customer | None, moment: datetime) -> datetime | None:
    """Return until when a message that would go at a moment waits for the customer's morning, or None."""
    shop = profile()
    zone = (customer.time_zone if customer else "") or shop.time_zone
    return quiet_until(moment, zone, shop.quiet_from, shop.quiet_until)


def held_now(envelope: Envelope) -> datetime | None:
    """Return until when an envelope that is due waits for the customer's morning, or None."""
    now = clock.now()
    notices = _notices(envelope)
    fresh = now - envelope.created_at < FRESH
    if not notices or (fresh and any(is_answer(notice.event, notice.facts) for notice in notices)):
        return None
    return quiet_for(_customer(notices), now)
