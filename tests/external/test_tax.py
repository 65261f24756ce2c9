"""Tax against published rules. Each case names where its rule or figure comes from."""

import csv
from decimal import Decimal
from pathlib import Path

import pytest

from shop.core.money import Rounding, to_minor
from shop.ledger.tax import Basis, TaxClass, TaxRules, exact_tax, tax_minor, tax_table
from shop.ledger.tax_by_law import maryland_tax_cents, unit_vat_mills

# TX-01 to TX-04: Streamlined Sales and Use Tax Agreement, section 324, as enacted in R.I. Gen. Laws 44-18.1-25,
# N.D. Cent. Code 57-39.4-25, Kan. Stat. 79-3676 and Mass. Gen. Laws 64I section 5: tax is computed to the third
# decimal and rounded up when that is above four; by item or by invoice, as the seller elects; rates are added first.


@pytest.mark.parametrize(
    ("net_cents", "rate", "cents"),
    [(100, 4000, 4), (110, 4000, 4), (112, 4000, 4), (113, 4000, 5), (1250, 5000, 63), (1249, 5000, 62)],
)
def test_it_rounds_up_when_the_third_decimal_is_above_four(net_cents: int, rate: int, cents: int) -> None:
    """TX-01."""
    exact = exact_tax(net_cents, rate, "USD") * 100
    third_decimal = int(exact * 10) % 10
    assert cents == int(exact) + (1 if third_decimal > 4 else 0)
    assert tax_minor([net_cents], rate, "USD") == cents


def test_it_rounds_the_tax_of_rates_that_were_added_first() -> None:
    """TX-01: 4 % and 4.875 % of 10.10 are 0.404 and 0.492375: apart 0.40 + 0.49, together 0.896375 and so 0.90."""
    assert tax_minor([1010], 4000 + 4875, "USD") == 90
    assert tax_minor([1010], 4000, "USD") + tax_minor([1010], 4875, "USD") == 89


@pytest.mark.parametrize("whole", [0, 1, 7, 12, 99])
def test_it_rounds_four_mills_down_and_five_mills_up(whole: int) -> None:
    """TX-02: North Dakota Administrative Code 81-04.1-01-29, amounts ending in $x.xx4 and $x.xx5."""
    assert to_minor(Decimal(f"{whole}.234"), "USD") == whole * 100 + 23
    assert to_minor(Decimal(f"{whole}.235"), "USD") == whole * 100 + 24
    assert tax_minor([whole * 1000 + 234], 10_000, "USD") == whole * 100 + 23
    assert tax_minor([whole * 1000 + 235], 10_000, "USD") == whole * 100 + 24


def test_it_rounds_once_and_not_digit_by_digit() -> None:
    """TX-03: a tax of 1.23462 is 1.23; rounding it to 1.235 first and then again would make 1.24."""
    assert exact_tax(123_462, 100, "USD") == Decimal("1.23462")
    assert tax_minor([123_462], 100, "USD") == 123


def test_it_rounds_by_item_or_by_document_as_the_seller_elects() -> None:
    """TX-04: 19.95 + 4.50 + 7.25 at 7 % is 2.23 by item and 2.22 by invoice."""
    nets = [1995, 450, 725]
    assert tax_minor(nets, 7000, "USD", basis=Basis.ITEM) == 223
    assert tax_minor(nets, 7000, "USD", basis=Basis.DOCUMENT) == 222


def test_it_adds_before_it_rounds() -> None:
    """TX-10: Iowa Department of Revenue, whole dollars: 5000.55 + 18500.73 is 23501.28 and so 23501, not 23502.

    One per cent of an amount in cents is that amount in dollars, which makes the published sum a sum of taxes.
    """
    nets = [500_055, 1_850_073]
    assert tax_minor(nets, 1000, "USD", basis=Basis.DOCUMENT) == 23_501
    assert tax_minor(nets, 1000, "USD", basis=Basis.ITEM) == 23_502


@pytest.mark.parametrize(
    ("net_pence", "pence"),
    [(2, 0), (3, 1), (12, 2), (13, 3), (497, 99), (498, 100), (2497, 499), (2498, 500)],
)
def test_it_rounds_half_a_penny_up_and_less_down(net_pence: int, pence: int) -> None:
    """TX-12: HMRC, VAT Traders' Records manual VATREC12030: below 0.5p down, 0.5p and above up; at 20 %."""
    assert tax_minor([net_pence], 20_000, "GBP", rounding=Rounding.HALF_UP) == pence


