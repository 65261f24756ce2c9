"""What a worker does with quotes, every now and then."""

import logging
from typing import Protocol
from uuid import UUID

from celery import shared_task
from django.db.models import QuerySet

from shop.core.actor import SYSTEM, Actor
from shop.quotes import actions, queries
from shop.quotes.models import QuoteVersion

log = logging.getLogger("wickline.quotes")


@shared_task(name="quotes.remind_and_expire")
def remind_and_expire() -> None:
    """End the editions whose last day has passed and remind of those that wait. May run twice, or at once."""
    each(actions.expire_quote, queries.due_for_expiry())
    each(actions.remind, queries.due_for_reminder())


class _Act(Protocol):
    def __call__(self, *, actor: Actor, quote_id: UUID) -> bool: ...


def each(act: _Act, quotes: QuerySet[QuoteVersion]) -> None:
    """Do it to each; one that fails does not keep the others waiting, and the next run tries it again."""
    for quote_id in list(quotes.values_list("id", flat=True)):
        try:
            act(actor=SYSTEM, quote_id=quote_id)
        except Exception:
            log.exception("quote %s was left for the next run", quote_id)
