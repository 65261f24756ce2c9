"""Sending, and sending again. Faces call these through `shop.notices.actions`.

No transaction is open while the mail server is spoken to: the claim is committed before, the outcome recorded after.
Killed in between, the row becomes due again when its lease runs out.
"""

import logging
from datetime import datetime, timedelta
from uuid import UUID

from django.db import transaction

from shop.core import clock, trail
from shop.core.actor import Actor, permit
from shop.core.bell import ring
from shop.core.duework import State, claim, finish
from shop.core.locks import lock, save
from shop.core.reasons import Reason, Refused
from shop.notices.channels import CHANNELS, PermanentFailure, TransientFailure
from shop.notices.models import Attempt, Delivery, Envelope
from shop.notices.rendering import render
from shop.notices.sentences import INTERRUPTED, NEED_A_HAND
from shop.notices.trouble import failing, report
from shop.notices.wishes import Route, held_now, route_now, wanted
from shop.units.models import Unit

_log = logging.getLogger("wickline.notices")
# After each failed try so long until the next; when the list is used up, the envelope has failed.
BACKOFF = tuple(timedelta(minutes=minutes) for minutes in (1, 5, 30, 120, 720))
TRIES = len(BACKOFF) + 1
# Longer than the slowest mail server can take: a dozen replies, each within EMAIL_TIMEOUT.
LEASE = timedelta(minutes=5)
_WORDS_LENGTH = 300


def send_envelope(*, actor: Actor, envelope_id: UUID) -> Envelope | None:
    """Send one envelope if it is due, and record what came of it. In the customer's quiet hours it waits instead.

    Returns the envelope as it stands afterwards, or None when there was nothing to do: sent already, not due, or in
    another worker's hand. Never raises for a message that cannot be sent: that is recorded.
    """
    permit(actor, "notices.send")
    before = Envelope.objects.filter(pk=envelope_id).values_list("state", flat=True).first()
    envelope = claim(Envelope, envelope_id, lease=LEASE)
    if envelope is None:
        return None
    if before == State.CLAIMED and envelope.attempts > TRIES:
        _record(envelope, actor, State.FAILED, words=INTERRUPTED)
    else:
        if before == State.CLAIMED:
            # The one window that no sender can close: accepted by the server, killed before recording. It is counted,
            # and the receiver can tell the second copy by its Message-ID.
            Attempt.objects.create(envelope=envelope, ok=False, words=INTERRUPTED)
        _send_hold_or_cancel(envelope, actor)
    return Envelope.objects.get(pk=envelope_id)


def _send_hold_or_cancel(envelope: Envelope, actor: Actor) -> None:
    route = route_now(envelope)
    if isinstance(route, str):
        _record(envelope, actor, State.FAILED if route in NEED_A_HAND else State.CANCELLED, words=route)
    elif until := held_now(envelope):
        _hold(envelope, until)
    else:
        _deliver(envelope, actor, route)


def _hold(envelope: Envelope, until: datetime) -> None:
    """Put a claimed envelope back until the morning; that was no try to send it."""
    finish(
        envelope, State.DUE, due_at=until, held_until=until, attempts=envelope.attempts - 1, open_until=None
    )  # fmt: skip


def _deliver(envelope: Envelope, actor: Actor, route: Route) -> None:
    """Render and send one claimed envelope along a route."""
    envelope.channel, envelope.address, envelope.language = route.channel, route.address, route.language
    try:
        envelope.reference = CHANNELS[route.channel].send(render(envelope))
    except PermanentFailure as failure:
        _record(envelope, actor, State.FAILED, words=str(failure), address_fails=failure.address)
    except TransientFailure as failure:
        _postpone(envelope, actor, str(failure), after=failure.after)
    except Exception as error:
        # A slip of ours must not hold the row for ever: it is tried as often as anything else, then staff see it.
        _log.exception("Envelope %s could not be sent", envelope.id)
        _postpone(envelope, actor, f"The message could not be made: {type(error).__name__}")
    else:
        _record(envelope, actor, State.DONE, ok=True)


def _postpone(envelope: Envelope, actor: Actor, words: str, *, after: timedelta = timedelta()) -> None:
    """Make the envelope due again later, or let it fail when it has been tried often enough."""
    if envelope.attempts >= TRIES:
        return _record(envelope, actor, State.FAILED, words=words)
    return _record(envelope, actor, State.DUE, words=words, again=max(after, BACKOFF[envelope.attempts - 1]))


def _record(
    envelope: Envelope,
    actor: Actor,
    state: State,
    *,
    ok: bool = False,
    words: str = "",
    again: timedelta = timedelta(),
    address_fails: bool = False,
) -> None:
    """Record one try and where that leaves the envelope, in one transaction; the unit's trail hears of the end."""
    over = state != State.DUE
    with transaction.atomic():
        units = lock_units(envelope)
        Attempt.objects.create(envelope=envelope, ok=ok, words=words[:_WORDS_LENGTH])
        held = finish(
            envelope,
            state,
            due_at=None if over else clock.now() + again,
            done_at=clock.now() if over else None,
            channel=envelope.channel,
            address=envelope.address,
            language=envelope.language,
            reference=envelope.reference,
            open_until=None,
            held_until=None,
        )
        if held and address_fails:
            report(envelope.address, Delivery.BOUNCED, envelope=envelope, final=True, words=words)
        if over and held:
            write_trail(envelope, units, actor, f"notice_{state.value}")


def send_again(*, actor: Actor, envelope_id: UUID) -> Envelope:
    """Make a failed envelope due again, with all its tries, and ring. It goes to where the customer is reached now.

    Whoever does so has looked to the address: what came back from it before no longer counts. Raises Missing, or
    Refused with `notice_not_failed`.
    """
    permit(actor, "notices.resend")
    with transaction.atomic():
        units = lock_units(Envelope(pk=envelope_id))
        envelope = lock(Envelope, pk=envelope_id)
        if envelope.state != State.FAILED:
            raise Refused(Reason("notice_not_failed", {"state": envelope.get_state_display()}))
        if failing([envelope.address]):
            report(envelope.address, Delivery.CLEARED)
        envelope.state, envelope.due_at, envelope.attempts, envelope.done_at = State.DUE, clock.now(), 0, None
        envelope.delivery = envelope.reference = ""
        save(envelope, "state", "due_at", "attempts", "done_at", "delivery", "reference")
        write_trail(envelope, units, actor, "notice_sent_again")
        ring("notices.send", envelope_id)
    return envelope


def lock_units(envelope: Envelope) -> list[Unit]:
    """Lock the units that an envelope tells about, by primary key, before anything that hangs on them."""
    ids = envelope.notices.filter(unit__isnull=False).order_by("unit_id").values_list("unit_id", flat=True)
    return [lock(Unit, pk=unit_id) for unit_id in ids.distinct()]


def write_trail(envelope: Envelope, units: list[Unit], actor: Actor, what: str) -> None:
    """Say in the trail of each unit what became of a message about it."""
    for unit in units:
        events = sorted(notice.event for notice in wanted(envelope) if notice.unit_id == unit.id)
        if events:
            trail.write(unit, actor, what, facts={"envelope": str(envelope.id), "events": events})
