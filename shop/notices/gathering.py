"""Which envelope a notice goes into: one of its own, or one that is open for what happens within a few minutes.

The first message to a recipient goes at once. What happens within the profile's digest_minutes after it is gathered in
one envelope, which goes when those are over; what happens in quiet hours is gathered until the morning. A constraint
lets only one envelope of a recipient be open, and the row's lock keeps it open while a notice is put in.
"""

import uuid
from datetime import datetime, timedelta

from shop.core import clock
from shop.core.duework import State
from shop.core.profile import profile
from shop.notices.models import Envelope
from shop.notices.rendering import message_id
from shop.notices.wishes import Route, quiet_for
from shop.people.models import Customer


def envelope_for(*, route: Route, recipient: str, customer: Customer | None, answer: bool) -> Envelope:
    """Return the envelope for one more notice to a recipient, locked until the caller commits or new.

    answer: it goes at once, alone. Raises IntegrityError when somebody else opened one this moment: look again.
    """
    now = clock.now()
    if answer:
        return new_envelope(route, recipient, due_at=now)
    gathering = bool(profile().digest_minutes)
    if gathering and (found := open_envelope(recipient)):
        return found
    goes = _goes(recipient, now)
    morning = quiet_for(customer, goes)
    goes = morning or goes
    opened = goes if gathering and goes > now else None
    return new_envelope(route, recipient, due_at=goes, open_until=opened, held_until=morning)


def open_envelope(recipient: str) -> Envelope | None:
    """Return the recipient's open envelope, locked; one that a worker has claimed takes no more.

    Without the lock a worker could take it up between this look and the caller's write, and the notice would be in an
    envelope that has gone. With it the claim waits, or this look finds nothing.
    """
    waiting = Envelope.objects.filter(recipient=recipient, state=State.DUE, open_until__isnull=False)
    return waiting.select_for_update().first()


def _goes(recipient: str, now: datetime) -> datetime:
    """Return when the next message to a recipient may go: now, or so many minutes after the last one."""
    window = timedelta(minutes=profile().digest_minutes)
    before = Envelope.objects.filter(recipient=recipient).exclude(state__in=(State.FAILED, State.CANCELLED))
    last = before.order_by("-created_at").first()
    if last is None:
        return now
    return min(max(now, (last.done_at or last.created_at) + window), now + window)


def new_envelope(
    route: Route,
    recipient: str,
    *,
    due_at: datetime,
    open_until: datetime | None = None,
    held_until: datetime | None = None,
    trial: dict[str, str] | None = None,
) -> Envelope:
    """Write a new envelope along a route."""
    envelope_id = uuid.uuid4()
    return Envelope.objects.create(
        id=envelope_id,
        channel=route.channel,
        address=route.address,
        language=route.language,
        message_id=message_id(envelope_id),
        recipient=recipient,
        due_at=due_at,
        open_until=open_until,
        held_until=held_until,
        trial=trial,
    )
