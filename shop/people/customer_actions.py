"""Writing customers down. Faces call these through `shop.people.actions`."""

from typing import Unpack
from uuid import UUID

from django.db import transaction

from shop.core import trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock, save
from shop.people import steps
from shop.people.contact import CustomerFields, apply
from shop.people.models import Customer


def add_customer(
    *,
    actor: Actor,
    name: str,
    email: str = "",
    phone: str = "",
    channel: str = "email",
    language: str = "en",
    time_zone: str = "",
    postal_address: str = "",
    notice_consent: bool,
) -> Customer:
    """Write down a new customer and return it. Raises Refused as `contact.apply` says.

    phone may be written as in the shop's region; it is stored in E.164. channel says how the customer wants to hear
    from the shop: without an address for it, nothing is sent.
    """
    permit(actor, "people.write_customer")
    with transaction.atomic():
        return steps.add_customer(
            actor,
            name=name,
            email=email,
            phone=phone,
            channel=channel,
            language=language,
            time_zone=time_zone,
            postal_address=postal_address,
            notice_consent=notice_consent,
        )


def change_customer(
    *, actor: Actor, customer_id: UUID | str, version: int, **fields: Unpack[CustomerFields]
) -> Customer:
    """Change the given fields of a customer and return it. Raises Missing, Stale, Refused as `contact.apply` says."""
    permit(actor, "people.write_customer")
    with transaction.atomic():
        customer = lock(Customer, pk=customer_id, version=version)
        if changed := apply(customer, fields):
            save(customer, *changed, "search")
            trail.write(customer, actor, "customer_changed", facts={"fields": sorted(changed)})
        return customer


def choose_language(*, actor: Actor, customer_id: UUID, language: str) -> Customer:
    """Keep the language that a customer chose on their page, for the messages too.

    Raises Missing, or Refused with `not_a_choice`.
    """
    permit(actor, "people.choose_language")
    with transaction.atomic():
        customer = lock(Customer, pk=customer_id)
        if apply(customer, {"language": language}):
            save(customer, "language")
            trail.write(customer, actor, "customer_changed", facts={"fields": ["language"]})
    return customer
