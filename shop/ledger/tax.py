"""Tax on net amounts. Pure.

A rate is in millipercent: parts of 100,000, so that 8.875 % is 8875. Rates that fall due together (a state's and a
town's) are added before they come here, since each amount is rounded once, on the combined rate. Figures are for
review by a person: which rate applies to what is a question of law that this module does not answer.
"""

from collections.abc import Iterable
from decimal import Decimal
from enum import StrEnum

from shop.core.money import Rounding, to_major, to_minor

LARGEST_RATE_MILLIPERCENT = 1_000_000


class Basis(StrEnum):
    """What is rounded: the tax of every item, or once the tax of the whole document."""

    ITEM = "item"
    DOCUMENT = "document"


def exact_tax(net_minor: int, rate_millipercent: int, currency: str) -> Decimal:
    """Return the tax of one net amount in major units, unrounded.

    net_minor may be below zero (a discount); the rate is from 0 to 1,000,000 (1000 %), else ValueError.
    """
    if not 0 <= rate_millipercent <= LARGEST_RATE_MILLIPERCENT:
        raise ValueError(f"{rate_millipercent} millipercent is no rate from 0 to {LARGEST_RATE_MILLIPERCENT}")
    return to_major(net_minor, currency) * Decimal(rate_millipercent).scaleb(-5)


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
