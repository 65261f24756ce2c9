"""What is heard of messages after they were handed over: bounces by mail, reports of the gateway for text messages.

Faces call these through `shop.notices.actions`.
"""

import hmac
from uuid import UUID

from django.conf import settings
from django.db import transaction

from shop.core import clock
from shop.core.actor import Actor, permit
from shop.core.duework import State
from shop.core.locks import lock, save
from shop.core.reasons import Missing, Reason, Refused
from shop.notices.bounces import read_report
from shop.notices.models import Delivery, Envelope
from shop.notices.sending import lock_units, write_trail
from shop.notices.trouble import report


def take_bounce(*, actor: Actor, raw: bytes) -> Envelope:
    """Take a report of delivery (RFC 3464) as the mail server wrote it, and return the envelope that it is about.

    A message that came back has failed, and staff see it; the address counts as failing when the report says that it
    does not exist or takes nothing. The same report again changes nothing. Raises Refused: `bounce_unreadable`,
    `bounce_not_ours`, `bounce_too_early`.
    """
    permit(actor, "notices.report_bounce")
    said = read_report(raw)
    found = Envelope.objects.filter(message_id=said.message_id).first()
    if found is None:
        raise Refused(Reason("bounce_not_ours", {"message_id": said.message_id}))
    # What came back from where it was forwarded to, or from an address that was corrected since, is not this one's.
    final = said.final and (found.address.lower() in said.recipients or not said.recipients)
    return _heard(actor, found.pk, said.delivery, final=final, words=said.words)


def take_sms_report(*, actor: Actor, secret: str, reference: str, number: str, status: str) -> Envelope:
    """Take a gateway's report of a text message, named by our reference or the gateway's own number.

    Words other than those of the settings for delivered and failed are heard and change nothing. Raises Missing for a
    wrong secret and for a message that is not there alike, Refused with `bounce_too_early`.
    """
    permit(actor, "notices.report_sms")
    kept = settings.SMS_REPORT_SECRET
    found = _texted(reference, number) if kept and hmac.compare_digest(secret.encode(), kept.encode()) else None
    if found is None:
        raise Missing(Reason("missing", {"thing": "message", "sought": (reference or number)[:60]}))
    said = status.strip().lower()
    heard = {**dict.fromkeys(settings.SMS_DELIVERED, "delivered"), **dict.fromkeys(settings.SMS_FAILED, "bounced")}
    # A phone that was off says nothing about its number, so no number is ever called dead by this.
    return _heard(actor, found, heard.get(said, ""), final=False, words=f"The gateway said {said[:80]}")


def _texted(reference: str, number: str) -> UUID | None:
    texts = Envelope.objects.filter(channel="sms")
    try:
        named = texts.filter(pk=UUID(reference)) if reference else texts.none()
    except ValueError:
        named = texts.none()
    if not named and number:
        named = texts.filter(reference=number[:120])
    return named.values_list("pk", flat=True).first()


def _heard(actor: Actor, envelope_id: UUID, delivery: str, *, final: bool, words: str) -> Envelope:
    """Record what was heard of an envelope; what came back has failed, unless that was recorded already."""
    with transaction.atomic():
        units = lock_units(Envelope(pk=envelope_id))
        envelope = lock(Envelope, pk=envelope_id)
        if envelope.state == State.CLAIMED:
            raise Refused(Reason("bounce_too_early"))
        if _tells_nothing_new(envelope, delivery):
            return envelope
        envelope.delivery = delivery
        save(envelope, "delivery")
        report(envelope.address, Delivery(delivery), envelope=envelope, final=final, words=words)
        if delivery == Delivery.BOUNCED:
            envelope.state, envelope.done_at = State.FAILED, clock.now()
            save(envelope, "state", "done_at")
            write_trail(envelope, units, actor, "notice_failed")
        return envelope


def _tells_nothing_new(envelope: Envelope, delivery: str) -> bool:
    """Tell whether a report says nothing, what is known, or what something graver has overtaken."""
    if delivery in ("", envelope.delivery) or envelope.delivery == Delivery.BOUNCED:
        return True
    if delivery == Delivery.BOUNCED:
        return envelope.state == State.FAILED
    return delivery == Delivery.DELAYED and envelope.delivery == Delivery.DELIVERED
