"""Changes of a draft as named operations: applied to its lines in memory, all or none.

Amounts are what a person types: at least zero in every kind of line, minor units before tax; a discount's is taken
off.
"""

from dataclasses import dataclass
from typing import TypeVar
from uuid import UUID

from django.utils.translation import gettext as _

from shop.boards.models import Service
from shop.core import money
from shop.core.reasons import Missing, Reason, Refused
from shop.core.text import choice, words
from shop.parts.models import Part
from shop.quotes.content import option_of
from shop.quotes.models import QuoteLine, QuoteVersion

LARGEST_QUANTITY = 9_999
MOST_LINES = 100
M = TypeVar("M", Service, Part)
Kind = QuoteLine.Kind


@dataclass(frozen=True, slots=True, kw_only=True)
class AddLine:
    """A new last line. taken says whether an optional line starts out ticked; others always count."""

    kind: str
    words: str
    unit_minor: int
    quantity: int = 1
    taxed: bool = True
    optional: bool = False
    taken: bool = False
    service_id: UUID | None = None
    part_id: UUID | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class RemoveLine:
    """Take a line away."""

    line_id: UUID


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeLine:
    """Change what is given; None leaves it as it is. taken holds for every line of the same option."""

    line_id: UUID
    words: str | None = None
    quantity: int | None = None
    unit_minor: int | None = None
    taxed: bool | None = None
    optional: bool | None = None
    taken: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SetNote:
    """Say something to the customer above the lines; empty takes it away."""

    text: str


Operation = AddLine | RemoveLine | ChangeLine | SetNote


class Draft:
    """A draft's lines while operations are applied to them. `lines` and the quote's note are the result."""

    def __init__(self, quote: QuoteVersion) -> None:
        self.quote = quote
        self.lines = list(quote.lines.all())

    def apply(self, operation: Operation) -> None:
        """Apply one operation. Raises Refused naming the field, Missing for an unknown line, service or part."""
        match operation:
            case AddLine():
                self._add(operation)
            case RemoveLine():
                self.lines.remove(self._line(operation.line_id))
            case ChangeLine():
                self._change(self._line(operation.line_id), operation)
            case SetNote():
                self.quote.note = words(operation.text, label=_("The note"), field="text", required=False)

    def _line(self, line_id: UUID) -> QuoteLine:
        for line in self.lines:
            if line.id == line_id:
                return line
        raise Missing(Reason("missing", {"thing": _("quote line"), "sought": line_id}, "line_id"))

    def _add(self, add: AddLine) -> None:
        if len(self.lines) >= MOST_LINES:
            raise Refused(Reason("too_many_lines", {"limit": MOST_LINES}))
        kind = choice(add.kind, Kind.values, label=_("The kind of line"), field="kind")
        line = QuoteLine(
            quote=self.quote,
            position=max((line.position for line in self.lines), default=0) + 1,
            kind=kind,
            words=_words(add.words),
            quantity=_quantity(add.quantity),
            unit_minor=_amount(add.unit_minor, kind),
            taxed=add.taxed,
            optional=add.optional,
            taken=add.taken or not add.optional,
            service=_found(Service, add.service_id),
            part=_found(Part, add.part_id),
        )
        self._join(line)
        self.lines.append(line)

    def _change(self, line: QuoteLine, change: ChangeLine) -> None:
        if change.words is not None:
            line.words = _words(change.words)
        if change.quantity is not None:
            line.quantity = _quantity(change.quantity)
        if change.unit_minor is not None:
            line.unit_minor = _amount(change.unit_minor, line.kind)
        if change.taxed is not None:
            line.taxed = change.taxed
        if change.optional is not None and change.optional != line.optional:
            line.optional, line.taken = change.optional, not change.optional
            self._join(line)
        if change.taken is not None and line.optional:
            for other in self._tied(line):
                other.taken = change.taken

    def _tied(self, line: QuoteLine) -> list[QuoteLine]:
        return [other for other in self.lines if option_of(other) == option_of(line)]

    def _join(self, line: QuoteLine) -> None:
        """Let a line that becomes part of an option be taken or left as the option is."""
        others = [other for other in self._tied(line) if other is not line] if line.optional else []
        if others:
            line.taken = others[0].taken


def _words(given: str) -> str:
    return words(given, label=_("The words of the line"), field="words", limit=160)


def _quantity(given: int) -> int:
    if not 1 <= given <= LARGEST_QUANTITY:
        facts = {"label": _("The quantity"), "low": 1, "high": LARGEST_QUANTITY}
        raise Refused(Reason("out_of_range", facts, "quantity"))
    return given


def _amount(given: int, kind: str) -> int:
    amount = money.checked(given, label=_("The price"), field="unit_minor")
    return -amount if kind == Kind.DISCOUNT else amount


def _found(model: type[M], pk: UUID | None) -> M | None:
    if pk is None:
        return None
    row = model._default_manager.filter(pk=pk).first()
    if row is None:
        raise Missing(Reason("missing", {"thing": model._meta.verbose_name, "sought": pk}))
    return row
