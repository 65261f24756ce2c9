"""Tax on amounts, added to them or contained in them. Pure.

A rate is in millipercent: parts of 100,000, so that 8.875 % is 8875. Rates that fall due together (a state's and a
town's) are added before they come here, since each amount is rounded once, on the combined rate. Figures are for
review by a person: which rate applies to what is a question of law that this module does not answer.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from enum import StrEnum

from shop.core.money import Rounding, exact_share, minor_digits, to_major, to_minor

LARGEST_RATE_MILLIPERCENT = 1_000_000


class Basis(StrEnum):
    """What is rounded: the tax of every item, or once the tax of each class in the whole document."""

    ITEM = "item"
    DOCUMENT = "document"


class TaxClass(StrEnum):
    """Which of the shop's rates holds for an item. The order is that of tables."""

    STANDARD = "standard"
    REDUCED = "reduced"
    NONE = "none"


@dataclass(frozen=True, slots=True)
class TaxRules:
    """What the shop elected: its rates, whether prices contain the tax, and how the tax is rounded.

    Raises ValueError for a rate outside 0 to 1,000,000 (1000 %).
    """

    standard_millipercent: int
    reduced_millipercent: int
    currency: str
    inclusive: bool = False
    basis: Basis = Basis.DOCUMENT
    rounding: Rounding = Rounding.HALF_UP

    def __post_init__(self) -> None:
        _check_rate(self.standard_millipercent)
        _check_rate(self.reduced_millipercent)

    def rate(self, tax_class: TaxClass) -> int:
        """Return the rate of a class in millipercent; 0 where there is no tax."""
        rates = {TaxClass.STANDARD: self.standard_millipercent, TaxClass.REDUCED: self.reduced_millipercent}
        return rates.get(tax_class, 0)

    def exact(self, amount_minor: int, tax_class: TaxClass) -> Decimal:
        """Return the tax that an amount bears, or contains where prices do, in major units, unrounded."""
        reckon = contained_tax if self.inclusive else exact_tax
        return reckon(amount_minor, self.rate(tax_class), self.currency)

    def rounded(self, amount_minor: int, tax_class: TaxClass) -> int:
        """Return that tax in minor units, rounded once."""
        return to_minor(self.exact(amount_minor, tax_class), self.currency, self.rounding)


@dataclass(frozen=True, slots=True)
class TaxRow:
    """One class of a document. taxable_minor is the sum of its amounts as priced; net_minor is without tax.

    tax_exact is the tax of that sum in major units, unrounded.
    """

    tax_class: TaxClass
    rate_millipercent: int
    taxable_minor: int
    tax_exact: Decimal
    tax_minor: int
    net_minor: int
    total_minor: int


def _check_rate(rate_millipercent: int) -> None:
    if not 0 <= rate_millipercent <= LARGEST_RATE_MILLIPERCENT:
        raise ValueError(f"{rate_millipercent} millipercent is no rate from 0 to {LARGEST_RATE_MILLIPERCENT}")


def exact_tax(net_minor: int, rate_millipercent: int, currency: str) -> Decimal:
    """Return the tax of one net amount in major units, unrounded.

    net_minor may be below zero (a discount); the rate is from 0 to 1,000,000 (1000 %), else ValueError.
    """
    _check_rate(rate_millipercent)
    return exact_share(net_minor, rate_millipercent).scaleb(-minor_digits(currency))


def contained_tax(gross_minor: int, rate_millipercent: int, currency: str) -> Decimal:
    """Return the tax that an amount contains, in major units: gross × rate ÷ (100 % + rate).

    Exact to the 28 digits of a Decimal, which decides every rounding to minor units rightly: an amount up to 10^15
    is never so near to a tie or to a whole unit without being one. Raises ValueError as `exact_tax` does.
    """
    _check_rate(rate_millipercent)
    return to_major(gross_minor, currency) * rate_millipercent / (100_000 + rate_millipercent)


def tax_minor(
    nets_minor: Iterable[int],
    rate_millipercent: int,
    currency: str,
    *,
    basis: Basis = Basis.DOCUMENT,
    rounding: Rounding = Rounding.HALF_UP,
) -> int:
    """Return the tax of several net amounts in minor units.

    By item each amount's tax is rounded and then added; by document the amounts are added and the tax is rounded
    once. A seller chooses one and keeps to it. Source: Streamlined Sales and Use Tax Agreement, section 324 (to the
    third decimal, up when that is above four; by item or by invoice at the seller's election). Raises ValueError for
    a rate outside 0 to 1000 %.
    """
    nets = list(nets_minor) if basis is Basis.ITEM else [sum(nets_minor)]
    return sum(to_minor(exact_tax(net, rate_millipercent, currency), currency, rounding) for net in nets)


def tax_table(amounts: Mapping[TaxClass, Sequence[int]], rules: TaxRules) -> tuple[TaxRow, ...]:
    """Return a row for each class that has amounts, in the order of the classes.

    amounts are those of the items as priced: without tax, or with it where prices contain it. By item the tax of each
    is rounded, by document that of each class's sum: the rows of a document have different rates, and each is rounded
    for itself, so that they add up to the document's tax.
    """
    return tuple(_row(tax_class, amounts[tax_class], rules) for tax_class in TaxClass if tax_class in amounts)


def _row(tax_class: TaxClass, amounts: Sequence[int], rules: TaxRules) -> TaxRow:
    taxable = sum(amounts)
    bases = amounts if rules.basis is Basis.ITEM else [taxable]
    tax = sum(rules.rounded(amount, tax_class) for amount in bases)
    return TaxRow(
        tax_class=tax_class,
        rate_millipercent=rules.rate(tax_class),
        taxable_minor=taxable,
        tax_exact=rules.exact(taxable, tax_class),
        tax_minor=tax,
        net_minor=taxable - tax if rules.inclusive else taxable,
        total_minor=taxable if rules.inclusive else taxable + tax,
    )
