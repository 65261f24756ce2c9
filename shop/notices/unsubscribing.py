"""What a customer does not want to be sent, and the address that says so with one tap.

The address holds the customer's id and an HMAC-SHA256 over it with the shop's key, cut to 128 bits (RFC 2104, 5: not
less than half): no secret lies in a table, and whoever has the address can change this choice and nothing else.
"""

import base64
import binascii
import hashlib
import hmac
from collections.abc import Iterable
from uuid import UUID

from django.conf import settings
from django.utils.encoding import force_bytes

from shop.notices.kinds import GROUPS
from shop.notices.models import Event, Group, Unwanted
from shop.people.models import Customer

ALL = "all"
_MAC_BYTES = 16


def token_of(customer_id: UUID) -> str:
    """Return the 43 characters that stand for a customer in the address."""
    return base64.urlsafe_b64encode(customer_id.bytes + _mac(customer_id)).decode().rstrip("=")


def customer_of(token: str) -> Customer | None:
    """Return the customer that a token stands for, or None when it is not a true one."""
    try:
        raw = base64.b64decode(token + "=", altchars=b"-_", validate=True)
    except (binascii.Error, ValueError):
        return None
    if len(raw) != 16 + _MAC_BYTES or not hmac.compare_digest(raw[16:], _mac(UUID(bytes=raw[:16]))):
        return None
    return Customer.objects.filter(pk=UUID(bytes=raw[:16]), retired_at=None).first()


def address_for(customer_id: UUID, what: str) -> str:
    """Return the full address of the page where messages of a group, or ALL that may be, are stopped."""
    return f"{settings.SHOP_ADDRESS}/c/stop/{token_of(customer_id)}/{what}"


def group_of(event: str) -> str:
    """Return the group that an event's messages are in, or "" for what always goes."""
    group = GROUPS.get(Event(event))
    return group.value if group else ""


def group_together(events: Iterable[str]) -> str:
    """Return the one group of several events, ALL when there are more, "" when some event always goes."""
    groups = {group_of(event) for event in events}
    if not groups or "" in groups:
        return ""
    return groups.pop() if len(groups) == 1 else ALL


def groups_named(what: str) -> list[Group]:
    """Return the groups that the last part of an address means: one, all of them, or none for any other word."""
    return list(Group) if what == ALL else [group for group in Group if group == what]


def unwanted_by(customer: Customer) -> frozenset[str]:
    """Return the groups that a customer does not want. One query."""
    return frozenset(Unwanted.objects.filter(customer=customer, ended_at=None).values_list("group", flat=True))


def _mac(customer_id: UUID) -> bytes:
    said = f"unsubscribe:{customer_id}".encode()
    return hmac.new(force_bytes(settings.SECRET_KEY), said, hashlib.sha256).digest()[:_MAC_BYTES]
