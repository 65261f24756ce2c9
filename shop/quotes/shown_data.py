"""What is shown of an edition, as plain data. Money is minor units of the edition's currency, as the shop writes prices
(before tax, or with it), unless the name says total or tax.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from itertools import groupby
from uuid import UUID

from shop.core.reasons import Reason
from shop.quotes.explaining import Explained


@dataclass(frozen=True, slots=True)
class ShownLine:
    """One line. about explains it in a few words; key stays the same from edition to edition."""

    id: UUID
    key: UUID
    kind: str
    kind_words: str
    words: str
    about: str
    why: str
    quantity: int
    unit_minor: int
    discount_millipercent: int
    percent_millipercent: int
    net_minor: int
    tax_class: str
    optional: bool
    taken: bool
    option: str
    one_of: str
    may_skip: bool
    needs: str
    source: str
    donor: str


@dataclass(frozen=True, slots=True)
class ShownOption:
    """Lines that are taken or left together, and what the total is either way, the other options as they are.

    value is what a form sends for a taken option; read it with `read_taken`. group names the options of which one is
    taken; needs_words the option without which this one makes no sense.
    """

    option: str
    value: str
    line_ids: tuple[UUID, ...]
    words: tuple[str, ...]
    about: str
    taken: bool
    group: str
    may_skip: bool
    needs_words: str
    net_minor: int
    change_minor: int
    total_with_minor: int
    total_without_minor: int


@dataclass(frozen=True, slots=True)
class ShownGroup:
    """Options of which one is taken, or none where they may be skipped."""

    name: str
    may_skip: bool
    options: tuple[ShownOption, ...]

    @property
    def nothing_taken(self) -> bool:
        """Tell whether none of them is taken as it stands."""
        return not any(option.taken for option in self.options)


@dataclass(frozen=True, slots=True)
class ShownTax:
    """What one rate comes to."""

    tax_class: str
    rate_words: str
    taxable_minor: int
    tax_minor: int


@dataclass(frozen=True, slots=True)
class ShownTerm:
    """One term. asks tells whether it wants a yes of its own; only_with names the options that alone call for it."""

    code: str
    words: str
    asks: bool
    only_with: str


@dataclass(frozen=True, slots=True)
class ShownQuote:
    """One edition with its sums for the options as chosen; not_allowed says why they could not be taken like this."""

    id: UUID
    edition: int
    version: int
    state: str
    state_words: str
    open: bool
    within_limit: bool
    urgent: bool
    currency: str
    note: str
    why_changed: str
    terms: tuple[ShownTerm, ...]
    lines: tuple[ShownLine, ...]
    options: tuple[ShownOption, ...]
    not_allowed: tuple[Reason, ...]
    net_minor: int
    taxable_minor: int
    tax_minor: int
    total_minor: int
    taxes: tuple[ShownTax, ...]
    prices_include_tax: bool
    tax_name: str
    tax_rate_words: str
    explained: Explained
    deposit_minor: int
    fee_if_declined_total_minor: int
    valid_until: date | None
    content_sha256: str

    @property
    def groups(self) -> tuple[ShownGroup, ...]:
        """Return the options that stand in groups, by group."""
        return tuple(self._groups())

    def _groups(self) -> Iterator[ShownGroup]:
        grouped = sorted((option for option in self.options if option.group), key=lambda option: option.group)
        for name, members in groupby(grouped, key=lambda option: option.group):
            together = tuple(members)
            yield ShownGroup(name, any(option.may_skip for option in together), together)

    @property
    def single_options(self) -> tuple[ShownOption, ...]:
        """Return the options that stand by themselves."""
        return tuple(option for option in self.options if not option.group)

    @property
    def reckoned(self) -> tuple[tuple[str, str], ...]:
        """Return the words of each line that is taken, with the arithmetic behind its sum."""
        taken = [line.words for line in self.lines if line.taken]
        return tuple(zip(taken, self.explained.lines, strict=True))

    @property
    def terms_asked(self) -> tuple[ShownTerm, ...]:
        """Return the terms that want a yes of their own."""
        return tuple(term for term in self.terms if term.asks)