def test_it_rounds_exactly_half_a_penny_up() -> None:
    """TX-12: 5 % of 0.10 is half a penny, of 0.30 a penny and a half."""
    assert tax_minor([10], 5000, "GBP") == 1
    assert tax_minor([30], 5000, "GBP") == 2
    assert tax_minor([9], 5000, "GBP") == 0


# TX-08: Maryland Code, Tax - General, section 11-104(a), read at statutes.laws-info.com; the table's figures were
# computed from the law's text. For review by a person.
BRACKETS = list(
    csv.DictReader((Path(__file__).parent / "data" / "tax_bracket_md_vs_halfup.csv").read_text().splitlines())
)


@pytest.mark.parametrize("row", BRACKETS, ids=lambda row: row["taxable_cents"])
def test_it_follows_marylands_brackets_and_not_the_rate(row: dict[str, str]) -> None:
    """TX-08."""
    taxable = int(row["taxable_cents"])
    assert maryland_tax_cents(taxable) == int(row["bracket_6pct_cents"])
    assert tax_minor([taxable], 6000, "USD") == int(row["half_up_6pct_cents"])


def test_the_brackets_table_is_whole() -> None:
    """TX-08: the file has 23 prices, and among them those of the catalogue's line."""
    found = {int(row["taxable_cents"]): int(row["bracket_6pct_cents"]) for row in BRACKETS}
    assert len(found) == 23
    assert {price: found[price] for price in (19, 20, 21, 101, 116, 117, 1999)} == {
        19: 0, 20: 1, 21: 2, 101: 7, 116: 7, 117: 8, 1999: 120,
    }  # fmt: skip


@pytest.mark.parametrize(
    ("cents", "tax"),
    [(33, 2), (34, 3), (50, 3), (51, 4), (66, 4), (67, 5), (83, 5), (84, 6), (99, 6), (100, 6),
     (200, 12), (201, 13), (216, 13), (217, 14), (233, 14), (234, 15), (250, 15), (251, 16), (266, 16), (267, 17),
     (283, 17), (284, 18)],
)  # fmt: skip
def test_marylands_brackets_begin_where_the_law_says(cents: int, tax: int) -> None:
    """TX-08: both lists of the section, in words there: "at least 21 but less than 34" and so on."""
    assert maryland_tax_cents(cents) == tax


def test_the_vat_of_a_unit_is_rounded_to_three_digits_or_half_pennies_and_never_to_nothing() -> None:
    """TX-11: VAT Notice 700, 17.5.2, as quoted at forums.overclockers.co.uk thread 18649236: 0.0024 pounds."""
    assert unit_vat_mills(Decimal("2.4"), 1) == 2
    assert unit_vat_mills(Decimal("2.4"), 5) == 5
    assert unit_vat_mills(Decimal("2.5"), 10) == 10


def test_an_invoice_trader_may_round_the_whole_vat_down() -> None:
    """TX-13: HMRC, VAT Traders' Records manual VATREC12010 (rule read); the figure of 86.76p is from memory."""
    rules = TaxRules(20_000, 6000, "GBP", rounding=Rounding.DOWN)
    assert to_minor(Decimal("0.8676"), "GBP", Rounding.DOWN) == 86
    assert rules.exact(1446, TaxClass.REDUCED) * 100 == Decimal("86.76")
    assert tax_table({TaxClass.REDUCED: [1000, 446]}, rules)[0].tax_minor == 86


@pytest.mark.parametrize(("basis", "cents"), [(Basis.ITEM, 223), (Basis.DOCUMENT, 222)])
def test_the_shops_rules_round_by_item_or_by_document(basis: Basis, cents: int) -> None:
    """TX-04 through the shop's rules."""
    rules = TaxRules(7000, 0, "USD", basis=basis)
    assert tax_table({TaxClass.STANDARD: [1995, 450, 725]}, rules)[0].tax_minor == cents


@pytest.mark.parametrize(("basis", "cents"), [(Basis.ITEM, 3), (Basis.DOCUMENT, 2)])
def test_prices_that_contain_the_tax_are_rounded_by_item_or_by_document_too(basis: Basis, cents: int) -> None:
    """TX-04 the other way about: 0.10 contains 0.654 cents at 7 %, thrice that is 1.963 cents."""
    rules = TaxRules(7000, 0, "USD", inclusive=True, basis=basis)
    assert tax_table({TaxClass.STANDARD: [10, 10, 10]}, rules)[0].tax_minor == cents
