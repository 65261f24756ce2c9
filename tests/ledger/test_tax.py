"""Laws of tax, for any amounts, rates, currencies and modes."""

from decimal import Decimal
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.core.money import Rounding, to_major
from shop.ledger.tax import Basis, exact_tax, tax_minor

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
