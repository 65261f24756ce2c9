"""What a customer asks on the unit's page, and what the shop answers."""

from typing import cast
from uuid import UUID

from django.db import transaction
from django.db.models import QuerySet
from django.utils.translation import gettext as _

from shop.core import clock, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock
from shop.core.models import PersonalText, TrailEntry
from shop.core.reasons import Reason, Refused
from shop.core.rows import existing
from shop.core.text import words
from shop.notices import steps as notices
from shop.quotes.models import Question, QuoteVersion
from shop.units.models import Unit

# So many may wait for an answer at once: more is either a quarrel, which wants a telephone, or a robot.
MOST_OPEN = 10
LIMIT = 2000
_ASKED = "question_asked"


def ask(*, actor: Actor, unit_id: UUID, text: str) -> Question:
    """Keep a customer's question about a unit and the quote that is before them; a double tap is one question.

    Raises Missing, or Refused with `blank`, `too_long`, `questions_many`.
    """
    permit(actor, "quotes.ask")
    said = words(text, label=_("The question"), field="question", limit=LIMIT)
    with transaction.atomic():
        unit = lock(Unit, pk=unit_id)
        waiting = list(open_questions().filter(unit=unit))
        if same := next((question for question in waiting if question.asked.text == said), None):
            return same
        if len(waiting) >= MOST_OPEN:
            raise Refused(Reason("questions_many", {"count": len(waiting)}, "question"))
        shown = QuoteVersion.objects.filter(unit=unit, state=QuoteVersion.State.SENT).first()
        asked = trail.write(unit, actor, _ASKED, note=said).note
        return Question.objects.create(unit=unit, quote=shown, asked=cast(PersonalText, asked))


def answer(*, actor: Actor, question_id: UUID, text: str) -> Question:
    """Answer a question once; the customer is told, with both.

    Raises Missing, or Refused with `blank`, `too_long`, `question_answered`.
    """
    permit(actor, "quotes.answer")
    said = words(text, label=_("The answer"), field="answer", limit=LIMIT)
    with transaction.atomic():
        unit = lock(Unit, pk=_unit_of(question_id))
        question = lock(Question, pk=question_id)
        if question.answered_at:
            raise Refused(Reason("question_answered", {"by": question.answered_by}))
        entry = trail.write(unit, actor, "question_answered", facts={"question": question.id}, note=said)
        question.answer, question.answered_at, question.answered_by = entry.note, clock.now(), actor.name[:60]
        question.save(update_fields=["answer", "answered_at", "answered_by"])
        # The words themselves stay on the page, so that they lie in one erasable place only.
        notices.tell(event="question_answered", unit=unit, key=str(question.id), facts={"question_id": question.id})
    return question


def _unit_of(question_id: UUID) -> UUID:
    return existing(Question.objects.only("unit_id"), question_id).unit_id


def open_questions() -> QuerySet[Question]:
    """Return the questions that wait for an answer, oldest first, with their units."""
    return Question.objects.filter(answered_at=None).select_related("asked", "unit__model", "unit__customer")


def with_questions(story: QuerySet[TrailEntry]) -> tuple[tuple[TrailEntry, ...], tuple[Question, ...]]:
    """Return a unit's story, and the questions in it with their words, in order. One query for both."""
    entries = tuple(story.select_related("note__question__answer"))
    return entries, tuple(entry.note.question for entry in entries if entry.what == _ASKED and entry.note)


def questions_of(unit_id: UUID) -> QuerySet[Question]:
    """Return a unit's questions in order, with their words. One query."""
    return Question.objects.filter(unit_id=unit_id).select_related("asked", "answer")
