"""What a quote consists of: its lines, what each comes to, and the sums. Pure.

An amount is in minor units as the shop writes prices: before tax, or with it where its prices contain the tax.
"""

from dataclasses import dataclass
from enum import StrEnum

from shop.core.money import share
from shop.ledger.tax import TaxClass, TaxRow, TaxRules

WHOLE_MILLIPERCENT = 100_000
_LARGEST_SHARE_MILLIPERCENT = 1_000_000


class Kind(StrEnum):
    """The kinds of line that are reckoned in their own way. Every other kind is a charge like a part."""

    LABOUR = "labour"
    FEE = "fee"
    SURCHARGE = "surcharge"
    DISCOUNT = "discount"
    CREDIT = "credit"


@dataclass(frozen=True, slots=True)
class Line:
    """One line. unit_minor is the price of one: at most zero for a discount or a credit, else at least zero.

    discount_millipercent or discount_minor is taken off this line alone. percent_millipercent, where it is not 0, makes
    the line a share of others instead, with quantity 1 and a price of nothing: a discount of everything else on the
    quote, a surcharge of its labour; it has the tax classes of what it is a share of, whatever its own says.

    option names what an optional line is taken or left with; it is empty for a line that is not optional. one_of names
    the group of options of which exactly one is taken, or at most one with may_skip; needs names the option without
    which this one cannot be taken. Raises ValueError for a line that cannot be.
    """

    words: str
    kind: str
    quantity: int
    unit_minor: int
    optional: bool = False
    taken: bool = True
    option: str = ""
    tax_class: TaxClass = TaxClass.STANDARD
    discount_millipercent: int = 0
    discount_minor: int = 0
    percent_millipercent: int = 0
    one_of: str = ""
    may_skip: bool = False
    needs: str = ""

    def __post_init__(self) -> None:
        right = self.quantity >= 1 and self._right_amount() and self._right_discount() and self._right_option()
        if not right:
            raise ValueError(f"not a line of a quote: {self}")

    def _right_amount(self) -> bool:
        if self.is_share:
            most = WHOLE_MILLIPERCENT if self.kind == Kind.DISCOUNT else _LARGEST_SHARE_MILLIPERCENT
            right_kind = self.kind in (Kind.DISCOUNT, Kind.SURCHARGE)
            return right_kind and (self.quantity, self.unit_minor) == (1, 0) and 0 < self.percent_millipercent <= most
        return self.unit_minor <= 0 if self.is_deduction else self.unit_minor >= 0

    def _right_discount(self) -> bool:
        if self.is_share or self.is_deduction:
            return self.discount_millipercent == self.discount_minor == 0
        both = self.discount_millipercent and self.discount_minor
        within = 0 <= self.discount_minor <= self.gross_minor and 0 <= self.discount_millipercent <= WHOLE_MILLIPERCENT
        return within and not both

    def _right_option(self) -> bool:
        only_options = not (self.one_of or self.needs) or self.optional
        must = self.optional or self.taken
        return self.optional == bool(self.option) and only_options and must and (not self.may_skip or bool(self.one_of))

    @property
    def is_share(self) -> bool:
        """Return whether the line is a share of others."""
        return self.percent_millipercent != 0

    @property
    def is_deduction(self) -> bool:
        """Return whether the line takes something off others."""
        return self.kind in (Kind.DISCOUNT, Kind.CREDIT)

    @property
    def is_charge(self) -> bool:
        """Return whether the line is work, a thing or a service with a price of its own."""
        return not (self.is_share or self.is_deduction)

    @property
    def gross_minor(self) -> int:
        """Return quantity × price of one, before the line's own discount."""
        return self.quantity * self.unit_minor

    @property
    def off_minor(self) -> int:
        """Return the line's own discount, at least zero; a percentage is rounded half up."""
        return self.discount_minor + share(self.gross_minor, self.discount_millipercent)

    @property
    def net_minor(self) -> int:
        """Return what the line comes to by itself: quantity × price of one less its own discount; 0 for a share."""
        return self.gross_minor - (self.off_minor if self.discount_minor or self.discount_millipercent else 0)


@dataclass(frozen=True, slots=True)
class PricedLine:
    """A taken line on a priced quote.

    net_minor is what it adds to the sum of the lines, below zero for a discount. parts is how that falls on the tax
    classes: one for an ordinary line, as many as there are for a share. base_minor is what a share is a share of. Where
    tax is rounded by item, settled_minor is what is left of a charge once discounts and surcharges are spread over the
    charges, and tax_minor the tax of that; both are None for the lines that are spread, and by document.
    """

    line: Line
    net_minor: int
    parts: tuple[tuple[TaxClass, int], ...]
    base_minor: int
    settled_minor: int | None
    tax_minor: int | None

    @property
    def words(self) -> str:
        """Return the line's words."""
        return self.line.words

    @property
    def kind(self) -> str:
        """Return the line's kind."""
        return self.line.kind

    @property
    def quantity(self) -> int:
        """Return the line's quantity."""
        return self.line.quantity

    @property
    def unit_minor(self) -> int:
        """Return the line's price of one."""
        return self.line.unit_minor


@dataclass(frozen=True, slots=True)
class Totals:
    """What the lines that are taken come to.

    sum_minor is the sum of the lines: net_minor, or total_minor where prices contain the tax. net_minor is without tax,
    total_minor with it. taxable_minor is the sum of the amounts that bear tax, as priced; table has a row for each
    class.
    """

    lines: tuple[PricedLine, ...]
    rules: TaxRules
    table: tuple[TaxRow, ...]
    sum_minor: int
    net_minor: int
    taxable_minor: int
    tax_minor: int
    total_minor: int

    @property
    def currency(self) -> str:
        """Return the currency of every amount."""
        return self.rules.currency

    @property
    def rate_millipercent(self) -> int:
        """Return the standard rate."""
        return self.rules.standard_millipercent
