"""Work, insurance, the diagnosis fee, the deposit and the price of parts, before they are lines."""

from fractions import Fraction
from itertools import pairwise
from math import ceil

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.ledger.tax import TaxClass
from shop.quotes.charges import Labour, fee_lines, insurance, labour
from shop.quotes.deposit import deposit_minor
from shop.quotes.markup import Band, part_price

AMOUNTS = st.integers(0, 10**7)


@pytest.mark.parametrize(
    ("minutes", "step", "billed", "minor"),
    [(0, 15, 0, 0), (1, 15, 15, 1500), (15, 15, 15, 1500), (16, 15, 30, 3000), (50, 6, 54, 5400), (61, 1, 61, 6100)],
)
def test_time_is_billed_in_steps_begun(minutes: int, step: int, billed: int, minor: int) -> None:
    assert labour(flat_minor=0, minutes=minutes, rate_minor=6000, step_minutes=step) == Labour(minor, billed)


@pytest.mark.parametrize(("rate", "minor"), [(5000, 417), (4999, 417), (4990, 416), (1, 0), (6, 1)])
def test_the_price_of_time_is_rounded_once_half_up(rate: int, minor: int) -> None:
    """Five minutes are a twelfth of an hour."""
    assert labour(flat_minor=0, minutes=5, rate_minor=rate, step_minutes=5).minor == minor


def test_a_flat_price_goes_before_time() -> None:
    assert labour(flat_minor=4500, minutes=600, rate_minor=6000, step_minutes=15) == Labour(4500, 0)


@given(st.integers(0, 10_000), AMOUNTS, st.integers(1, 240))
def test_labour_is_never_less_than_the_time_and_less_than_a_step_more(minutes: int, rate: int, step: int) -> None:
    found = labour(flat_minor=0, minutes=minutes, rate_minor=rate, step_minutes=step)
    assert minutes <= found.billed_minutes < minutes + step
    assert found.billed_minutes % step == 0
    assert abs(found.minor - Fraction(found.billed_minutes * rate, 60)) <= Fraction(1, 2)


@pytest.mark.parametrize("wrong", [{"flat_minor": -1}, {"minutes": -1}, {"rate_minor": -1}, {"step_minutes": 0}])
def test_it_knows_no_work_that_cannot_be(wrong: dict[str, int]) -> None:
    told = {"flat_minor": 0, "minutes": 5, "rate_minor": 6000, "step_minutes": 15} | wrong
    with pytest.raises(ValueError, match="not work"):
        labour(**told)


@pytest.mark.parametrize(
    ("declared", "step", "minor"),
    # 1.5 %, at least 2.00.
    [(0, 1, 0), (1, 1, 200), (13_333, 1, 200), (13_334, 1, 201), (40_000, 1, 600), (40_010, 1, 601), (40_010, 50, 650)],
)
def test_insurance_is_a_share_of_the_value_with_a_least_rounded_up(declared: int, step: int, minor: int) -> None:
    assert insurance(declared, millipercent=1500, least_minor=200, step_minor=step) == minor


@given(AMOUNTS, st.integers(0, 100_000), st.integers(0, 5000), st.integers(1, 500))
def test_insurance_covers_its_share_and_its_least(declared: int, rate: int, least: int, step: int) -> None:
    found = insurance(declared, millipercent=rate, least_minor=least, step_minor=step)
    exact = max(Fraction(declared * rate, 100_000), Fraction(least)) if declared else Fraction(0)
    assert found == ceil(exact / step) * step


def test_it_insures_nothing_that_cannot_be() -> None:
    for declared, rate, least, step in (-1, 1, 1, 1), (1, -1, 1, 1), (1, 1, -1, 1), (1, 1, 1, 0):
        with pytest.raises(ValueError, match=r"not an insurance|no step"):
            insurance(declared, millipercent=rate, least_minor=least, step_minor=step)


@pytest.mark.parametrize(
    ("fee", "credited", "shown", "amounts"),
    [
        (4500, True, True, [("fee", 4500), ("credit", -4500)]),
        (4500, True, False, []),
        (4500, False, True, [("fee", 4500)]),
        (4500, False, False, [("fee", 4500)]),
        (0, True, True, []),
        (0, False, True, []),
    ],
)
def test_a_fee_is_credited_or_charged_besides(
    fee: int, credited: bool, shown: bool, amounts: list[tuple[str, int]]
) -> None:
    lines = fee_lines(
        fee, words="Diagnosis", credit_words="Credited", credited=credited, shown=shown, tax_class=TaxClass.REDUCED
    )
    assert [(line.kind, line.net_minor) for line in lines] == amounts
    assert all(line.tax_class is TaxClass.REDUCED for line in lines)


