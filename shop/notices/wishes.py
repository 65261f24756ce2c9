"""Whether somebody wants to be told, and where. Asked when a notice is written and again when it is sent."""

from dataclasses import dataclass

from shop.notices.channels import CHANNELS
from shop.notices.models import Envelope, Event, Notice
from shop.notices.sentences import LINK_WITHDRAWN, NO_ADDRESS, UNWANTED
from shop.people.models import Customer
from shop.units.links import open_link

# What the customer needs to enter or settle the contract: sent once it is written, whatever changed meanwhile.
CONTRACT = frozenset({Event.QUOTE_READY, Event.APPROVED, Event.READY, Event.SHIPPED, Event.COLLECTED})


@dataclass(frozen=True, slots=True)
class Route:
    """Where a message goes: channel by name, address there, language to write in."""

    channel: str
    address: str
    language: str


def route_to(customer: Customer | None) -> Route | None:
    """Return how a customer wants to hear from the shop, or None when there is nobody to tell."""
    if customer is None or customer.retired_at or customer.channel not in CHANNELS:
        return None
    address = CHANNELS[customer.channel].address_of(customer)
    return Route(customer.channel, address, customer.language) if address else None


def route_now(envelope: Envelope) -> Route | str:
    """Return where a written envelope goes at present, or the note (see `NOTES`) why it goes nowhere."""
    kept = Route(envelope.channel, envelope.address, envelope.language)
    notices = list(envelope.notices.select_related("unit__customer"))
    objections = [_objection(notice) for notice in notices]
    if all(objections):
        return objections[0]
    customer = next((n.unit.customer for n in notices if n.unit), None)
    if customer is None:
        return kept
    channel = customer.channel if customer.channel in CHANNELS else envelope.channel
    address = CHANNELS[channel].address_of(customer)
    return Route(channel, address, customer.language) if address else NO_ADDRESS


def _objection(notice: Notice) -> str:
    """Return the note why one notice should not go out now, or ""."""
    unit = notice.unit
    if unit is None or unit.customer is None:
        return ""
    if unit.customer.retired_at:
        return NO_ADDRESS
    if notice.event in CONTRACT:
        return ""
    if unit.customer.channel not in CHANNELS:
        return UNWANTED
    return LINK_WITHDRAWN if open_link(unit) is None and unit.links.exists() else ""
