"""The customer's private link: unguessable, revocable, stored only as a hash.

The secret is HMAC-SHA256 over the link's random id with the shop's key, cut to 160 bits. So a message can be written
at any time without the secret lying in a table, and a copy of the database alone opens no page.
"""

import hashlib
import hmac
from uuid import UUID

from django.conf import settings
from django.utils.encoding import force_bytes

from shop.core import clock
from shop.core.actor import Actor, permit
from shop.core.tagcode import encode
from shop.units.models import CustomerLink, Unit

_TOKEN_HEX = 40
_PICKUP_LENGTH = 6


def _keyed(purpose: str, link_id: UUID) -> str:
    return hmac.new(force_bytes(settings.SECRET_KEY), f"{purpose}:{link_id}".encode(), hashlib.sha256).hexdigest()


def token_of(link: CustomerLink) -> str:
    """Return the secret part of a link's address, 160 bits in hex."""
    return _keyed("customer-link", link.id)[:_TOKEN_HEX]


def hash_of(token: str) -> str:
    """Return what is stored of a token."""
    return hashlib.sha256(token.encode()).hexdigest()


def open_link(unit: Unit) -> CustomerLink | None:
    """Return the unit's present link, or None when it was revoked or never made."""
    return CustomerLink.objects.filter(unit=unit, revoked_at=None).first()


def make_link(unit: Unit) -> CustomerLink:
    """Make a new link for a locked unit; an earlier one is revoked."""
    CustomerLink.objects.filter(unit=unit, revoked_at=None).update(revoked_at=clock.now())
    link = CustomerLink(unit=unit)
    link.token_hash = hash_of(token_of(link))
    link.save(force_insert=True)
    return link


def revoke(unit: Unit) -> bool:
    """Revoke a locked unit's link; False when there was none."""
    return bool(CustomerLink.objects.filter(unit=unit, revoked_at=None).update(revoked_at=clock.now()))


def address_for(unit: Unit) -> str:
    """Return the full address of the customer's page, or the shop's own address when there is no open link."""
    link = open_link(unit)
    return f"{settings.SHOP_ADDRESS}/c/{token_of(link)}" if link else settings.SHOP_ADDRESS


def shown_address(*, actor: Actor, unit: Unit) -> str:
    """Return the customer's address for the counter, who may read it out or print it."""
    permit(actor, "units.link")
    return address_for(unit)


def find(token: str) -> CustomerLink | None:
    """Return the open link that a token stands for, or None. Looking up a hash leaks nothing about near misses."""
    return CustomerLink.objects.filter(token_hash=hash_of(token), revoked_at=None).select_related("unit").first()


def pickup_code(unit: Unit) -> str:
    """Return the six characters that the customer shows at pickup, or "" without an open link."""
    link = open_link(unit)
    return code_of(link.id) if link else ""


def code_of(link_id: UUID) -> str:
    """Return the pickup code that belongs to an open link."""
    return encode(int(_keyed("pickup", link_id)[:12], 16) % 32**_PICKUP_LENGTH, _PICKUP_LENGTH)
