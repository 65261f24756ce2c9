"""A customer who lost the link asks for it by e-mail; a stranger who asks learns nothing.

The request does the same for every address: it keeps the wish. Whether anybody is known by it is looked up later, by a
worker, so that neither the answer nor its time tells.
"""

import secrets
from datetime import timedelta
from uuid import UUID

from django.db import transaction

from shop.core import clock
from shop.core.actor import Actor, permit
from shop.core.duework import wake
from shop.core.models import PersonalText
from shop.notices import steps as notices
from shop.people.contact import checked_email
from shop.people.models import Customer
from shop.units.models import Unit

# One message in so many minutes for each customer, however often somebody asks.
PAUSE_MIN = 10
# Units that left so long ago are no longer a reason to write.
KEPT = timedelta(days=730)


def wish_for_links(*, actor: Actor, email: str) -> None:
    """Keep the wish for an address's links; a worker sends them if a customer is reached there.

    Raises Refused naming the field for what is no e-mail address.
    """
    permit(actor, "units.lost_link")
    address = checked_email(email)
    with transaction.atomic():
        wish = PersonalText.objects.create(salt=secrets.token_hex(16), text=address)
        wake("floor.send_links", wish.id)


def send_links(wish_id: UUID) -> int:
    """Tell the customers who are reached at a wish's address where their pages are, and erase the wish.

    Returns how many were told. May run twice: the second finds nothing to do.
    """
    with transaction.atomic():
        wish = PersonalText.objects.filter(pk=wish_id, erased_at=None).first()
        if wish is None:
            return 0
        told = [_tell(customer) for customer in Customer.objects.filter(email=wish.text, retired_at=None)]
        wish.text, wish.erased_at = "", clock.now()
        wish.save(update_fields=["text", "erased_at"])
    return sum(told)


def _tell(customer: Customer) -> bool:
    recent = Unit.objects.filter(customer=customer, links__revoked_at=None, links__isnull=False)
    unit = recent.exclude(left_at__lt=clock.now() - KEPT).order_by("-number").first()
    if unit is None:
        return False
    window = int(clock.now().timestamp()) // (PAUSE_MIN * 60)
    return notices.tell(event="link_renewed", unit=unit, key=f"{str(customer.pk)[:40]}:{window}") is not None
