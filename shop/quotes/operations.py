"""Changes of a draft as named operations: applied to its lines in memory, all or none.

Amounts are what a person types: at least zero in every kind of line, minor units as the shop writes prices; what a
discount or a credit names is taken off.
"""

import uuid
from dataclasses import dataclass
from uuid import UUID

from django.utils.translation import gettext as _

from shop.boards.models import Service
from shop.core.reasons import Reason, Refused
from shop.core.rows import existing, no_such
from shop.core.text import words
from shop.quotes.content import in_customers_language, option_of
from shop.quotes.drafting import line_from, service_lines
from shop.quotes.line_checks import LineGiven, apply_given, check_whole
from shop.quotes.models import QuoteLine, QuoteTemplate, QuoteVersion

MOST_LINES = 100
Kind = QuoteLine.Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class AddLine(LineGiven):
    """A new last line. taken says whether an optional line starts out ticked; others always count."""

    kind: str
    words: str
    unit_minor: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeLine(LineGiven):
    """Change what is given; None leaves it as it is. taken holds for every line of the same option."""

    line_id: UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveLine:
    """Take a line away."""

    line_id: UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class MoveLine:
    """Put a line at a place among the others, from 1; past the end is the end."""

    line_id: UUID
    position: int


@dataclass(frozen=True, slots=True, kw_only=True)
class SetNote:
    """Say something to the customer above the lines; empty takes it away."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class SetReason:
    """Say to the customer why there is a new edition; empty takes it away."""

    text: str


@dataclass(frozen=True, slots=True, kw_only=True)
class OfferService:
    """Put a service of the library below the others, with its parts, as an option that nobody has taken yet."""

    service_id: UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class UseTemplate:
    """Put the lines of a template for a common job below the others."""

    template_id: UUID


Operation = AddLine | RemoveLine | ChangeLine | MoveLine | SetNote | SetReason | OfferService | UseTemplate


class Draft:
    """A draft's lines while operations are applied to them. `lines` and the quote's words are the result."""

    def __init__(self, quote: QuoteVersion) -> None:
        self.quote = quote
        self.lines = list(quote.lines.select_related("service", "donor"))

    def apply(self, operation: Operation) -> None:
        """Apply one operation. Raises Refused naming the field, Missing for an unknown line, service, part or unit."""
        match operation:
            case AddLine():
                self._add(operation)
            case RemoveLine():
                self.lines.remove(self._line(operation.line_id))
            case ChangeLine():
                self._change(self._line(operation.line_id), operation)
            case MoveLine():
                self._move(self._line(operation.line_id), operation.position)
            case UseTemplate():
                self._use(operation.template_id)
            case OfferService():
                self._offer(operation.service_id)
            case SetNote() | SetReason():
                self._say(operation)

    def _say(self, said: SetNote | SetReason) -> None:
        if isinstance(said, SetNote):
            self.quote.note = words(said.text, label=_("The note"), field="text", required=False)
        else:
            label = _("The reason")
            self.quote.why_changed = words(said.text, label=label, field="text", limit=300, required=False)

    def _line(self, line_id: UUID) -> QuoteLine:
        for line in self.lines:
            if line.id == line_id:
                return line
        raise no_such(QuoteLine, line_id, "line_id")

    def _add(self, add: AddLine) -> None:
        line = QuoteLine(quote=self.quote, unit_minor=0, kind="", words="")
        apply_given(line, add)
        line.taken = bool(add.taken) or not line.optional
        self._keep(line)

    def _keep(self, line: QuoteLine) -> None:
        if len(self.lines) >= MOST_LINES:
            raise Refused(Reason("too_many_lines", {"limit": MOST_LINES}))
        self._join(line)
        self.lines.append(line)

    def _change(self, line: QuoteLine, change: ChangeLine) -> None:
        was_optional = line.optional
        apply_given(line, change)
        if line.optional != was_optional:
            line.taken = not line.optional
            self._join(line)
        if change.taken is not None and line.optional:
            for other in self._tied(line):
                other.taken = change.taken

    def _move(self, line: QuoteLine, position: int) -> None:
        self.lines.remove(line)
        self.lines.insert(max(0, position - 1), line)

    def _use(self, template_id: UUID) -> None:
        template = existing(QuoteTemplate.objects.filter(retired_at=None), template_id)
        kept_lines = list(template.lines.select_related("service"))
        keys = {kept.option: uuid.uuid4() for kept in kept_lines if kept.option and not kept.service_id}
        for kept in kept_lines:
            line = line_from(kept, self.quote)
            # An option without a service has another name on each quote, and what needs it knows it by that one.
            line.key = keys.get(kept.option, line.key)
            line.needs = str(keys.get(kept.needs, kept.needs))
            self._keep(line)

    def _offer(self, service_id: UUID) -> None:
        service = existing(Service.objects.filter(retired_at=None).prefetch_related("parts__part"), service_id)
        if any(line.service_id == service_id for line in self.lines):
            raise Refused(Reason("service_quoted", {"name": service.name}, "service"))
        with in_customers_language(self.quote.unit):
            lines = service_lines(self.quote, self.quote.unit, [service])
        for line in lines:
            line.optional, line.taken = True, False
            self._keep(line)

    def _tied(self, line: QuoteLine) -> list[QuoteLine]:
        return [other for other in self.lines if option_of(other) == option_of(line)]

    def _join(self, line: QuoteLine) -> None:
        """Let a line that becomes part of an option be taken or left as the option is."""
        others = [other for other in self._tied(line) if other is not line] if line.optional else []
        if others:
            line.taken = others[0].taken

    def check(self) -> None:
        """Refuse lines that together cannot be offered; each by itself was checked when it was given."""
        check_whole(self.lines)