@pytest.mark.parametrize(
    ("total", "percent", "least", "asked"),
    [(10_000, 30, 0, 3000), (9999, 30, 10_000, 0), (10_000, 30, 10_000, 3000), (5, 50, 0, 3), (1, 49, 0, 0),
     (777, 100, 0, 777), (777, 0, 0, 0), (0, 30, 0, 0)],
)  # fmt: skip
def test_a_deposit_is_a_share_of_the_total_from_a_threshold(total: int, percent: int, least: int, asked: int) -> None:
    assert deposit_minor(total, percent=percent, from_minor=least) == asked


@given(st.integers(0, 10**12), st.integers(0, 100), AMOUNTS)
def test_a_deposit_is_within_half_a_unit_and_never_above_the_total(total: int, percent: int, least: int) -> None:
    asked = deposit_minor(total, percent=percent, from_minor=least)
    assert 0 <= asked <= total
    assert asked == 0 if total < least else abs(asked - Fraction(total * percent, 100)) <= Fraction(1, 2)


def test_it_knows_no_deposit_that_cannot_be() -> None:
    for total, percent, least in (-1, 30, 0), (1, -1, 0), (1, 101, 0), (1, 30, -1):
        with pytest.raises(ValueError, match="not a deposit"):
            deposit_minor(total, percent=percent, from_minor=least)


# Up to 5.00 the price doubles, at least 0.50 is added; from 5.00 half as much again; from 50.00 a quarter.
BANDS = (Band(0, 100_000, 50), Band(500, 50_000, 400), Band(5000, 25_000, 0))


@pytest.mark.parametrize(
    ("cost", "price"),
    [
        (0, 50), (10, 60), (50, 100), (51, 102), (499, 998),
        # The price stays where the lower band ends until cost and mark-up of the higher are more: 599 + 400.
        (500, 998), (598, 998), (599, 999), (600, 1000), (665, 1065), (800, 1200), (801, 1202),
        (4999, 7499), (5000, 7499), (5999, 7499), (6000, 7500), (8000, 10_000),
    ],
)  # fmt: skip
def test_a_part_is_marked_up_by_the_band_of_its_cost(cost: int, price: int) -> None:
    assert part_price(cost, BANDS) == price


def test_a_price_is_rounded_up_to_whole_steps() -> None:
    assert part_price(51, BANDS, step_minor=5) == 105
    assert part_price(50, BANDS, step_minor=5) == 100
    assert part_price(333, (), step_minor=10) == 340
    assert part_price(333, ()) == 333


@st.composite
def some_bands(draw: st.DrawFn) -> tuple[Band, ...]:
    starts = [0, *sorted(draw(st.sets(st.integers(1, 20_000), max_size=4)))]
    return tuple(Band(start, draw(st.integers(0, 300_000)), draw(st.integers(0, 3000))) for start in starts)


@given(some_bands(), st.lists(st.integers(0, 30_000), min_size=2, max_size=8), st.integers(1, 100))
def test_a_dearer_part_is_never_cheaper(bands: tuple[Band, ...], costs: list[int], step: int) -> None:
    edges = [band.from_cost_minor + away for band in bands for away in (-1, 0, 1) if band.from_cost_minor + away >= 0]
    prices = [part_price(cost, bands, step_minor=step) for cost in sorted([*costs, *edges])]
    assert all(price <= after for price, after in pairwise(prices))


@given(some_bands(), st.integers(0, 30_000), st.integers(1, 100))
def test_a_part_never_costs_less_than_its_band_asks(bands: tuple[Band, ...], cost: int, step: int) -> None:
    price = part_price(cost, bands, step_minor=step)
    band = [each for each in bands if each.from_cost_minor <= cost][-1]
    assert price >= cost + max(Fraction(band.least_minor), Fraction(cost * band.markup_millipercent, 100_000))
    assert price % step == 0


@pytest.mark.parametrize(
    ("cost", "bands"),
    [(-1, BANDS), (1, BANDS[1:]), (1, (BANDS[0], BANDS[2], BANDS[1])), (1, (BANDS[0], BANDS[0]))],
)
def test_it_knows_no_bands_that_do_not_rise_from_nothing(cost: int, bands: tuple[Band, ...]) -> None:
    with pytest.raises(ValueError, match="cannot mark up"):
        part_price(cost, bands)


def test_it_knows_no_band_below_zero() -> None:
    for wrong in (-1, 0, 0), (0, -1, 0), (0, 0, -1):
        with pytest.raises(ValueError, match="not a band"):
            Band(*wrong)
