"""What quotes come to: worked cases, each with its figures."""

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from shop.core.money import LARGEST_MINOR, Rounding
from shop.core.reasons import Refused
from shop.ledger.tax import Basis, TaxClass, TaxRules
from shop.quotes.charges import fee_lines
from shop.quotes.lines import Line, Totals
from shop.quotes.pricing import price
from tests.quotes.drawn import a_charge, a_rule
from tests.quotes.told import discount, labour, off, part

PLAIN = TaxRules(8000, 5000, "USD")
REDUCED, NONE = TaxClass.REDUCED, TaxClass.NONE


def _urgency(millipercent: int) -> Line:
    return Line("Urgency", "surcharge", 1, 0, percent_millipercent=millipercent)


def _sums(totals: Totals) -> tuple[int, int, int]:
    return totals.net_minor, totals.tax_minor, totals.total_minor


def _table(totals: Totals) -> list[tuple[str, int, int]]:
    return [(row.tax_class.value, row.taxable_minor, row.tax_minor) for row in totals.table]


def test_it_takes_a_rate_of_8_875_per_cent() -> None:
    assert _sums(price([labour(6000), labour(3333)], TaxRules(8875, 0, "USD"))) == (9333, 828, 10161)


def test_it_reckons_each_class_at_its_own_rate() -> None:
    totals = price([labour(6000), part(1010, tax_class=REDUCED), part(900, tax_class=NONE)], PLAIN)
    assert _table(totals) == [("standard", 6000, 480), ("reduced", 1010, 51), ("none", 900, 0)]
    assert (*_sums(totals), totals.taxable_minor) == (7910, 531, 8441, 7010)


def test_prices_that_contain_the_tax_are_the_total() -> None:
    """120.00 at 20 % contain 20.00; 10.00 at 5 % contain 0.476…, so 0.48."""
    rules = TaxRules(20_000, 5000, "EUR", inclusive=True)
    totals = price([labour(12_000), part(1000, tax_class=REDUCED)], rules)
    assert _table(totals) == [("standard", 12_000, 2000), ("reduced", 1000, 48)]
    assert (*_sums(totals), totals.sum_minor) == (10_952, 2048, 13_000, 13_000)


@pytest.mark.parametrize(("basis", "tax"), [(Basis.DOCUMENT, 222), (Basis.ITEM, 223)])
def test_it_rounds_by_document_or_by_item(basis: Basis, tax: int) -> None:
    """Catalogue TX-04."""
    totals = price([labour(1995), part(450), part(725)], TaxRules(7000, 0, "USD", basis=basis))
    assert totals.tax_minor == tax
    each_tax: list[int | None] = [140, 32, 51] if basis is Basis.ITEM else [None, None, None]
    assert [each.tax_minor for each in totals.lines] == each_tax


@pytest.mark.parametrize(
    ("currency", "minor", "tax"), [("JPY", 1005, 101), ("USD", 1005, 101), ("KWD", 1005, 101), ("CLF", 1005, 101)]
)
def test_it_takes_currencies_of_any_digits(currency: str, minor: int, tax: int) -> None:
    assert price([labour(minor)], TaxRules(10_000, 0, currency)).tax_minor == tax


@pytest.mark.parametrize(
    ("rounding", "tax"), [(Rounding.HALF_UP, 3), (Rounding.HALF_EVEN, 2), (Rounding.DOWN, 2), (Rounding.UP, 3)]
)
def test_it_rounds_as_the_shop_elects(rounding: Rounding, tax: int) -> None:
    assert price([labour(25)], TaxRules(10_000, 0, "USD", rounding=rounding)).tax_minor == tax


def test_a_rate_of_a_thousand_per_cent_is_ten_times_the_price() -> None:
    assert _sums(price([labour(100)], TaxRules(1_000_000, 0, "USD"))) == (100, 1000, 1100)
    assert _sums(price([labour(1100)], TaxRules(1_000_000, 0, "USD", inclusive=True))) == (100, 1000, 1100)


