"""What somebody may do about a promised date."""

from datetime import date, timedelta
from uuid import UUID

from django.db import transaction

from shop.core import clock, text
from shop.core.actor import Actor, permit
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.planning import steps
from shop.planning.models import Promise
from shop.units.actions import present

_LONGEST = timedelta(days=365)


def promise_by_hand(*, actor: Actor, unit_id: UUID, version: int | None, on: date, words: str = "") -> Promise:
    """Promise a date of somebody's own choice; its confidence is what the figures say about that day.

    words say why and are kept with the trail. Raises Refused: `promise_in_past`, `promise_too_far` (over a year),
    `unit_left`, `too_long`; Stale for an old version, Missing.
    """
    permit(actor, "planning.promise")
    said = text.words(words, label="Reason", field="words", limit=300, required=False)
    today = clock.day_of(clock.now(), profile().time_zone)
    if on < today:
        raise Refused(Reason("promise_in_past", {"on": on.isoformat(), "today": today.isoformat()}, "on"))
    if on > today + _LONGEST:
        raise Refused(Reason("promise_too_far", {"last": (today + _LONGEST).isoformat()}, "on"))
    with transaction.atomic():
        unit = present(unit_id, version=version)
        return steps.promise_given(actor=actor, unit=unit, today=today, on=on, words=said)
