"""Laws of pricing, for any lines, options, rates, currencies and ways to round."""

from dataclasses import replace
from fractions import Fraction
from math import ceil, floor
from random import Random

from hypothesis import assume, given
from hypothesis import strategies as st

from shop.core.money import Rounding, minor_digits
from shop.core.reasons import Refused
from shop.ledger.tax import Basis, TaxClass, TaxRules
from shop.quotes.choices import choose, offered, options, taken_options, taking
from shop.quotes.lines import Line, Totals
from shop.quotes.pricing import changes, price
from tests.quotes.drawn import a_charge, a_quote, a_rule, a_share, refusal


def _rounded(exact: Fraction, rounding: Rounding = Rounding.HALF_UP) -> int:
    """Round a fraction without the code under test."""
    match rounding:
        case Rounding.HALF_UP:
            return floor(exact + Fraction(1, 2))
        case Rounding.HALF_EVEN:
            return round(exact)
        case Rounding.DOWN:
            return floor(exact)
    return ceil(exact)


def _priced(lines: list[Line], rules: TaxRules) -> Totals:
    try:
        return price(lines, rules)
    except Refused:
        assume(False)
        raise


def _exact(amount: int, row_rate: int, rules: TaxRules) -> Fraction:
    """Return the tax in minor units as a fraction, reckoned without the code under test."""
    rate = Fraction(row_rate, 100_000)
    return amount * rate / (1 + rate) if rules.inclusive else amount * rate


@given(a_quote(), a_rule())
def test_its_total_is_the_sum_of_its_parts_to_the_last_minor_unit(lines: list[Line], rules: TaxRules) -> None:
    totals = _priced(lines, rules)
    assert totals.sum_minor == sum(each.net_minor for each in totals.lines)
    assert totals.sum_minor == (totals.total_minor if rules.inclusive else totals.net_minor)
    assert totals.total_minor == totals.net_minor + totals.tax_minor
    for name in ("net_minor", "tax_minor", "total_minor"):
        assert getattr(totals, name) == sum(getattr(row, name) for row in totals.table)
    for row in totals.table:
        parts = [part for each in totals.lines for tax_class, part in each.parts if tax_class is row.tax_class]
        assert row.taxable_minor == sum(parts)
    assert all(each.net_minor == sum(part for _class, part in each.parts) for each in totals.lines)


@given(a_quote(), a_rule())
def test_it_lists_just_the_taken_lines_each_at_its_own_price(lines: list[Line], rules: TaxRules) -> None:
    totals = _priced(lines, rules)
    assert [each.line for each in totals.lines] == [line for line in lines if line.taken]
    for each in totals.lines:
        line = each.line
        if not line.percent_millipercent:
            off = Fraction(line.quantity * line.unit_minor * line.discount_millipercent, 100_000)
            own = _rounded(off) + line.discount_minor
            assert each.net_minor == line.quantity * line.unit_minor - own


@given(a_quote(), a_rule(basis=Basis.ITEM))
def test_nothing_is_lost_when_discounts_are_spread_over_the_charges(lines: list[Line], rules: TaxRules) -> None:
    totals = _priced(lines, rules)
    for each in totals.lines:
        assert (each.settled_minor is None) == (each.tax_minor is None) == (not each.line.is_charge)
    for row in totals.table:
        own = [each for each in totals.lines if each.line.is_charge and each.line.tax_class is row.tax_class]
        assert sum(each.settled_minor or 0 for each in own) == row.taxable_minor
        assert sum(each.tax_minor or 0 for each in own) == row.tax_minor
    assert all((each.settled_minor or 0) >= 0 for each in totals.lines)


@given(a_quote(), a_rule())
def test_it_rounds_the_tax_of_each_class_or_item_once_as_elected(lines: list[Line], rules: TaxRules) -> None:
    totals = _priced(lines, rules)
    for row in totals.table:
        own = [
            each.settled_minor or 0
            for each in totals.lines
            if each.line.is_charge and each.line.tax_class is row.tax_class
        ]
        bases = own if rules.basis is Basis.ITEM else [row.taxable_minor]
        wanted = [_rounded(_exact(base, row.rate_millipercent, rules), rules.rounding) for base in bases]
        assert row.tax_minor == sum(wanted)
        assert row.rate_millipercent == 0 or row.tax_class is not TaxClass.NONE


@given(a_quote(), a_rule())
def test_no_discount_makes_anything_fall_below_zero(lines: list[Line], rules: TaxRules) -> None:
    totals = _priced(lines, rules)
    assert min(totals.net_minor, totals.taxable_minor, totals.tax_minor, totals.total_minor) >= 0
    assert all(min(row.net_minor, row.tax_minor, row.total_minor) >= 0 for row in totals.table)


@given(a_quote(), a_rule(), st.randoms())
def test_its_sums_do_not_depend_on_the_order_of_lines(lines: list[Line], rules: TaxRules, random: Random) -> None:
    before = _priced(lines, rules)
    shuffled = lines.copy()
    random.shuffle(shuffled)
    assert replace(price(shuffled, rules), lines=before.lines) == before


