"""Reads of messages for the staff's pages: a fixed number of queries each, whatever the number of rows."""

from dataclasses import dataclass
from datetime import datetime
from uuid import UUID

from django.db.models import Prefetch, Q, QuerySet
from django.utils.translation import gettext as _

from shop.core import clock
from shop.core.duework import State
from shop.notices import editions
from shop.notices.models import Attempt, Delivery, Envelope, Event, Group, Notice, Report, Template
from shop.notices.sentences import INTERRUPTED, NOTES
from shop.notices.trouble import ENOUGH, came_back
from shop.notices.unsubscribing import unwanted_by
from shop.people.models import Customer

SHOWN = ("all", "failed", "waiting", "held", "sent")


@dataclass(frozen=True, slots=True)
class Try:
    """One try to send, and what came of it in words."""

    at: datetime
    ok: bool
    words: str


@dataclass(frozen=True, slots=True)
class SentMessage:
    """One envelope as staff see it. events are the events' codes, about says them with the unit's number and model.

    delivery is what was heard of it since it was handed over (a code, "" for nothing), heard that with the other
    side's words; held_until is the end of the quiet hours that it waits for. came_back is how many messages came back
    for good from its address of late, dead says that nothing more is sent there.
    """

    id: UUID
    events: tuple[str, ...]
    about: tuple[str, ...]
    unit_ids: tuple[UUID, ...]
    channel: str
    address: str
    state: str
    state_words: str
    written_at: datetime
    due_at: datetime
    held_until: datetime | None
    done_at: datetime | None
    delivery: str
    delivery_words: str
    tries: tuple[Try, ...]
    heard: tuple[Try, ...]
    came_back: int

    @property
    def failed(self) -> bool:
        """Tell whether it can be sent again."""
        return self.state == State.FAILED

    @property
    def waiting(self) -> bool:
        """Tell whether it is still to be sent."""
        return self.state == State.DUE

    @property
    def dead(self) -> bool:
        """Tell whether nothing more is sent to its address."""
        return self.came_back >= ENOUGH


def failed() -> list[SentMessage]:
    """Return the messages that could not be sent or came back, newest first: staff must see to each."""
    return _read(Envelope.objects.filter(state=State.FAILED))


def failed_count() -> int:
    """Return how many messages wait for staff, for the mark beside the page's name."""
    return Envelope.objects.filter(state=State.FAILED).count()


def recent(limit: int = 50) -> list[SentMessage]:
    """Return the newest messages, whatever became of them."""
    return shown("all", limit)


def shown(which: str, limit: int = 50) -> list[SentMessage]:
    """Return the newest messages of one of SHOWN: all, failed, waiting, held for quiet hours, or sent."""
    held = Q(state=State.DUE, held_until__gt=clock.now())
    wanted = {
        "failed": Q(state=State.FAILED),
        "waiting": Q(state__in=(State.DUE, State.CLAIMED)) & ~held,
        "held": held,
        "sent": Q(state=State.DONE),
    }.get(which, Q())
    return _read(Envelope.objects.filter(wanted)[:limit])


def one(envelope_id: UUID) -> SentMessage | None:
    """Return one message, or None."""
    return next(iter(_read(Envelope.objects.filter(pk=envelope_id))), None)


def for_unit(unit_id: UUID) -> list[SentMessage]:
    """Return the messages about one unit, newest first, with every try."""
    return _read(Envelope.objects.filter(pk__in=Notice.objects.filter(unit_id=unit_id).values("envelope_id")))


def interrupted_count() -> int:
    """Return how often a worker was stopped in mid-sending: the only messages that can have gone out twice."""
    return Attempt.objects.filter(words=INTERRUPTED).count()


def _read(envelopes: "QuerySet[Envelope]") -> list[SentMessage]:
    notices = Prefetch("notices", Notice.objects.select_related("unit__model"))
    found = list(envelopes.prefetch_related(notices, "tries"))
    addresses = {envelope.address.lower() for envelope in found if envelope.address}
    reports = list(Report.objects.filter(Q(envelope__in=found) | Q(address__in=addresses)))
    trouble = came_back(reports)
    return [
        _as_message(
            envelope,
            [report for report in reports if report.envelope_id == envelope.id],
            trouble.get(envelope.address.lower(), 0),
        )
        for envelope in found
    ]


def _as_message(envelope: Envelope, reports: list[Report], trouble: int) -> SentMessage:
    notices = list(envelope.notices.all())
    trial = envelope.trial
    return SentMessage(
        id=envelope.id,
        events=tuple(notice.event for notice in notices),
        about=tuple(map(_about, notices)) if trial is None else (_tried(trial),),
        unit_ids=tuple(notice.unit_id for notice in notices if notice.unit_id),
        channel=envelope.channel,
        address=envelope.address,
        state=envelope.state,
        state_words=envelope.get_state_display(),
        written_at=envelope.created_at,
        due_at=envelope.due_at,
        held_until=envelope.held_until,
        done_at=envelope.done_at,
        delivery=envelope.delivery,
        delivery_words=envelope.get_delivery_display(),
        tries=tuple(Try(row.created_at, row.ok, str(NOTES.get(row.words, row.words))) for row in envelope.tries.all()),
        heard=tuple(Try(row.created_at, row.delivery == Delivery.DELIVERED, row.words) for row in reports),
        came_back=trouble,
    )


def _about(notice: Notice) -> str:
    named = f"{notice.unit}, {notice.unit.model}: " if notice.unit else ""
    return f"{named}{notice.get_event_display()}"


def _tried(trial: dict[str, str]) -> str:
    return _("trying out the wording of: {event}").format(event=Event(trial["event"]).label)


@dataclass(frozen=True, slots=True)
class TemplateShown:
    """The wording of one event in one language as the owner sees it: what is in force, and all editions, newest first.

    edition is the newest one's number, 0 without any; own says that the words in force are the owner's.
    """

    event: str
    event_words: str
    language: str
    edition: int
    own: bool
    subject: str
    paragraphs: str
    short: str
    placeholders: list[str]
    conditions: list[str]
    editions: list[Template]


def all_templates(language: str) -> list[tuple[Event, Template | None]]:
    """Return every event with the newest edition of its wording in a language, None for the standard one. One query."""
    newest = {row.event: row for row in Template.objects.filter(language=language).order_by("edition")}
    return [(event, newest.get(event.value)) for event in Event]


def template(event: Event, language: str) -> TemplateShown:
    """Return the wording of an event in a language, in the language that is active. One query."""
    kept = list(Template.objects.filter(event=event, language=language).order_by("-edition"))
    newest = kept[0] if kept else None
    own = newest is not None and not newest.standard
    words = editions.as_written(editions.standard(event))
    if newest and own:
        words = editions.Written(newest.subject, newest.paragraphs, newest.short or words.short)
    return TemplateShown(
        event=event.value,
        event_words=str(event.label),
        language=language,
        edition=newest.edition if newest else 0,
        own=own,
        subject=words.subject,
        paragraphs=words.paragraphs,
        short=words.short,
        placeholders=editions.placeholders(event),
        conditions=editions.conditions(event),
        editions=kept,
    )


def choices_of(customer: Customer) -> list[tuple[Group, bool]]:
    """Return every group of messages that can be stopped, and whether this customer has stopped it. One query."""
    unwanted = unwanted_by(customer)
    return [(group, group.value in unwanted) for group in Group]
