"""Addresses from which messages come back.

Two different messages that came back for good since the last one that is known to have arrived make an address dead:
nothing more goes there until somebody looks to it (`send_again`) or the customer has another address. One alone may
be a slip of the other side's. What counts as for good says `bounces.Returned.final`.
"""

from collections.abc import Collection, Iterable

from shop.notices.models import Delivery, Envelope, Report

ENOUGH = 2


def failing(addresses: Collection[str]) -> dict[str, int]:
    """Return how many messages came back for good from each of some addresses of late; working ones are left out.

    One query.
    """
    return came_back(Report.objects.filter(address__in={address.lower() for address in addresses if address}))


def came_back(reports: Iterable[Report]) -> dict[str, int]:
    """Return the same for all reports of some addresses, oldest first."""
    back: dict[str, set[object]] = {}
    for each in reports:
        if each.delivery in (Delivery.DELIVERED, Delivery.CLEARED):
            back.pop(each.address, None)
        elif each.delivery == Delivery.BOUNCED and each.final:
            back.setdefault(each.address, set()).add(each.envelope_id)
    return {address: len(envelopes) for address, envelopes in back.items()}


def is_dead(address: str) -> bool:
    """Tell whether nothing more should be sent to an address."""
    return failing([address]).get(address.lower(), 0) >= ENOUGH


def report(
    address: str, delivery: Delivery, *, envelope: Envelope | None = None, final: bool = False, words: str = ""
) -> None:
    """Write down what was heard of a message to an address, inside the caller's transaction."""
    Report.objects.create(envelope=envelope, address=address.lower(), delivery=delivery, final=final, words=words[:300])