@given(a_quote(), a_rule())
def test_it_refuses_just_what_takes_off_more_than_there_is(lines: list[Line], rules: TaxRules) -> None:
    taken = [line for line in lines if line.taken]
    wrong = sum(line.percent_millipercent for line in taken if line.kind == "discount") > 100_000
    for tax_class in TaxClass:
        wrong |= sum(line.net_minor for line in taken if line.tax_class is tax_class) < 0
    assert refusal(price, lines, rules) == ("discount_too_large" if wrong else "")


@given(st.lists(a_charge(), max_size=8), a_rule(), a_share(kind="discount", percent_millipercent=100_000))
def test_a_discount_of_a_hundred_per_cent_leaves_nothing_and_no_tax(
    charges: list[Line], rules: TaxRules, all_off: Line
) -> None:
    totals = price([all_off, *charges], rules)
    assert (totals.net_minor, totals.tax_minor, totals.total_minor) == (0, 0, 0)
    assert not any(row.tax_exact.is_signed() or row.tax_exact for row in totals.table)
    assert not any(each.settled_minor for each in totals.lines)


@given(st.lists(a_charge(), max_size=6), st.lists(a_share(), max_size=3), a_rule())
def test_each_share_is_rounded_once_and_no_more_is_taken_off_than_there_is(
    charges: list[Line], shares: list[Line], rules: TaxRules
) -> None:
    totals = _priced([*charges, *shares], rules)
    labour = sum(line.net_minor for line in charges if line.kind == "labour")
    everything = sum(each.net_minor for each in totals.lines if each.line.kind != "discount")
    wanted = 0
    for each in totals.lines:
        if each.line.percent_millipercent and each.line.kind == "surcharge":
            assert each.base_minor == labour
            assert each.net_minor == _rounded(Fraction(labour * each.line.percent_millipercent, 100_000))
        if each.line.kind == "discount":
            assert each.base_minor == everything
            wanted += _rounded(Fraction(everything * each.line.percent_millipercent, 100_000))
    taken_off = -sum(each.net_minor for each in totals.lines if each.line.kind == "discount")
    assert taken_off == min(wanted, everything)


@given(st.lists(a_charge(), min_size=1, max_size=6), a_share(), a_rule())
def test_a_share_falls_on_the_classes_in_proportion(charges: list[Line], share: Line, rules: TaxRules) -> None:
    whole = _priced([*charges, share], rules).lines[-1]
    base = [line for line in charges if share.kind == "discount" or line.kind == "labour"]
    for tax_class, part in whole.parts:
        own = sum(line.net_minor for line in base if line.tax_class is tax_class)
        assert abs(part - Fraction(whole.net_minor * own, whole.base_minor)) < 1


@given(a_quote(), a_rule(rounding=Rounding.HALF_UP))
def test_by_item_differs_from_by_document_by_at_most_half_a_unit_for_each_charge(
    lines: list[Line], rules: TaxRules
) -> None:
    by_item = _priced(lines, replace(rules, basis=Basis.ITEM))
    by_document = price(lines, replace(rules, basis=Basis.DOCUMENT))
    charges = sum(each.line.is_charge for each in by_item.lines)
    assert 2 * abs(by_item.tax_minor - by_document.tax_minor) <= charges
    assert by_item.sum_minor == by_document.sum_minor


@given(st.lists(a_charge(), max_size=6), a_rule(inclusive=False))
def test_a_currency_changes_no_figure_in_minor_units(charges: list[Line], rules: TaxRules) -> None:
    """0, 2, 3 and 4 digits: what a minor unit is worth does not matter to arithmetic in minor units."""
    known = [price(charges, replace(rules, currency=currency)) for currency in ("JPY", "USD", "KWD", "CLF")]
    assert [minor_digits(totals.currency) for totals in known] == [0, 2, 3, 4]
    assert len({(totals.net_minor, totals.tax_minor, totals.total_minor) for totals in known}) == 1


@given(a_quote(), a_rule())
def test_taking_an_option_changes_the_totals_by_what_is_said(lines: list[Line], rules: TaxRules) -> None:
    if refusal(changes, lines, rules):
        return
    for option, added in changes(lines, rules).items():
        assert (
            added.with_minor
            == price(choose(lines, taking(offered(lines), taken_options(lines), option)), rules).total_minor
        )
        assert added.with_minor - added.without_minor == added.total_minor == added.net_minor + added.tax_minor


@given(a_quote(needs=False, groups=False, shares=False), a_rule())
def test_an_option_that_hangs_on_nothing_adds_its_lines_and_their_tax(lines: list[Line], rules: TaxRules) -> None:
    if refusal(changes, lines, rules):
        return
    for option, added in changes(lines, rules).items():
        own = options(lines)[option]
        others = {line.option for line in lines if line.optional and line.taken} - {option}
        left, taken = (price(choose(lines, chosen), rules) for chosen in (others, others | {option}))
        assert (added.without_minor, added.with_minor) == (left.total_minor, taken.total_minor)
        assert taken.sum_minor - left.sum_minor == sum(line.net_minor for line in own)
