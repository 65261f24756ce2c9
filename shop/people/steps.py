"""What a flow needs of the people inside its own transaction. Faces call `actions`."""

from typing import Unpack

from shop.core import trail
from shop.core.actor import Actor
from shop.people.contact import (
    CustomerFields,
    apply,
    checked_email,
    checked_phone,
    email_or_nothing,
    phone_or_nothing,
)
from shop.people.models import Customer

__all__ = ["add_customer", "checked_email", "checked_phone", "find_or_add_customer"]


def add_customer(actor: Actor, **fields: Unpack[CustomerFields]) -> Customer:
    """Write down a new customer. Raises what `contact.apply` raises."""
    customer = Customer()
    apply(customer, {"name": "", **fields})
    customer.save(force_insert=True)
    facts = {"channel": customer.channel, "notice_consent": customer.notice_consent_at is not None}
    trail.write(customer, actor, "customer_added", facts=facts)
    return customer


def find_or_add_customer(actor: Actor, **fields: Unpack[CustomerFields]) -> Customer:
    """Return the customer seen before with this e-mail address, else with this phone number, else a new one.

    What is known of somebody seen before is left alone: whoever knows an address must not be able to change the name
    or number behind it. Raises what `contact.apply` raises.
    """
    return _seen_before(fields.get("email", ""), fields.get("phone", "")) or add_customer(actor, **fields)


def _seen_before(email: str, phone: str) -> Customer | None:
    email, phone = email_or_nothing(email), phone_or_nothing(phone)
    present = Customer.objects.filter(retired_at=None).order_by("created_at")
    by_email = present.filter(email=email).first() if email else None
    return by_email or (present.filter(phone=phone).first() if phone else None)
