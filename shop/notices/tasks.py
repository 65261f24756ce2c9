"""What workers run. Each task may be lost or run many times: the row decides whether there is anything to do."""

from uuid import UUID

from celery import shared_task

from shop.core.actor import SYSTEM
from shop.core.bell import ring
from shop.core.duework import due
from shop.notices import actions
from shop.notices.models import Envelope

# Rings in one sweep: after a long silence the broker is not flooded, and the next sweep goes on.
AT_ONCE = 200


@shared_task(name="notices.send", ignore_result=True)
def send(envelope_id: str) -> None:
    """Send one envelope, if it is due and nobody else has it in hand."""
    actions.send_envelope(actor=SYSTEM, envelope_id=UUID(envelope_id))


@shared_task(name="notices.sweep", ignore_result=True)
def sweep() -> None:
    """Ring again for the envelopes that are due, those whose lease ran out among them, oldest first."""
    for envelope_id in list(due(Envelope).values_list("pk", flat=True)[:AT_ONCE]):
        ring("notices.send", envelope_id)
