"""What work, insurance and the diagnosis come to before they are lines of a quote. Pure; money in minor units."""

from dataclasses import dataclass
from decimal import Decimal

from shop.core.money import Rounding, exact_share, to_step
from shop.ledger.tax import TaxClass
from shop.quotes.lines import Kind, Line

_MINUTES_IN_AN_HOUR = 60


@dataclass(frozen=True, slots=True)
class Labour:
    """What work comes to. billed_minutes is 0 where a flat price was agreed and the time does not matter."""

    minor: int
    billed_minutes: int


def labour(*, flat_minor: int, minutes: int, rate_minor: int, step_minutes: int) -> Labour:
    """Return the price of work: its flat price where it has one, else its time at the shop's rate for an hour.

    Time is rounded up to whole billing steps first; the price is rounded once, half up, at the end. Raises ValueError
    for anything below zero and for a step below one minute. Billing in steps begun is common practice.
    """
    if min(flat_minor, minutes, rate_minor) < 0 or step_minutes < 1:
        raise ValueError(f"not work: {flat_minor=} {minutes=} {rate_minor=} {step_minutes=}")
    if flat_minor:
        return Labour(flat_minor, 0)
    billed = -(-minutes // step_minutes) * step_minutes
    return Labour(to_step(Decimal(billed * rate_minor) / _MINUTES_IN_AN_HOUR), billed)


def insurance(declared_minor: int, *, millipercent: int, least_minor: int, step_minor: int = 1) -> int:
    """Return what insuring a parcel of a declared value costs; nothing where nothing is declared.

    A share of the value, at least least_minor, rounded up once to whole steps of step_minor. Raises ValueError for
    anything below zero and for a step below 1.
    """
    if min(declared_minor, millipercent, least_minor) < 0:
        raise ValueError(f"not an insurance: {declared_minor=} {millipercent=} {least_minor=}")
    if not declared_minor:
        return 0
    return to_step(max(exact_share(declared_minor, millipercent), Decimal(least_minor)), step_minor, Rounding.UP)


def fee_lines(
    fee_minor: int,
    *,
    words: str,
    credit_words: str,
    credited: bool,
    shown: bool,
    tax_class: TaxClass = TaxClass.STANDARD,
) -> tuple[Line, ...]:
    """Return the lines of a diagnosis fee on a quote that is approved; none where there is no fee.

    A fee that is credited costs nothing more: it stands there as a charge and a credit where it is shown, and is left
    out otherwise. One that is not credited is charged besides the work. Raises ValueError for a fee below zero.
    """
    if fee_minor == 0 or (credited and not shown):
        return ()
    charge = Line(words=words, kind=Kind.FEE, quantity=1, unit_minor=fee_minor, tax_class=tax_class)
    credit = Line(words=credit_words, kind=Kind.CREDIT, quantity=1, unit_minor=-fee_minor, tax_class=tax_class)
    return (charge, credit) if credited else (charge,)
