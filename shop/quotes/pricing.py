"""What a quote comes to, and why. Pure: numbers in, numbers out, money in minor units of one currency.

A line's net is quantity × price of one, exact in minor units; the nets of the lines that count are added; the tax of
the taxed ones is rounded once, for the whole document (see `shop.ledger.tax` for the rule's source); the total is net
plus tax. Lines of one option are taken or left together.
"""

from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, replace
from decimal import Decimal

from shop.core.money import LARGEST_MINOR, Rounding, to_major
from shop.core.reasons import Reason, Refused
from shop.ledger.tax import Basis, exact_tax, tax_minor

DISCOUNT = "discount"


@dataclass(frozen=True, slots=True)
class Line:
    """One line. unit_minor is the price of one before tax, at most zero for a discount and at least zero otherwise.

    option names what an optional line is taken or left with; it is empty for a line that is not optional.
    Raises ValueError for a line that cannot be.
    """

    words: str
    kind: str
    quantity: int
    unit_minor: int
    taxed: bool = True
    optional: bool = False
    taken: bool = True
    option: str = ""

    def __post_init__(self) -> None:
        right_sign = self.unit_minor <= 0 if self.kind == DISCOUNT else self.unit_minor >= 0
        if (
            self.quantity < 1
            or not right_sign
            or self.optional != bool(self.option)
            or not (self.optional or self.taken)
        ):
            raise ValueError(f"not a line of a quote: {self}")

    @property
    def net_minor(self) -> int:
        """Return quantity × price of one."""
        return self.quantity * self.unit_minor


@dataclass(frozen=True, slots=True)
class Totals:
    """What the lines that are taken come to. tax_exact is in major units, before it was rounded to tax_minor."""

    lines: tuple[Line, ...]
    net_minor: int
    taxable_minor: int
    tax_exact: Decimal
    tax_minor: int
    total_minor: int
    rate_millipercent: int
    currency: str


@dataclass(frozen=True, slots=True)
class Change:
    """What taking an option adds to what the other lines come to; each may be below zero for a discount."""

    net_minor: int
    tax_minor: int
    total_minor: int


@dataclass(frozen=True, slots=True)
class Explained:
    """How each figure came about, as arithmetic that reads the same in every language."""

    lines: tuple[str, ...]
    net: str
    taxable: str
    tax: str
    total: str


def price(
    lines: Iterable[Line], *, rate_millipercent: int, currency: str, rounding: Rounding = Rounding.HALF_UP
) -> Totals:
    """Return what the taken lines come to, in the order given.

    Raises Refused with `discount_too_large` when the discounts exceed what they are taken from (the net or the
    taxable sum would fall below zero) and `quote_too_large` above the largest amount the shop can write.
    """
    taken = tuple(line for line in lines if line.taken)
    net = sum(line.net_minor for line in taken)
    taxable = sum(line.net_minor for line in taken if line.taxed)
    if net < 0 or taxable < 0:
        raise Refused(Reason("discount_too_large"))
    tax = tax_minor([taxable], rate_millipercent, currency, basis=Basis.DOCUMENT, rounding=rounding)
    if net + tax > LARGEST_MINOR:
        raise Refused(Reason("quote_too_large"))
    exact = exact_tax(taxable, rate_millipercent, currency)
    return Totals(taken, net, taxable, exact, tax, net + tax, rate_millipercent, currency)


def options(lines: Iterable[Line]) -> dict[str, tuple[Line, ...]]:
    """Return the optional lines by the option that they belong to, in order of appearance."""
    found: dict[str, tuple[Line, ...]] = {}
    for line in lines:
        if line.optional:
            found[line.option] = (*found.get(line.option, ()), line)
    return found


def choose(lines: Iterable[Line], taken: Collection[str]) -> tuple[Line, ...]:
    """Return the lines with exactly these options taken. Raises ValueError for an option that is not among them."""
    lines = tuple(lines)
    if unknown := set(taken) - set(options(lines)):
        raise ValueError(f"no such option: {sorted(unknown)}")
    return tuple(replace(line, taken=line.option in taken) if line.optional else line for line in lines)


def change(lines: Sequence[Line], option: str, *, rate_millipercent: int, currency: str) -> Change:
    """Return what taking one option adds, the others as they are. Raises as `choose` and `price` do."""
    others = {line.option for line in lines if line.optional and line.taken} - {option}
    left, taken = (
        price(choose(lines, chosen), rate_millipercent=rate_millipercent, currency=currency)
        for chosen in (others, others | {option})
    )
    return Change(
        taken.net_minor - left.net_minor, taken.tax_minor - left.tax_minor, taken.total_minor - left.total_minor
    )


def check_every_choice(lines: Sequence[Line], *, rate_millipercent: int, currency: str) -> None:
    """Raise what `price` raises if any choice of options would make it do so, without trying them all.

    The smallest net sum takes just the options that lower it, the smallest taxable sum those that lower that, and the
    largest sums take those that raise them.
    """
    groups = options(lines)
    net = {name: sum(line.net_minor for line in group) for name, group in groups.items()}
    taxable = {name: sum(line.net_minor for line in group if line.taxed) for name, group in groups.items()}
    always_net = sum(line.net_minor for line in lines if not line.optional)
    always_taxable = sum(line.net_minor for line in lines if not line.optional and line.taxed)
    for always, sums in ((always_net, net), (always_taxable, taxable)):
        if always + sum(min(0, amount) for amount in sums.values()) < 0:
            raise Refused(Reason("discount_too_large"))
    most_net = always_net + sum(max(0, amount) for amount in net.values())
    most_taxable = always_taxable + sum(max(0, amount) for amount in taxable.values())
    if most_net + tax_minor([most_taxable], rate_millipercent, currency) > LARGEST_MINOR:
        raise Refused(Reason("quote_too_large"))


def rate_words(rate_millipercent: int) -> str:
    """Write a rate with as many decimals as it needs: 8875 is ``8.875``, 8000 is ``8``."""
    return f"{Decimal(rate_millipercent).scaleb(-3).normalize():f}"


def explain(totals: Totals) -> Explained:
    """Return the arithmetic behind each figure, in major units with a decimal point."""

    def major(minor: int) -> str:
        return f"{to_major(minor, totals.currency):f}".replace("-", "−")

    def added(amounts: list[int], total: int) -> str:
        return f"{' + '.join(major(amount) for amount in amounts) or '0'} = {major(total)}".replace("+ −", "− ")

    rate = rate_words(totals.rate_millipercent)
    return Explained(
        lines=tuple(f"{line.quantity} × {major(line.unit_minor)} = {major(line.net_minor)}" for line in totals.lines),
        net=added([line.net_minor for line in totals.lines], totals.net_minor),
        taxable=added([line.net_minor for line in totals.lines if line.taxed], totals.taxable_minor),
        tax=f"{rate} % × {major(totals.taxable_minor)} = {totals.tax_exact.normalize():f} → {major(totals.tax_minor)}",
        total=added([totals.net_minor, totals.tax_minor], totals.total_minor),
    )
