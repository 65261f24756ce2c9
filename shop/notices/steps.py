"""What flows need of this room inside their transaction: telling somebody something, once."""

import json
import uuid

from django.core.serializers.json import DjangoJSONEncoder
from django.db import IntegrityError, transaction

from shop.core.bell import ring
from shop.notices.channels import EMAIL
from shop.notices.models import Envelope, Event, Notice
from shop.notices.rendering import message_id
from shop.notices.wishes import Route, route_to
from shop.units.models import Unit

_KEY_LENGTH = 60


def tell(*, event: str, unit: Unit, key: str, facts: dict[str, object] | None = None) -> Notice | None:
    """Write a notice to the unit's customer in the caller's transaction; it is sent after the commit.

    key is what makes it the same notice (a quote version's id, the unit's id): a repeat returns the one that is there
    and sends nothing. facts are ids, codes, figures and ISO dates, see `rendering.render`; the customer's address on
    the web is never among them. Returns None when there is nobody to tell: the shop's own unit, a customer without an
    address, or one who wants no messages.
    """
    route = route_to(unit.customer)
    if route is None:
        return None
    recipient = f"customer:{unit.customer_id}"
    return _write(event=event, key=key, recipient=recipient, route=route, unit=unit, facts=facts)


def tell_address(
    *, event: str, address: str, language: str, key: str, facts: dict[str, object] | None = None
) -> Notice:
    """Write a notice to an e-mail address, for somebody who is not a customer yet. Otherwise as `tell`."""
    route = Route(EMAIL, address, language)
    return _write(event=event, key=key, recipient=address.lower(), route=route, unit=None, facts=facts)


def _write(
    *, event: str, key: str, recipient: str, route: Route, unit: Unit | None, facts: dict[str, object] | None
) -> Notice:
    if not 0 < len(key) <= _KEY_LENGTH:
        raise ValueError(f"a notice's key has 1 to {_KEY_LENGTH} characters: {key!r}")
    same = Notice.objects.filter(event=Event(event), key=key, recipient=recipient)
    if found := same.first():
        return found
    try:
        with transaction.atomic():
            envelope = _envelope(route)
            plain = json.loads(json.dumps(facts or {}, cls=DjangoJSONEncoder))
            notice = Notice.objects.create(
                event=Event(event), key=key, recipient=recipient, unit=unit, facts=plain, envelope=envelope
            )
    except IntegrityError:
        # Somebody wrote the same notice between the look and the write; the envelope went with the savepoint.
        return same.get()
    ring("notices.send", envelope.id)
    return notice


def _envelope(route: Route) -> Envelope:
    envelope_id = uuid.uuid4()
    return Envelope.objects.create(
        id=envelope_id,
        channel=route.channel,
        address=route.address,
        language=route.language,
        message_id=message_id(envelope_id),
    )
