"""What a quote comes to, and why. Pure: numbers in, numbers out, money in minor units of one currency.

Discounts and surcharges are reckoned and spread first (`spreading`), then the tax of each class by the shop's rules
(`shop.ledger.tax`). Where prices are without tax the total is their sum plus the tax; where they contain it the total
is their sum. Options are in `choices`, the arithmetic in words in `explaining`.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

from shop.core.money import LARGEST_MINOR, Rounding, share
from shop.core.reasons import Reason, Refused
from shop.ledger.tax import Basis, TaxClass, TaxRules, tax_table
from shop.quotes.bounds import check_offer, highest, lowest
from shop.quotes.choices import (
    Option,
    check_among,
    check_choice,
    choose,
    default,
    leaving,
    offered,
    options,
    taken_options,
    taking,
)
from shop.quotes.explaining import Explained, explain, rate_words
from shop.quotes.lines import WHOLE_MILLIPERCENT, Kind, Line, PricedLine, Totals
from shop.quotes.spreading import reckon

__all__ = [
    "Change", "Explained", "Line", "Totals", "changes", "check_choice", "check_every_choice", "choose",
    "default", "explain", "options", "price", "rate_words",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Change:
    """What taking an option adds, below zero for a discount, and the totals with it and without it."""

    net_minor: int
    tax_minor: int
    total_minor: int
    with_minor: int
    without_minor: int


def price(lines: Iterable[Line], rules: TaxRules) -> Totals:
    """Return what the taken lines come to, in the order given. The sums do not depend on that order.

    Raises Refused with `discount_too_large` when the discounts exceed what they are taken from and `quote_too_large`
    above the largest amount the shop can write.
    """
    by_item = rules.basis is Basis.ITEM
    reckoned = reckon([line for line in lines if line.taken], by_item=by_item)
    table = tax_table(_amounts(reckoned, by_item), rules)
    totals = Totals(
        lines=tuple(_with_tax(each, rules) for each in reckoned),
        rules=rules,
        table=table,
        sum_minor=sum(each.net_minor for each in reckoned),
        net_minor=sum(row.net_minor for row in table),
        taxable_minor=sum(row.taxable_minor for row in table if row.tax_class is not TaxClass.NONE),
        tax_minor=sum(row.tax_minor for row in table),
        total_minor=sum(row.total_minor for row in table),
    )
    if totals.total_minor > LARGEST_MINOR:
        raise Refused(Reason("quote_too_large"))
    return totals


def _amounts(reckoned: Iterable[PricedLine], by_item: bool) -> dict[TaxClass, list[int]]:
    """Return the amounts that tax is rounded on, for each class that has charges."""
    amounts: dict[TaxClass, list[int]] = {}
    for each in reckoned:
        if each.line.is_charge:
            amounts.setdefault(each.line.tax_class, [])
        for tax_class, part in each.parts if not by_item else ():
            amounts.setdefault(tax_class, []).append(part)
        if each.settled_minor is not None:
            amounts[each.line.tax_class].append(each.settled_minor)
    return amounts


def _with_tax(each: PricedLine, rules: TaxRules) -> PricedLine:
    if each.settled_minor is None:
        return each
    return replace(each, tax_minor=rules.rounded(each.settled_minor, each.line.tax_class))


def changes(lines: Sequence[Line], rules: TaxRules) -> dict[str, Change]:
    """Return what taking each option adds to the choice that the lines show, with all that follows from it.

    What an option needs comes with it, and of its group it is the one. It is compared with leaving it, or, where one of
    its group has to be taken, with the choice as it is. Raises what `price` raises.
    """
    known, now = offered(lines), taken_options(lines)
    priced: dict[frozenset[str], Totals] = {}

    def with_these(chosen: frozenset[str]) -> Totals:
        if chosen not in priced:
            priced[chosen] = price(choose(lines, chosen), rules)
        return priced[chosen]

    return {
        option: _change(with_these(taking(known, now, option)), with_these(_without(known, now, option)))
        for option in known
    }


def _without(known: Mapping[str, Option], now: frozenset[str], option: str) -> frozenset[str]:
    without = leaving(known, now, option)
    try:
        check_among(known, without)
    except Refused:
        return now
    return without


def _change(taken: Totals, left: Totals) -> Change:
    return Change(
        net_minor=taken.net_minor - left.net_minor,
        tax_minor=taken.tax_minor - left.tax_minor,
        total_minor=taken.total_minor - left.total_minor,
        with_minor=taken.total_minor,
        without_minor=left.total_minor,
    )


def check_every_choice(lines: Sequence[Line], rules: TaxRules) -> None:
    """Raise what `price` raises if any allowed choice of options would make it do so, without trying them all.

    Discounts are judged by `bounds.lowest`, exact but for tangles that its docstring names. The total is judged by more
    than it can be: as if the options that raise it could all be taken, and no discount in percent were. Raises what
    `bounds.check_offer` raises, too.
    """
    check_offer(lines)
    if not any(line.optional for line in lines):
        price(lines, rules)
        return
    least = min(lowest(lines, _in(tax_class)) for tax_class in TaxClass)
    if least < 0 or lowest(lines, lambda line: -_percent(line, Kind.DISCOUNT)) < -WHOLE_MILLIPERCENT:
        raise Refused(Reason("discount_too_large"))
    if _most(lines, rules) > LARGEST_MINOR:
        raise Refused(Reason("quote_too_large"))


def _in(tax_class: TaxClass, kind: str = "") -> Callable[[Line], int]:
    return lambda line: line.net_minor if line.tax_class is tax_class and kind in ("", line.kind) else 0


def _percent(line: Line, kind: str) -> int:
    return line.percent_millipercent if line.kind == kind else 0


def _most(lines: Sequence[Line], rules: TaxRules) -> int:
    """Return no less than the largest total that any choice makes."""
    surcharge = highest(lines, lambda line: _percent(line, Kind.SURCHARGE))
    most = 0
    for tax_class in TaxClass:
        labour = highest(lines, _in(tax_class, Kind.LABOUR))
        taxable = highest(lines, _in(tax_class)) + share(labour, surcharge, Rounding.UP) + len(lines)
        added = 0 if rules.inclusive else share(taxable, rules.rate(tax_class), Rounding.UP)
        most += taxable + added
    return most