def test_a_line_has_a_discount_of_its_own_in_per_cent_or_as_an_amount() -> None:
    """12.5 % of 1.00 is 0.125, rounded half up to 0.13."""
    lines = [part(100, discount_millipercent=12_500), part(50, quantity=4, discount_minor=30)]
    totals = price(lines, PLAIN)
    assert [each.net_minor for each in totals.lines] == [87, 170]
    assert totals.net_minor == 257


def test_a_discount_of_a_hundred_per_cent_leaves_nothing_however_it_is_given() -> None:
    for lines in (
        [labour(6000), discount(6000)],
        [labour(6000), off(100_000)],
        [labour(6000, discount_millipercent=100_000)],
        [labour(6000), part(70, tax_class=REDUCED), off(50_000), off(50_000)],
    ):
        for rules in (PLAIN, replace(PLAIN, inclusive=True), replace(PLAIN, basis=Basis.ITEM)):
            assert _sums(price(lines, rules)) == (0, 0, 0)


def test_two_halves_of_an_odd_amount_take_no_more_than_there_is() -> None:
    """Half of 0.01 is rounded up to 0.01, and there it ends."""
    totals = price([labour(1), off(50_000), off(50_000)], PLAIN)
    assert sorted(each.net_minor for each in totals.lines) == [-1, 0, 1]
    assert _sums(totals) == (0, 0, 0)


@pytest.mark.parametrize(
    ("lines", "basis"),
    [
        # Divided in the order of the lines, the cent left over of one discount or the other would change the class.
        ([part(1), labour(7, tax_class=REDUCED), off(50_000), off(30_000)], Basis.DOCUMENT),
        # Two charges of the same price, of which only the labour bears the surcharge.
        ([part(11), labour(11), _urgency(100_000), discount(3)], Basis.ITEM),
    ],
)
def test_what_is_left_over_in_dividing_does_not_follow_the_order_of_lines(lines: list[Line], basis: Basis) -> None:
    rules = TaxRules(50_000, 0, "USD", basis=basis)
    assert price(lines, rules).table == price(lines[::-1], rules).table


def test_a_discount_in_per_cent_is_of_everything_else_and_falls_on_the_classes_in_proportion() -> None:
    """10 % of 100.05 is 10.005, so 10.01: 6.003, 3.0015 and 1.0055 of it; the cent left over goes to the last."""
    lines = [labour(6000), part(3000, tax_class=REDUCED), Line("Postage", "postage", 1, 1005, tax_class=NONE)]
    totals = price([off(10_000), *lines], PLAIN)
    share = totals.lines[0]
    assert (share.base_minor, share.net_minor) == (10_005, -1001)
    assert dict(share.parts) == {"standard": -600, "reduced": -300, "none": -101}
    assert sum(minor for _tax_class, minor in share.parts) == -1001


def test_a_fixed_discount_comes_off_its_own_class_before_one_in_per_cent() -> None:
    totals = price([labour(6000), part(1000, tax_class=NONE), discount(2000), off(10_000)], PLAIN)
    assert totals.lines[-1].base_minor == 5000
    assert _table(totals) == [("standard", 3600, 288), ("none", 900, 0)]


def test_urgency_is_a_share_of_the_taken_labour_in_its_classes() -> None:
    worked = [labour(4000), labour(1000, tax_class=REDUCED)]
    extra = labour(9000, optional=True, option="extra", taken=False)
    totals = price([*worked, extra, part(500), _urgency(25_000)], PLAIN)
    assert (totals.lines[-1].net_minor, dict(totals.lines[-1].parts)) == (1250, {"standard": 1000, "reduced": 250})
    assert _table(totals) == [("standard", 5500, 440), ("reduced", 1250, 63)]


def test_urgency_costs_nothing_where_there_is_no_labour() -> None:
    totals = price([part(500), _urgency(25_000)], PLAIN)
    assert (totals.lines[-1].net_minor, totals.total_minor) == (0, 540)


