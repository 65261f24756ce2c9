"""What a customer chooses to be sent. Faces call this through `shop.notices.actions`."""

from collections.abc import Collection

from django.db import transaction
from django.utils.translation import gettext as _

from shop.core import clock, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.core.text import choice
from shop.notices.models import Group, Unwanted
from shop.notices.unsubscribing import unwanted_by
from shop.people.models import Customer


def choose_messages(
    *, actor: Actor, customer_id: object, stop: Collection[str] = (), want: Collection[str] = ()
) -> frozenset[str]:
    """Stop the messages of some groups and let those of others come again; return the groups that are unwanted now.

    Twice is once. Raises Missing, or Refused with `not_a_choice` for a group that there is none of.
    """
    permit(actor, "notices.choose")
    for group in (*stop, *want):
        choice(group, Group.values, label=_("Messages"), field="stop")
    with transaction.atomic():
        customer = lock(Customer, pk=customer_id)
        before = unwanted_by(customer)
        after = (before | set(stop)) - set(want)
        Unwanted.objects.bulk_create([Unwanted(customer=customer, group=group) for group in sorted(after - before)])
        open_ones = Unwanted.objects.filter(customer=customer, ended_at=None)
        open_ones.exclude(group__in=after).update(ended_at=clock.now())
        if after != before:
            facts = {"fields": ["unwanted"], "unwanted": sorted(after)}
            trail.write(customer, actor, "customer_changed", facts=facts)
    return frozenset(after)
