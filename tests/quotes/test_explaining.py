"""The arithmetic behind the figures: it is read back here and has to be right."""

import re
from fractions import Fraction

import pytest
from hypothesis import assume, given

from shop.core.money import minor_digits
from shop.core.reasons import Refused
from shop.ledger.tax import Basis, TaxClass, TaxRules
from shop.quotes.explaining import Explained, explain, rate_words
from shop.quotes.lines import Line, Totals
from shop.quotes.pricing import price
from tests.quotes.drawn import a_quote, a_rule

WORK = [
    Line("Recap", "labour", 1, 6000),
    Line("Capacitor", "part", 12, 45),
    Line("Goodwill", "discount", 1, -500),
    Line("Postage", "postage", 1, 900, tax_class=TaxClass.NONE),
]


def test_it_explains_each_figure() -> None:
    said = explain(price(WORK, TaxRules(8875, 0, "USD")))
    assert said.lines == ("1 × 60.00 = 60.00", "12 × 0.45 = 5.40", "1 × −5.00 = −5.00", "1 × 9.00 = 9.00")
    assert said.net == said.sum == "60.00 + 5.40 − 5.00 + 9.00 = 69.40"
    assert said.taxable == "60.00 + 5.40 − 5.00 = 60.40"
    assert said.tax == "8.875 % × 60.40 = 5.3605 → 5.36"
    assert said.total == "69.40 + 5.36 = 74.76"
    assert said.line_taxes == ()


def test_it_explains_several_classes() -> None:
    lines = [WORK[0], Line("Book", "part", 1, 1010, tax_class=TaxClass.REDUCED), WORK[3]]
    said = explain(price(lines, TaxRules(20_000, 5000, "EUR")))
    assert [(each.tax_class.value, each.rate, each.taxable, each.tax) for each in said.classes] == [
        ("standard", "20", "60.00 = 60.00", "20 % × 60.00 = 12.00"),
        ("reduced", "5", "10.10 = 10.10", "5 % × 10.10 = 0.505 → 0.51"),
        ("none", "0", "9.00 = 9.00", "0 % × 9.00 = 0.00"),
    ]
    assert (said.taxable, said.tax) == ("60.00 + 10.10 = 70.10", "12.00 + 0.51 = 12.51")


def test_it_explains_prices_that_contain_the_tax() -> None:
    said = explain(price(WORK[:2], TaxRules(8875, 0, "USD", inclusive=True)))
    assert said.total == said.sum == "60.00 + 5.40 = 65.40"
    assert said.tax == "65.40 × 8.875 ÷ 108.875 = 5.33111… → 5.33"
    assert said.net == "65.40 − 5.33 = 60.07"


def test_it_explains_discounts_and_surcharges() -> None:
    lines = [
        Line("Recap", "labour", 1, 5000, discount_millipercent=12_500),
        Line("Clip", "part", 3, 35, discount_minor=5, tax_class=TaxClass.NONE),
        Line("Cap", "part", 1, 45, discount_millipercent=10_000),
        Line("Urgency", "surcharge", 1, 0, percent_millipercent=25_000),
        Line("Club", "discount", 1, 0, percent_millipercent=10_000),
    ]
    said = explain(price(lines, TaxRules(0, 0, "USD")))
    assert said.lines == (
        "1 × 50.00 = 50.00; 12.5 % × 50.00 = 6.25; 50.00 − 6.25 = 43.75",
        "3 × 0.35 = 1.05; 1.05 − 0.05 = 1.00",
        "1 × 0.45 = 0.45; 10 % × 0.45 = 0.045 → 0.05; 0.45 − 0.05 = 0.40",
        "25 % × 43.75 = 10.9375 → 10.94",
        "−10 % × 56.09 = −5.609 → −5.61; −5.51 − 0.10 = −5.61",
    )
    assert said.classes[0].taxable == "43.75 + 0.40 + 10.94 − 5.51 = 49.58"


def test_it_explains_the_tax_of_each_item_on_what_discounts_leave_of_it() -> None:
    said = explain(price(WORK, TaxRules(7000, 0, "USD", basis=Basis.ITEM)))
    assert said.line_taxes == (
        "60.00 − 4.59 = 55.41; 7 % × 55.41 = 3.8787 → 3.88",
        "5.40 − 0.41 = 4.99; 7 % × 4.99 = 0.3493 → 0.35",
        "",
        "",
    )
    assert said.tax == "3.88 + 0.35 = 4.23"


def test_it_explains_nothing_as_nothing() -> None:
    said = explain(price([], TaxRules(8000, 0, "USD")))
    assert (said.sum, said.taxable, said.tax, said.total) == (
        "0 = 0.00", "0 = 0.00", "0 = 0.00", "0.00 + 0.00 = 0.00",
    )  # fmt: skip


@pytest.mark.parametrize(
    ("rate", "words"), [(8875, "8.875"), (8000, "8"), (20_000, "20"), (0, "0"), (100, "0.1"), (1_000_000, "1000")]
)
def test_it_writes_a_rate_without_needless_zeros(rate: int, words: str) -> None:
    assert rate_words(rate) == words


def _value(words: str) -> Fraction:
    """Reckon an expression of amounts joined by signs, from left to right, products first."""
    words = words.replace("−", "-").replace(" %", "/100").replace("×", "*").replace("÷", "/")
    assert re.fullmatch(r"[-+*/. \d]+", words)
    found = eval(re.sub(r"\d+(?:\.\d+)?", lambda number: f"Fraction('{number[0]}')", words), {"Fraction": Fraction})
    assert isinstance(found, Fraction)
    return found


def _results(said: str, digits: int) -> list[Fraction]:
    """Return what each step of an explanation comes to, after checking that it does."""
    found = []
    for step in said.split("; "):
        left, right = step.split(" = ")
        exact, _arrow, rounded = right.partition(" → ")
        shown = _value(exact.removesuffix("…"))
        away = abs(_value(left) - shown)
        assert away < Fraction(1, 10 ** (digits + 3)) if exact.endswith("…") else away == 0
        result = _value(rounded or exact)
        assert abs(result - _value(left)) < Fraction(1, 10**digits)
        found.append(result)
    return found


def _everything(totals: Totals, said: Explained) -> list[tuple[str, int]]:
    """Return each explanation with the figure that it has to end in, in minor units."""
    rows = zip(said.classes, totals.table, strict=True)
    return [
        *zip(said.lines, (each.net_minor for each in totals.lines), strict=True),
        *((words, each.tax_minor or 0) for words, each in zip(said.line_taxes, totals.lines, strict=False) if words),
        *((each.taxable, row.taxable_minor) for each, row in rows),
        *((each.tax, row.tax_minor) for each, row in zip(said.classes, totals.table, strict=True)),
        (said.sum, totals.sum_minor),
        (said.net, totals.net_minor),
        (said.taxable, totals.taxable_minor),
        (said.tax, totals.tax_minor),
        (said.total, totals.total_minor),
    ]


@given(a_quote(groups=False, needs=False), a_rule())
def test_every_explanation_is_right_and_ends_in_its_figure(lines: list[Line], rules: TaxRules) -> None:
    try:
        totals = price(lines, rules)
    except Refused:
        assume(False)
        return
    digits = minor_digits(rules.currency)
    # Discounts that together take everything may take less than their percentage at the end: the arrow says so.
    for words, minor in _everything(totals, explain(totals)):
        assert _results(words, digits)[-1] == Fraction(minor, 10**digits)
        assert "-" not in words
        assert "−0.00 " not in f"{words} "
