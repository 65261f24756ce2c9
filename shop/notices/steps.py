"""What flows need of this room inside their transaction: telling somebody something, once."""

import json
from dataclasses import dataclass
from typing import Any

from django.core.serializers.json import DjangoJSONEncoder
from django.db import IntegrityError, transaction
from django.db.models import QuerySet

from shop.core import clock
from shop.core.bell import ring
from shop.notices.channels import EMAIL
from shop.notices.gathering import envelope_for
from shop.notices.models import Event, Notice
from shop.notices.wishes import Route, is_answer, route_to
from shop.units.models import Unit

_KEY_LENGTH = 60
# Each further look finds what somebody else wrote this moment; more than a few means that something else is broken.
_LOOKS = 5


def tell(*, event: str, unit: Unit, key: str, facts: dict[str, object] | None = None) -> Notice | None:
    """Write a notice to the unit's customer in the caller's transaction; it is sent after the commit.

    key is what makes it the same notice (a quote version's id, the unit's id): a repeat returns the one that is there
    and sends nothing. facts are ids, codes, figures, ISO dates and people's plain words, see `rendering.render`; the
    customer's address on the web is never among them. `link_renewed` lists every unit of this unit's customer that
    has an open link. Returns None when there is nobody to tell: the shop's own unit, a customer without an address, or
    one who wants no messages.
    """
    route = route_to(unit.customer, Event(event))
    if route is None:
        return None
    return _write(_New(event, key, f"customer:{unit.customer_id}", route, unit, facts or {}))


def tell_address(
    *, event: str, address: str, language: str, key: str, facts: dict[str, object] | None = None
) -> Notice:
    """Write a notice to an e-mail address, for somebody who is not a customer yet. Otherwise as `tell`."""
    return _write(_New(event, key, address.lower(), Route(EMAIL, address, language), None, facts or {}))


@dataclass(frozen=True, slots=True)
class _New:
    """A notice that is to be written."""

    event: str
    key: str
    recipient: str
    route: Route
    unit: Unit | None
    facts: dict[str, Any]

    def same(self) -> "QuerySet[Notice]":
        return Notice.objects.filter(event=Event(self.event), key=self.key, recipient=self.recipient)

    def put_in_envelope(self) -> Notice:
        """Write it into the envelope where it belongs. Raises IntegrityError, see `gathering.envelope_for`."""
        envelope = envelope_for(
            route=self.route,
            recipient=self.recipient,
            customer=self.unit.customer if self.unit else None,
            answer=is_answer(self.event, self.facts),
        )
        plain = json.loads(json.dumps(self.facts, cls=DjangoJSONEncoder))
        return Notice.objects.create(
            event=Event(self.event),
            key=self.key,
            recipient=self.recipient,
            unit=self.unit,
            facts=plain,
            envelope=envelope,
        )


def _write(new: _New) -> Notice:
    if not 0 < len(new.key) <= _KEY_LENGTH:
        raise ValueError(f"a notice's key has 1 to {_KEY_LENGTH} characters: {new.key!r}")
    for look in range(_LOOKS):
        if found := new.same().first():
            return found
        try:
            with transaction.atomic():
                notice = new.put_in_envelope()
        except IntegrityError:
            # Somebody wrote the same notice, or opened an envelope, between the look and the write; what this one
            # had written went with the savepoint.
            if look == _LOOKS - 1:
                raise
        else:
            break
    # What waits in an open envelope is rung for by the sweep.
    if notice.envelope.due_at <= clock.now():
        ring("notices.send", notice.envelope_id)
    return notice
