"""What options add, and that no choice of them is left that could not be priced."""

from dataclasses import replace

import pytest
from hypothesis import given

from shop.core.money import LARGEST_MINOR
from shop.core.reasons import Refused
from shop.ledger.tax import TaxRules
from shop.quotes.lines import Line
from shop.quotes.pricing import changes, check_every_choice, choose, price
from tests.quotes.drawn import a_quote, a_rule, allowed_choices, refusal
from tests.quotes.told import discount, labour, off, part

PLAIN = TaxRules(8000, 5000, "USD")


WAYS = (
    labour(1000),
    labour(4000, optional=True, option="plain", one_of="Ways", taken=True),
    labour(6000, optional=True, option="fine", one_of="Ways", taken=False),
    part(300, optional=True, option="polish", needs="fine", taken=False),
)


@pytest.mark.parametrize(
    ("option", "net", "with_it", "without"),
    [("plain", 0, 5400, 5400), ("fine", 2000, 7560, 5400), ("polish", 2300, 7884, 5400)],
)
def test_the_change_of_an_option_is_against_what_would_be_taken_else(
    option: str, net: int, with_it: int, without: int
) -> None:
    """Of a group that one must be taken from, against the present one; what an option needs is in its change."""
    added = changes(WAYS, PLAIN)[option]
    assert (added.net_minor, added.with_minor, added.without_minor) == (net, with_it, without)
    assert added.total_minor == added.net_minor + added.tax_minor


def test_the_change_of_a_taken_option_is_what_leaving_it_and_what_needs_it_would_spare() -> None:
    lines = [
        labour(1000),
        labour(500, optional=True, option="a", taken=True),
        part(200, optional=True, option="b", needs="a", taken=True),
    ]
    assert changes(lines, PLAIN)["a"].net_minor == 700
    assert changes(lines, PLAIN)["b"].net_minor == 200


@given(a_quote(), a_rule())
def test_it_refuses_beforehand_what_some_choice_could_not_be_priced_with(lines: list[Line], rules: TaxRules) -> None:
    tried = {refusal(price, choose(lines, chosen), rules) for chosen in allowed_choices(lines)} - {""}
    beforehand = refusal(check_every_choice, lines, rules)
    if tried:
        assert beforehand


@given(a_quote(needs=False), a_rule())
def test_it_refuses_nothing_beforehand_that_every_choice_could_be_priced_with(
    lines: list[Line], rules: TaxRules
) -> None:
    tried = {refusal(price, choose(lines, chosen), rules) for chosen in allowed_choices(lines)} - {""}
    assert refusal(check_every_choice, lines, rules) == min(tried, default="")


def test_it_allows_a_bundle_discount_that_needs_what_it_is_taken_from() -> None:
    """Sixteen extras hang on one option, and so does a discount: never below zero, since it needs that option."""
    base = labour(5000, optional=True, option="base", taken=False)
    extras = [part(10, optional=True, option=f"e{at}", needs="base", taken=False) for at in range(16)]
    off = discount(2000, optional=True, option="off", needs="base", taken=False)
    check_every_choice([base, *extras, off], PLAIN)
    with pytest.raises(Refused, match="discount_too_large"):
        check_every_choice([base, *extras, replace(off, unit_minor=-5001)], PLAIN)
    with pytest.raises(Refused, match="discount_too_large"):
        check_every_choice([base, *extras, replace(off, needs="")], PLAIN)


def test_it_adds_up_the_percentages_that_can_be_taken_together() -> None:
    def club(name: str, millipercent: int, one_of: str) -> Line:
        told = {"optional": True, "option": name, "taken": False, "one_of": one_of, "may_skip": bool(one_of)}
        return off(millipercent, **told)

    check_every_choice([labour(100), club("a", 60_000, "Clubs"), club("b", 50_000, "Clubs")], PLAIN)
    with pytest.raises(Refused, match="discount_too_large"):
        check_every_choice([labour(100), club("a", 60_000, ""), club("b", 50_000, "")], PLAIN)


def test_it_refuses_beforehand_a_choice_that_is_too_large_to_write() -> None:
    extra = labour(LARGEST_MINOR, optional=True, option="a", taken=False)
    with pytest.raises(Refused, match="quote_too_large"):
        check_every_choice([labour(100), extra], PLAIN)
    check_every_choice([labour(100), replace(extra, unit_minor=LARGEST_MINOR // 2)], PLAIN)