@pytest.mark.parametrize("basis", Basis)
@pytest.mark.parametrize("inclusive", [False, True])
def test_a_credited_fee_costs_the_same_whether_it_is_shown_or_left_out(basis: Basis, inclusive: bool) -> None:
    rules = TaxRules(8875, 0, "USD", inclusive=inclusive, basis=basis)
    work = [labour(6047), part(333), part(333)]

    def with_fee(credited: bool, shown: bool) -> Totals:
        fee = fee_lines(4500, words="Diagnosis", credit_words="Credited", credited=credited, shown=shown)
        return price([*work, *fee], rules)

    shown, left_out, charged = with_fee(True, True), with_fee(True, False), with_fee(False, True)
    assert _sums(shown) == _sums(left_out)
    assert [each.net_minor for each in shown.lines[3:]] == [4500, -4500]
    assert charged.sum_minor == left_out.sum_minor + 4500


def test_it_refuses_discounts_that_exceed_the_lines() -> None:
    for lines in (
        [labour(6000), discount(6001)],
        [labour(6000), off(60_000), off(40_001)],
        [labour(6000), _urgency(50_000), discount(6001)],
    ):
        with pytest.raises(Refused) as refused:
            price(lines, PLAIN)
        assert refused.value.code == "discount_too_large"


def test_it_refuses_a_discount_on_lines_of_another_class() -> None:
    for own, other in ((NONE, TaxClass.STANDARD), (TaxClass.STANDARD, NONE), (REDUCED, NONE)):
        with pytest.raises(Refused, match="discount_too_large"):
            price([labour(6000, tax_class=own), discount(100, tax_class=other)], PLAIN)
    assert price([labour(6000, tax_class=NONE), discount(100, tax_class=NONE)], PLAIN).total_minor == 5900


def test_it_refuses_more_than_the_shop_can_write() -> None:
    assert price([labour(LARGEST_MINOR)], TaxRules(0, 0, "USD")).total_minor == LARGEST_MINOR
    for lines in ([labour(LARGEST_MINOR)], [labour(LARGEST_MINOR, quantity=9999)]):
        with pytest.raises(Refused, match="quote_too_large"):
            price(lines, TaxRules(1, 0, "USD"))


def test_nothing_on_a_quote_comes_to_nothing() -> None:
    totals = price([], PLAIN)
    assert (_sums(totals), totals.table, totals.lines) == ((0, 0, 0), (), ())


@pytest.mark.parametrize(
    "told",
    [
        {"quantity": 0}, {"quantity": -1}, {"unit_minor": -1}, {"taken": False}, {"optional": True}, {"option": "a"},
        {"discount_millipercent": 100_001}, {"discount_millipercent": -1}, {"discount_minor": 101},
        {"discount_minor": -1}, {"discount_minor": 1, "discount_millipercent": 1}, {"percent_millipercent": 1},
        {"one_of": "Ways"}, {"needs": "a"}, {"optional": True, "option": "a", "may_skip": True},
        {"kind": "discount"}, {"kind": "credit"},
        {"kind": "surcharge", "percent_millipercent": 1},
        {"kind": "surcharge", "unit_minor": 0, "quantity": 2, "percent_millipercent": 1},
        {"kind": "surcharge", "unit_minor": 0, "percent_millipercent": 1_000_001},
        {"kind": "discount", "unit_minor": 0, "percent_millipercent": 100_001},
        {"kind": "discount", "unit_minor": -100, "discount_minor": 1},
        {"kind": "discount", "unit_minor": 0, "percent_millipercent": -1},
    ],
)  # fmt: skip
def test_it_knows_no_line_that_cannot_be(told: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="not a line"):
        replace(labour(100), **told)  # type: ignore[arg-type]


@given(st.lists(a_charge(), min_size=2, max_size=5), a_rule(basis=Basis.ITEM))
def test_the_tax_of_an_item_does_not_depend_on_the_others(charges: list[Line], rules: TaxRules) -> None:
    together = price(charges, rules)
    assert [each.tax_minor for each in together.lines] == [price([line], rules).tax_minor for line in charges]
