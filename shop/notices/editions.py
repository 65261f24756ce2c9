"""Which words an event is told in: the owner's newest edition in that language, else those that came with the program.

An edition is text as the owner wrote it, see `placeholders.read_lines`; the standard wording can be written the same
way, so that the owner begins with what is there.
"""

from dataclasses import dataclass

from django.utils.translation import gettext as _

from shop.core.reasons import Reason, Refused
from shop.core.text import line, words
from shop.notices.models import Event, Template
from shop.notices.placeholders import FLAGS, Line, Words, check, names_in, read_lines, written
from shop.notices.short_wording import SHORT
from shop.notices.wording import LINES, SUBJECTS

_ALWAYS = frozenset({"shop", "model"})
_OF_A_UNIT = frozenset({"number", "tag"})
PARAGRAPHS_LIMIT, SUBJECT_LIMIT, SHORT_LIMIT = 6000, 150, 600


@dataclass(frozen=True, slots=True)
class Wording:
    """How one event is told: the subject, the paragraphs, and the pieces of a text message."""

    subject: Words
    lines: tuple[Line, ...]
    short: tuple[Line, ...]


@dataclass(frozen=True, slots=True)
class Written:
    """A wording as text in a form, an empty line between two paragraphs."""

    subject: str
    paragraphs: str
    short: str


def subject_names(event: Event) -> frozenset[str]:
    """Return what may stand in a subject: what is known of every such message, as a subject cannot be left out."""
    return _ALWAYS if event in (Event.ANNOUNCED, Event.LINK_RENEWED) else _ALWAYS | _OF_A_UNIT


def names(event: Event) -> frozenset[str]:
    """Return what may stand in braces in a paragraph, or in its condition: facts of this event, and flags."""
    lines = (*LINES[event], *SHORT[event])
    used = {name for each in lines for name in (*names_in(each.text), *each.needs, *each.without)}
    return frozenset(used) | subject_names(event) | {"name", "link", "reply_to"}


def placeholders(event: Event) -> list[str]:
    """Return what may stand in braces in a paragraph of an event, sorted."""
    return sorted(names(event) - FLAGS)


def conditions(event: Event) -> list[str]:
    """Return what a paragraph may be made to depend on, sorted."""
    return sorted(names(event))


def standard(event: Event) -> Wording:
    """Return the wording that came with the program, in the language that is active when it is read."""
    return Wording(SUBJECTS[event], LINES[event], SHORT[event])


def as_written(wording: Wording) -> Written:
    """Return a wording as text, in the language that is active."""
    paragraphs, short = ("\n\n".join(map(written, lines)) for lines in (wording.lines, wording.short))
    return Written(str(wording.subject), paragraphs, short)


def read(event: Event, *, subject: str, paragraphs: str, short: str) -> Wording:
    """Return what the owner wrote, checked. An empty short text leaves the standard one.

    Raises Refused: `placeholder_unknown`, `condition_unknown`, `blank`, `too_long`, `hidden_character`.
    """
    known = names(event)
    heading = line(subject, label=_("Subject"), field="subject", limit=SUBJECT_LIMIT)
    check(heading, subject_names(event), "subject")
    body = words(paragraphs, label=_("Paragraphs"), field="paragraphs", limit=PARAGRAPHS_LIMIT)
    pieces = words(short, label=_("Text message"), field="short", limit=SHORT_LIMIT, required=False)
    lines = read_lines(body, known, "paragraphs")
    if not any(str(each.text) for each in lines):
        raise Refused(Reason("blank", {"label": _("Paragraphs")}, "paragraphs"))
    return Wording(heading, lines, read_lines(pieces, known, "short") or SHORT[event])


def newest(event: str, language: str) -> Template | None:
    """Return the newest edition of an event in a language, be it the way back to the standard; None without one."""
    return Template.objects.filter(event=event, language=language).order_by("-edition").first()


def of_edition(template: Template | None, event: Event) -> Wording:
    """Return the words of an edition, or the standard ones."""
    if template is None or template.standard:
        return standard(event)
    return read(event, subject=template.subject, paragraphs=template.paragraphs, short=template.short)


def in_force(event: Event, language: str) -> Wording:
    """Return the words that an event is told in now. One query.

    An edition that cannot be read any more, since a later program knows other facts, gives way to the standard one.
    """
    try:
        return of_edition(newest(event, language), event)
    except Refused:
        return standard(event)
