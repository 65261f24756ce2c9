"""Reads of messages for the staff's pages: three queries each, whatever the number of rows."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Prefetch, QuerySet

from shop.core.duework import State
from shop.notices.models import Attempt, Envelope, Notice
from shop.notices.sentences import INTERRUPTED, NOTES


@dataclass(frozen=True, slots=True)
class Try:
    """One try to send, and what came of it in words."""

    at: datetime
    ok: bool
    words: str


@dataclass(frozen=True, slots=True)
class SentMessage:
    """One envelope as staff see it. events are the events' codes, about says them with the unit's number and model."""

    id: UUID
    events: tuple[str, ...]
    about: tuple[str, ...]
    unit_ids: tuple[UUID, ...]
    address: str
    state: str
    state_words: str
    written_at: datetime
    due_at: datetime
    done_at: datetime | None
    tries: tuple[Try, ...]

    @property
    def failed(self) -> bool:
        """Tell whether it can be sent again."""
        return self.state == State.FAILED


def failed() -> list[SentMessage]:
    """Return the messages that could not be sent, newest first: staff must see to each."""
    return _read(Envelope.objects.filter(state=State.FAILED))


def failed_count() -> int:
    """Return how many messages wait for staff, for the mark beside the page's name."""
    return Envelope.objects.filter(state=State.FAILED).count()


def recent(limit: int = 50) -> list[SentMessage]:
    """Return the newest messages, whatever became of them."""
    return _read(Envelope.objects.all()[:limit])


def for_unit(unit_id: UUID) -> list[SentMessage]:
    """Return the messages about one unit, newest first, with every try."""
    return _read(Envelope.objects.filter(pk__in=Notice.objects.filter(unit_id=unit_id).values("envelope_id")))


def interrupted_count() -> int:
    """Return how often a worker was stopped in mid-sending: the only messages that can have gone out twice."""
    return Attempt.objects.filter(words=INTERRUPTED).count()


def _read(envelopes: "QuerySet[Envelope]") -> list[SentMessage]:
    notices = Prefetch("notices", Notice.objects.select_related("unit__model"))
    return [_as_message(envelope) for envelope in envelopes.prefetch_related(notices, "tries")]


def _as_message(envelope: Envelope) -> SentMessage:
    notices = list(envelope.notices.all())
    return SentMessage(
        id=envelope.id,
        events=tuple(notice.event for notice in notices),
        about=tuple(_about(notice) for notice in notices),
        unit_ids=tuple(notice.unit_id for notice in notices if notice.unit_id),
        address=envelope.address,
        state=envelope.state,
        state_words=envelope.get_state_display(),
        written_at=envelope.created_at,
        due_at=envelope.due_at,
        done_at=envelope.done_at,
        tries=tuple(Try(row.created_at, row.ok, str(NOTES.get(row.words, row.words))) for row in envelope.tries.all()),
    )


def _about(notice: Notice) -> str:
    named = f"{notice.unit}, {notice.unit.model}: " if notice.unit else ""
    return f"{named}{notice.get_event_display()}"
