"""Taxes whose rounding a law prescribes in a way of its own. Pure.

For review by a person before any of it is charged: the figures are those of the source as read, laws change, and which
law applies is not answered here. No bill of the shop uses them; they show what a rate with half-up rounding misses.
"""

from bisect import bisect_right
from decimal import Decimal

from shop.core.money import to_step

# Maryland Code, Tax - General, section 11-104(a), as amended by the 2007 special session, chapter 6 (6 % from 3 January
# 2008); read at statutes.laws-info.com/maryland/tax-general/title-11/subtitle-1/11-104. Cents of a taxable price from
# which one cent more of tax is due: below a dollar, and in what exceeds whole dollars.
MARYLAND_BELOW_A_DOLLAR = (20, 21, 34, 51, 67, 84)
MARYLAND_ABOVE_WHOLE_DOLLARS = (1, 17, 34, 51, 67, 84)
_CENTS_FOR_A_DOLLAR = 6


def maryland_tax_cents(taxable_cents: int) -> int:
    """Return Maryland's sales tax in cents on a taxable price in cents, by the brackets of the law.

    Raises ValueError for a price below zero.
    """
    if taxable_cents < 0:
        raise ValueError(f"{taxable_cents} cents is no taxable price")
    dollars, excess = divmod(taxable_cents, 100)
    brackets = MARYLAND_ABOVE_WHOLE_DOLLARS if dollars else MARYLAND_BELOW_A_DOLLAR
    return dollars * _CENTS_FOR_A_DOLLAR + bisect_right(brackets, excess)


def unit_vat_mills(exact: Decimal, step_mills: int) -> int:
    """Return the VAT of one unit or article for a price list in the United Kingdom, in mills, to the nearest step.

    exact is the unrounded VAT in mills, thousandths of a pound; step_mills is 1 (three digits), 5 (half pennies) or 10
    (pennies). Halves go up. In half pennies and pennies a VAT above zero is never rounded to nothing, but to one step.
    Source: HMRC, VAT Notice 700, paragraph 17.5.2, as quoted at forums.overclockers.co.uk, thread 18649236. Raises
    ValueError for another step or a VAT below zero.
    """
    if step_mills not in (1, 5, 10) or exact < 0:
        raise ValueError(f"no VAT of {exact} mills in steps of {step_mills}")
    rounded = to_step(exact, step_mills)
    return max(rounded, step_mills) if exact > 0 and step_mills > 1 else rounded
