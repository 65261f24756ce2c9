"""What the shop elects about tax: the profile has it, each edition copies it, its content says it, all by one name."""

from collections.abc import Mapping
from typing import Any

from shop.core.models import ShopProfile
from shop.core.money import Rounding
from shop.ledger.tax import Basis, TaxRules
from shop.quotes.models import QuoteVersion

COPIED = (
    "tax_rate_millipercent", "tax_reduced_millipercent", "prices_include_tax", "tax_basis", "tax_rounding",
)  # fmt: skip


def elected(row: ShopProfile | QuoteVersion) -> dict[str, Any]:
    """Return the elections of the shop, or those that an edition copied, by name."""
    return {name: getattr(row, name) for name in COPIED}


def rules_of(row: ShopProfile | QuoteVersion) -> TaxRules:
    """Return the rules of the shop as they are now, or those that an edition copied."""
    return rules_in(elected(row) | {"currency": row.currency})


def rules_in(said: Mapping[str, Any]) -> TaxRules:
    """Return the rules that a content, or anything else by these names, says."""
    return TaxRules(
        standard_millipercent=said["tax_rate_millipercent"],
        reduced_millipercent=said["tax_reduced_millipercent"],
        currency=said["currency"],
        inclusive=said["prices_include_tax"],
        basis=Basis(said["tax_basis"]),
        rounding=Rounding(said["tax_rounding"]),
    )
