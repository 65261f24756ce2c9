"""Laws of tax, for any amounts, rates, currencies and modes."""

from decimal import Decimal
from fractions import Fraction
from math import ceil, floor
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.core.money import Rounding, to_major, to_minor
from shop.ledger.tax import Basis, TaxClass, TaxRules, contained_tax, exact_tax, tax_minor, tax_table
from shop.ledger.tax_by_law import maryland_tax_cents, unit_vat_mills

NETS = st.lists(st.integers(-(10**9), 10**12), max_size=12)
RATES = st.integers(0, 100_000)
CURRENCIES = st.sampled_from(["JPY", "USD", "KWD", "CLF"])


@given(NETS, RATES, CURRENCIES, st.sampled_from(Rounding))
def test_it_is_less_than_one_minor_unit_away_from_the_exact_tax(
    nets: list[int], rate: int, currency: str, rounding: Rounding
) -> None:
    tax = tax_minor(nets, rate, currency, rounding=rounding)
    away = to_major(tax, currency) - exact_tax(sum(nets), rate, currency)
    assert abs(away) < to_major(1, currency)
    if rounding in (Rounding.HALF_UP, Rounding.HALF_EVEN):
        assert abs(away) * 2 <= to_major(1, currency)
    if rounding is Rounding.UP:
        assert away >= 0


@given(NETS, RATES, CURRENCIES, st.sampled_from(Basis), st.randoms())
def test_it_does_not_depend_on_the_order(
    nets: list[int], rate: int, currency: str, basis: Basis, random: Random
) -> None:
    shuffled = nets.copy()
    random.shuffle(shuffled)
    assert tax_minor(shuffled, rate, currency, basis=basis) == tax_minor(nets, rate, currency, basis=basis)


@given(NETS, RATES, CURRENCIES)
def test_it_differs_by_item_at_most_half_a_minor_unit_for_each(nets: list[int], rate: int, currency: str) -> None:
    by_item = tax_minor(nets, rate, currency, basis=Basis.ITEM)
    by_document = tax_minor(nets, rate, currency, basis=Basis.DOCUMENT)
    assert abs(by_item - by_document) * 2 <= len(nets) + 1


@given(NETS, CURRENCIES, st.sampled_from(Basis))
def test_it_is_nothing_at_no_rate_and_the_amount_itself_at_a_hundred_per_cent(
    nets: list[int], currency: str, basis: Basis
) -> None:
    assert tax_minor(nets, 0, currency, basis=basis) == 0
    assert tax_minor(nets, 100_000, currency, basis=basis) == sum(nets)


def test_it_takes_a_rate_with_three_decimals() -> None:
    assert exact_tax(12_000, 8875, "USD") == Decimal("10.65")
    assert tax_minor([9_999], 8875, "USD") == 887


def test_it_knows_currencies_without_and_with_three_minor_digits() -> None:
    assert tax_minor([1_005], 10_000, "JPY") == 101
    assert tax_minor([1_005], 10_000, "KWD") == 101
    assert exact_tax(1_005, 10_000, "KWD") == Decimal("0.1005")


def test_it_names_its_modes_of_rounding() -> None:
    found = {mode.value: tax_minor([25], 10_000, "USD", rounding=mode) for mode in Rounding}
    assert found == {"half_up": 3, "half_even": 2, "down": 2, "up": 3}


@pytest.mark.parametrize("rate", [-1, 1_000_001])
def test_it_refuses_a_rate_that_cannot_be(rate: int) -> None:
    with pytest.raises(ValueError, match="no rate"):
        tax_minor([100], rate, "USD")


AMOUNTS = st.integers(0, 10**12)


@st.composite
def some_rules(draw: st.DrawFn) -> TaxRules:
    return TaxRules(
        standard_millipercent=draw(st.integers(0, 1_000_000)),
        reduced_millipercent=draw(st.integers(0, 30_000)),
        currency=draw(CURRENCIES),
        inclusive=draw(st.booleans()),
        basis=draw(st.sampled_from(Basis)),
        rounding=draw(st.sampled_from(Rounding)),
    )


@given(AMOUNTS, st.integers(0, 1_000_000), CURRENCIES, st.sampled_from(Rounding))
def test_the_tax_in_an_amount_is_rounded_as_its_exact_fraction_would_be(
    gross: int, rate: int, currency: str, rounding: Rounding
) -> None:
    """gross × r ÷ (1 + r) has endless digits; the Decimal has 28, and decides as the fraction does."""
    exact = Fraction(gross * rate, 100_000 + rate)
    wanted = {
        Rounding.HALF_UP: floor(exact + Fraction(1, 2)),
        Rounding.HALF_EVEN: round(exact),
        Rounding.DOWN: floor(exact),
        Rounding.UP: ceil(exact),
    }
    assert to_minor(contained_tax(gross, rate, currency), currency, rounding) == wanted[rounding]


