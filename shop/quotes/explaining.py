"""The arithmetic behind each figure of a quote, in signs that read the same in every language. Pure.

Amounts are in major units with a decimal point. An arrow stands where something is rounded, an ellipsis where a figure
goes on.
"""

from collections.abc import Iterable
from dataclasses import dataclass
from decimal import ROUND_DOWN, Decimal

from shop.core.money import exact_share, minor_digits, to_major
from shop.ledger.tax import Basis, TaxClass, TaxRow
from shop.quotes.lines import PricedLine, Totals


@dataclass(frozen=True, slots=True)
class ExplainedClass:
    """How a tax class's taxable sum and its tax came about."""

    tax_class: TaxClass
    rate: str
    taxable: str
    tax: str


@dataclass(frozen=True, slots=True)
class Explained:
    """How each figure came about.

    lines has the breakdown of each line, steps parted by semicolons; line_taxes that of each line's tax where tax is
    rounded by item, and is empty otherwise. classes has the rows of the tax table; sum is that of the lines.
    """

    lines: tuple[str, ...]
    line_taxes: tuple[str, ...]
    classes: tuple[ExplainedClass, ...]
    sum: str
    net: str
    taxable: str
    tax: str
    total: str


def rate_words(rate_millipercent: int) -> str:
    """Write a rate with as many decimals as it needs: 8875 is ``8.875``, 8000 is ``8``."""
    return f"{Decimal(rate_millipercent).scaleb(-3).normalize():f}"


def explain(totals: Totals) -> Explained:
    """Return the arithmetic behind each figure."""
    said = _Said(totals)
    taxed = [row for row in totals.table if row.tax_class is not TaxClass.NONE]
    listed = said.added([each.net_minor for each in totals.lines], totals.sum_minor)
    tax, total, inclusive = totals.tax_minor, totals.total_minor, totals.rules.inclusive
    classes = tuple(said.tax_class(row) for row in totals.table)
    only = next((each for each in classes if each.tax_class is not TaxClass.NONE), None) if len(taxed) == 1 else None
    return Explained(
        lines=tuple(map(said.line, totals.lines)),
        line_taxes=tuple(map(said.line_tax, totals.lines)) if totals.rules.basis is Basis.ITEM else (),
        classes=classes,
        sum=listed,
        net=said.added([total, -tax], totals.net_minor) if inclusive else listed,
        taxable=only.taxable if only else said.added([row.taxable_minor for row in taxed], totals.taxable_minor),
        tax=only.tax if only else said.added([row.tax_minor for row in taxed], tax),
        total=listed if inclusive else said.added([totals.net_minor, tax], total),
    )


class _Said:
    """Writes the amounts of one quote."""

    def __init__(self, totals: Totals) -> None:
        self.totals = totals
        self.digits = minor_digits(totals.currency)

    def major(self, minor: int) -> str:
        return f"{to_major(minor, self.totals.currency):f}".replace("-", "−")

    def added(self, amounts: Iterable[int], total: int) -> str:
        terms = " + ".join(map(self.major, amounts)) or "0"
        return f"{terms} = {self.major(total)}".replace("+ −", "− ")

    def rounded(self, exact: Decimal, minor: int) -> str:
        """Write an exact amount in major units, and what it was rounded to if that is another."""
        if exact == to_major(minor, self.totals.currency):
            return self.major(minor)
        short = exact.quantize(Decimal(1).scaleb(-self.digits - 3), rounding=ROUND_DOWN)
        whole = -int(exact.normalize().as_tuple().exponent) <= self.digits + 5
        words = f"{exact.normalize():f}" if whole else f"{short:f}…"
        return f"{words} → {self.major(minor)}".replace("-", "−")

    def percent(self, millipercent: int, base: int, minor: int) -> str:
        """Write a percentage of an amount; it is below zero where minor is."""
        sign = -1 if minor < 0 else 1
        exact = exact_share(base, millipercent).scaleb(-self.digits) * sign
        return (
            f"{'−' if sign < 0 else ''}{rate_words(millipercent)} % × {self.major(base)} = {self.rounded(exact, minor)}"
        )

    def line(self, each: PricedLine) -> str:
        line = each.line
        if line.is_share:
            taken = self.percent(line.percent_millipercent, each.base_minor, each.net_minor)
            parts = [part for _tax_class, part in each.parts]
            return f"{taken}; {self.added(parts, each.net_minor)}" if len(parts) > 1 else taken
        steps = [f"{line.quantity} × {self.major(line.unit_minor)} = {self.major(line.gross_minor)}"]
        if line.discount_millipercent:
            steps.append(self.percent(line.discount_millipercent, line.gross_minor, line.off_minor))
        if line.discount_millipercent or line.discount_minor:
            steps.append(self.added([line.gross_minor, -line.off_minor], line.net_minor))
        return "; ".join(steps)

    def line_tax(self, each: PricedLine) -> str:
        """Write the tax of one charge, on what is left of it; nothing for the lines that are spread."""
        if each.settled_minor is None or each.line.tax_class is TaxClass.NONE:
            return ""
        exact = self.totals.rules.exact(each.settled_minor, each.line.tax_class)
        rate = self.totals.rules.rate(each.line.tax_class)
        tax = self.taxed(rate, each.settled_minor, exact, each.tax_minor or 0)
        spread = each.settled_minor - each.net_minor
        return f"{self.added([each.net_minor, spread], each.settled_minor)}; {tax}" if spread else tax

    def taxed(self, rate: int, amount: int, exact: Decimal, minor: int) -> str:
        words, base = rate_words(rate), self.major(amount)
        if self.totals.rules.inclusive:
            return f"{base} × {words} ÷ {rate_words(100_000 + rate)} = {self.rounded(exact, minor)}"
        return f"{words} % × {base} = {self.rounded(exact, minor)}"

    def tax_class(self, row: TaxRow) -> ExplainedClass:
        parts = [part for each in self.totals.lines for tax_class, part in each.parts if tax_class is row.tax_class]
        if self.totals.rules.basis is Basis.ITEM:
            own = [each for each in self.totals.lines if each.line.tax_class is row.tax_class]
            tax = self.added([each.tax_minor for each in own if each.tax_minor is not None], row.tax_minor)
        else:
            tax = self.taxed(row.rate_millipercent, row.taxable_minor, row.tax_exact, row.tax_minor)
        return ExplainedClass(
            row.tax_class, rate_words(row.rate_millipercent), self.added(parts, row.taxable_minor), tax
        )
