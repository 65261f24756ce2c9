"""What discounts and surcharges come to, and how they fall on tax classes and lines. Pure.

In this order, so that the order of the lines does not matter:

1. Each charge is quantity × price of one less its own discount.
2. Fixed discounts come off the charges of their own tax class; credits first off the fees of that class.
3. A surcharge is a percentage of the labour as charged in 1, and falls on the classes as that labour does.
4. Discounts in percent are each of what everything else comes to after 1 to 3, and fall on the classes in proportion.

Each percentage is rounded once, half up, and divided by the largest remainder (`core.money.allocate`), so that nothing
is lost. Where several discounts together take everything, the last takes what there is.
"""

from collections.abc import Iterable, Sequence

from shop.core.money import allocate, share
from shop.core.reasons import Reason, Refused
from shop.ledger.tax import TaxClass
from shop.quotes.lines import WHOLE_MILLIPERCENT, Kind, Line, PricedLine

Sums = dict[TaxClass, int]


def reckon(taken: Sequence[Line], *, by_item: bool) -> tuple[PricedLine, ...]:
    """Return what each of the taken lines comes to, in the order given; tax is not reckoned yet.

    What discounts and surcharges leave of each charge is reckoned by_item only: else the classes are enough.
    Raises Refused with `discount_too_large` when fixed discounts of a class exceed its charges, or percentages 100 %.
    """
    charges = [line for line in taken if line.is_charge]
    left = _sums(charges)
    for line in taken:
        if line.is_deduction and not line.is_share:
            left[line.tax_class] += line.net_minor
    off_whole = sum(line.percent_millipercent for line in taken if line.is_deduction)
    if min(left.values()) < 0 or off_whole > WHOLE_MILLIPERCENT:
        raise Refused(Reason("discount_too_large"))
    shares = _surcharges(taken, left, _sums(line for line in charges if line.kind == Kind.LABOUR))
    shares |= _percent_discounts(taken, left)
    settled = _settled(taken, shares) if by_item else {}
    return tuple(_priced(line, shares.get(at), settled.get(at)) for at, line in enumerate(taken))


Shares = dict[int, tuple[int, Sums]]


def _sums(lines: Iterable[Line]) -> Sums:
    sums = dict.fromkeys(TaxClass, 0)
    for line in lines:
        sums[line.tax_class] += line.net_minor
    return sums


def _surcharges(taken: Sequence[Line], left: Sums, labour: Sums) -> Shares:
    """Return base and parts of each surcharge by its place, and add them to what is left."""
    base = sum(labour.values())
    found: Shares = {}
    for at, line in enumerate(taken):
        if line.is_share and line.kind == Kind.SURCHARGE:
            parts = _over(share(base, line.percent_millipercent), labour)
            found[at] = base, parts
            _add(left, parts)
    return found


def _percent_discounts(taken: Sequence[Line], left: Sums) -> Shares:
    """Return base and parts (below zero) of each discount in percent by its place, and take them from what is left.

    The largest is divided first, so that the order of the lines does not matter.
    """
    base = sum(left.values())
    places = [at for at, line in enumerate(taken) if line.is_share and line.kind == Kind.DISCOUNT]
    found: Shares = {}
    for at in sorted(places, key=lambda place: -taken[place].percent_millipercent):
        off = min(share(base, taken[at].percent_millipercent), sum(left.values()))
        parts = {tax_class: -part for tax_class, part in _over(off, left).items()}
        found[at] = base, parts
        _add(left, parts)
    return found


def _over(amount: int, sums: Sums) -> Sums:
    return dict(zip(sums, allocate(amount, list(sums.values())), strict=True))


def _add(sums: Sums, parts: Sums) -> None:
    for tax_class, part in parts.items():
        sums[tax_class] += part


def _settled(taken: Sequence[Line], shares: Shares) -> dict[int, int]:
    """Return what is left of each charge, by its place, once everything else is spread over the charges."""
    settled = {at: line.net_minor for at, line in enumerate(taken) if line.is_charge}
    for tax_class in TaxClass:
        # Charges that are alike in all that counts stand together, so that the order of the lines does not matter.
        alike = sorted(
            (at for at in settled if taken[at].tax_class is tax_class),
            key=lambda at: (taken[at].kind, taken[at].net_minor),
        )
        fixed = [line for line in taken if line.is_deduction and line.tax_class is tax_class]
        credits = -sum(line.net_minor for line in fixed if line.kind == Kind.CREDIT)
        fees = [at for at in alike if taken[at].kind == Kind.FEE]
        off_fees = min(credits, sum(settled[at] for at in fees))
        _spread(settled, fees, -off_fees)
        _spread(settled, alike, off_fees + sum(line.net_minor for line in fixed))
        labour = {at: taken[at].net_minor for at in alike if taken[at].kind == Kind.LABOUR}
        added = [sums[tax_class] for _base, sums in shares.values()]
        more = allocate(sum(part for part in added if part > 0), list(labour.values()))
        for at, part in zip(labour, more, strict=True):
            settled[at] += part
        _spread(settled, alike, sum(part for part in added if part < 0))
    return settled


def _spread(settled: dict[int, int], places: Sequence[int], minus: int) -> None:
    """Take an amount, given below zero, off the places in proportion to what is there."""
    for at, part in zip(places, allocate(-minus, [settled[at] for at in places]), strict=True):
        settled[at] -= part


def _priced(line: Line, of_others: tuple[int, Sums] | None, settled: int | None) -> PricedLine:
    if of_others is None:
        return PricedLine(line, line.net_minor, ((line.tax_class, line.net_minor),), 0, settled, None)
    base, parts = of_others
    told = tuple((tax_class, part) for tax_class, part in parts.items() if part)
    return PricedLine(line, sum(parts.values()), told, base, None, None)