@given(st.integers(0, 10**9), st.integers(0, 1_000_000))
def test_the_tax_in_an_amount_is_that_on_what_remains(gross: int, rate: int) -> None:
    tax = contained_tax(gross, rate, "JPY")
    assert abs(Fraction(gross - tax) * rate / 100_000 - Fraction(tax)) < Fraction(1, 10**12)


@pytest.mark.parametrize(
    ("gross", "rate", "tax"),
    [(12_000, 20_000, 2000), (119, 19_000, 19), (107, 7000, 7), (10_887, 8875, 887), (5, 0, 0)],
)
def test_it_takes_the_tax_out_of_a_price_that_contains_it(gross: int, rate: int, tax: int) -> None:
    assert to_minor(contained_tax(gross, rate, "EUR"), "EUR") == tax


@given(st.lists(AMOUNTS, max_size=6), st.lists(AMOUNTS, max_size=6), st.lists(AMOUNTS, max_size=3), some_rules())
def test_a_table_adds_up_row_by_row(
    standard: list[int], reduced: list[int], untaxed: list[int], rules: TaxRules
) -> None:
    given_amounts = {TaxClass.NONE: untaxed, TaxClass.STANDARD: standard, TaxClass.REDUCED: reduced}
    rows = tax_table(given_amounts, rules)
    assert [row.tax_class for row in rows] == [TaxClass.STANDARD, TaxClass.REDUCED, TaxClass.NONE]
    for row in rows:
        amounts = given_amounts[row.tax_class]
        assert row.net_minor + row.tax_minor == row.total_minor
        assert row.taxable_minor == sum(amounts) == (row.total_minor if rules.inclusive else row.net_minor)
        assert row.rate_millipercent == rules.rate(row.tax_class)
        each = amounts if rules.basis is Basis.ITEM else [sum(amounts)]
        assert row.tax_minor == sum(rules.rounded(amount, row.tax_class) for amount in each)
    assert rows[2].tax_minor == 0


@given(st.lists(AMOUNTS, min_size=1, max_size=8), st.integers(0, 1_000_000), st.booleans())
def test_rounding_by_item_and_by_document_differ_by_at_most_half_a_unit_for_each(
    amounts: list[int], rate: int, inclusive: bool
) -> None:
    by = {
        basis: tax_table({TaxClass.STANDARD: amounts}, TaxRules(rate, 0, "USD", inclusive, basis))[0].tax_minor
        for basis in Basis
    }
    assert 2 * abs(by[Basis.ITEM] - by[Basis.DOCUMENT]) <= len(amounts)


def test_a_table_has_no_row_for_a_class_without_items() -> None:
    rows = tax_table({TaxClass.REDUCED: [100]}, TaxRules(8000, 5000, "USD"))
    assert [(row.tax_class, row.tax_minor) for row in rows] == [(TaxClass.REDUCED, 5)]


@pytest.mark.parametrize("rates", [(-1, 0), (0, -1), (1_000_001, 0), (0, 1_000_001)])
def test_it_knows_no_rules_with_a_rate_that_cannot_be(rates: tuple[int, int]) -> None:
    with pytest.raises(ValueError, match="no rate"):
        TaxRules(*rates, "USD")
    with pytest.raises(ValueError, match="no rate"):
        contained_tax(100, min(*rates, 0) or max(rates), "USD")


@given(st.integers(0, 10**7))
def test_marylands_brackets_never_fall_behind_the_rate_above_a_dollar(cents: int) -> None:
    """From a dollar on, each bracket begins where 6 % is not yet reached: the tax is 6 % rounded up, or a cent less."""
    tax = maryland_tax_cents(cents)
    assert maryland_tax_cents(cents + 1) - tax in (0, 1)
    if cents >= 100:
        assert 0 <= tax - Fraction(6 * cents, 100) < 1


def test_maryland_knows_no_price_below_zero() -> None:
    with pytest.raises(ValueError, match="no taxable price"):
        maryland_tax_cents(-1)


@pytest.mark.parametrize(("exact", "step"), [("1", 2), ("-0.1", 1), ("1", 0)])
def test_it_knows_no_vat_of_a_unit_that_cannot_be(exact: str, step: int) -> None:
    with pytest.raises(ValueError, match="no VAT"):
        unit_vat_mills(Decimal(exact), step)
