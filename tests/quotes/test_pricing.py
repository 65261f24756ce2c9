"""Laws of a quote's totals, for any lines, options and rates."""

from collections.abc import Callable, Sequence
from dataclasses import replace
from itertools import chain, combinations
from random import Random

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from shop.core.money import LARGEST_MINOR
from shop.core.reasons import Refused
from shop.ledger.tax import tax_minor
from shop.quotes.pricing import Line, change, check_every_choice, choose, explain, options, price, rate_words

RATES = st.one_of(st.integers(0, 30_000), st.just(8875))
CURRENCIES = st.sampled_from(["JPY", "USD", "KWD"])


@st.composite
def a_line(draw: st.DrawFn, discounts: bool = False) -> Line:
    kind = draw(st.sampled_from(["labour", "part", "postage", *(["discount"] if discounts else [])]))
    amount = draw(st.integers(0, 10**6))
    option = draw(st.sampled_from(["", "", "a", "b", "c"]))
    return Line(
        words="work",
        kind=kind,
        quantity=draw(st.integers(1, 20)),
        unit_minor=-amount if kind == "discount" else amount,
        taxed=draw(st.booleans()),
        optional=bool(option),
        taken=not option or draw(st.booleans()),
        option=option,
    )


def some_lines(discounts: bool = False) -> st.SearchStrategy[list[Line]]:
    return st.lists(a_line(discounts), max_size=8)


@given(some_lines(), RATES, CURRENCIES, st.randoms())
def test_it_does_not_depend_on_the_order_of_lines(lines: list[Line], rate: int, currency: str, random: Random) -> None:
    shuffled = lines.copy()
    random.shuffle(shuffled)
    before = price(lines, rate_millipercent=rate, currency=currency)
    assert replace(price(shuffled, rate_millipercent=rate, currency=currency), lines=before.lines) == before


@given(some_lines(), RATES, CURRENCIES)
def test_it_adds_up_to_the_last_minor_unit(lines: list[Line], rate: int, currency: str) -> None:
    totals = price(lines, rate_millipercent=rate, currency=currency)
    taken = [line for line in lines if line.taken]
    assert totals.net_minor == sum(line.quantity * line.unit_minor for line in taken)
    assert totals.tax_minor == tax_minor([line.net_minor for line in taken if line.taxed], rate, currency)
    assert totals.total_minor == totals.net_minor + totals.tax_minor >= 0


@given(some_lines(), RATES, CURRENCIES, st.sampled_from("abc"))
def test_it_adds_exactly_the_options_net_and_tax_difference_when_it_is_taken(
    lines: list[Line], rate: int, currency: str, option: str
) -> None:
    groups = options(lines)
    assume(option in groups)
    others = {line.option for line in lines if line.optional and line.taken} - {option}
    left = price(choose(lines, others), rate_millipercent=rate, currency=currency)
    taken = price(choose(lines, others | {option}), rate_millipercent=rate, currency=currency)
    added = change(lines, option, rate_millipercent=rate, currency=currency)
    assert added.net_minor == sum(line.net_minor for line in groups[option])
    assert taken.total_minor == left.total_minor + added.net_minor + added.tax_minor
    assert added.total_minor == added.net_minor + added.tax_minor


def _refusal(judge: Callable[..., object], lines: Sequence[Line], rate: int) -> str:
    try:
        judge(lines, rate_millipercent=rate, currency="USD")
    except Refused as refused:
        return refused.code
    return ""


@given(some_lines(discounts=True), RATES)
def test_it_refuses_beforehand_exactly_the_lines_of_which_some_choice_cannot_be_priced(
    lines: list[Line], rate: int
) -> None:
    names = list(options(lines))
    choices = chain.from_iterable(combinations(names, count) for count in range(len(names) + 1))
    tried = {_refusal(price, choose(lines, chosen), rate) for chosen in choices} - {""}
    beforehand = _refusal(check_every_choice, lines, rate)
    assert beforehand in tried if tried else not beforehand


def _labour(unit_minor: int, **changes: object) -> Line:
    return replace(Line("Recap", "labour", 1, unit_minor), **changes)  # type: ignore[arg-type]


def _discount(minor: int, **changes: object) -> Line:
    return replace(Line("Goodwill", "discount", 1, -minor), **changes)  # type: ignore[arg-type]


def test_it_takes_a_rate_of_8_875_per_cent() -> None:
    totals = price([_labour(6000), _labour(3333)], rate_millipercent=8875, currency="USD")
    assert (totals.net_minor, totals.tax_minor, totals.total_minor) == (9333, 828, 10161)


def test_it_takes_a_discount_of_a_hundred_per_cent() -> None:
    totals = price([_labour(6000), _discount(6000)], rate_millipercent=8000, currency="USD")
    assert (totals.net_minor, totals.tax_minor, totals.total_minor) == (0, 0, 0)


def test_it_refuses_discounts_that_exceed_the_lines() -> None:
    with pytest.raises(Refused) as refused:
        price([_labour(6000), _discount(6001)], rate_millipercent=8000, currency="USD")
    assert refused.value.code == "discount_too_large"


def test_it_refuses_a_taxed_discount_on_untaxed_lines_since_its_tax_would_be_below_zero() -> None:
    with pytest.raises(Refused, match="discount_too_large"):
        price([_labour(6000, taxed=False), _discount(100)], rate_millipercent=8000, currency="USD")
    totals = price([_labour(6000, taxed=False), _discount(100, taxed=False)], rate_millipercent=8000, currency="USD")
    assert totals.total_minor == 5900


def test_it_refuses_more_than_the_shop_can_write() -> None:
    with pytest.raises(Refused, match="quote_too_large"):
        price([_labour(LARGEST_MINOR)], rate_millipercent=1, currency="USD")


@pytest.mark.parametrize(
    "changes",
    [{"quantity": 0}, {"quantity": -1}, {"unit_minor": -1}, {"taken": False}, {"optional": True}, {"option": "a"}],
)
def test_it_knows_no_line_that_cannot_be(changes: dict[str, object]) -> None:
    with pytest.raises(ValueError, match="not a line"):
        replace(_labour(100), **changes)  # type: ignore[arg-type]


def test_it_knows_no_discount_above_zero() -> None:
    with pytest.raises(ValueError, match="not a line"):
        Line("Goodwill", "discount", 1, 1)


def test_it_refuses_to_choose_an_option_that_nobody_offered() -> None:
    with pytest.raises(ValueError, match="no such option"):
        choose([_labour(100)], {"a"})


def test_it_explains_each_figure() -> None:
    lines = [_labour(6000), Line("Capacitor", "part", 12, 45), _discount(500), _labour(900, taxed=False)]
    said = explain(price(lines, rate_millipercent=8875, currency="USD"))
    assert said.lines[1] == "12 × 0.45 = 5.40"
    assert said.net == "60.00 + 5.40 − 5.00 + 9.00 = 69.40"
    assert said.taxable == "60.00 + 5.40 − 5.00 = 60.40"
    assert said.tax == "8.875 % × 60.40 = 5.3605 → 5.36"
    assert said.total == "69.40 + 5.36 = 74.76"


@pytest.mark.parametrize(("rate", "words"), [(8875, "8.875"), (8000, "8"), (20_000, "20"), (0, "0"), (100, "0.1")])
def test_it_writes_a_rate_without_needless_zeros(rate: int, words: str) -> None:
    assert rate_words(rate) == words
