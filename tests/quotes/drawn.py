"""Lines and rules for the property tests of pricing, of every kind that the shop can write."""

from itertools import chain, combinations

from hypothesis import strategies as st

from shop.core.money import Rounding
from shop.core.reasons import Refused
from shop.ledger.tax import Basis, TaxClass, TaxRules
from shop.quotes.choices import check_choice, options
from shop.quotes.lines import Line

CHARGES = ("labour", "part", "postage", "insurance", "fee", "surcharge")
AMOUNTS = st.one_of(st.integers(0, 60), st.integers(0, 10**6))
RATES = st.one_of(st.integers(0, 30_000), st.just(8875), st.integers(0, 1_000_000))
CURRENCIES = st.sampled_from(["JPY", "USD", "KWD", "CLF"])


@st.composite
def a_rule(draw: st.DrawFn, **fixed: object) -> TaxRules:
    told = {
        "standard_millipercent": draw(RATES),
        "reduced_millipercent": draw(RATES),
        "currency": draw(CURRENCIES),
        "inclusive": draw(st.booleans()),
        "basis": draw(st.sampled_from(Basis)),
        "rounding": draw(st.sampled_from(Rounding)),
    }
    return TaxRules(**(told | fixed))


@st.composite
def a_charge(draw: st.DrawFn, **fixed: object) -> Line:
    quantity, unit = draw(st.integers(1, 20)), draw(AMOUNTS)
    off = draw(st.sampled_from(["", "", "share", "amount"]))
    told = {
        "words": "work",
        "kind": draw(st.sampled_from(CHARGES)),
        "quantity": quantity,
        "unit_minor": unit,
        "tax_class": draw(st.sampled_from(TaxClass)),
        "discount_millipercent": draw(st.integers(0, 100_000)) if off == "share" else 0,
        "discount_minor": draw(st.integers(0, quantity * unit)) if off == "amount" else 0,
    }
    return Line(**(told | fixed))


@st.composite
def a_deduction(draw: st.DrawFn, **fixed: object) -> Line:
    told = {
        "words": "less",
        "kind": draw(st.sampled_from(["discount", "credit"])),
        "quantity": draw(st.integers(1, 3)),
        "unit_minor": -draw(st.integers(0, 3000)),
        "tax_class": draw(st.sampled_from(TaxClass)),
    }
    return Line(**(told | fixed))


@st.composite
def a_share(draw: st.DrawFn, **fixed: object) -> Line:
    kind = draw(st.sampled_from(["discount", "surcharge"]))
    most = 60_000 if kind == "discount" else 200_000
    told = {"words": "share", "kind": kind, "quantity": 1, "unit_minor": 0}
    told["percent_millipercent"] = draw(st.integers(1, most))
    return Line(**(told | fixed))  # type: ignore[arg-type]


@st.composite
def a_quote(draw: st.DrawFn, groups: bool = True, needs: bool = True, shares: bool = True) -> list[Line]:
    """Draw lines, among them options that are one of several or need another."""
    names = "abcde"
    grouped = {name: draw(st.sampled_from(["", "", "must", "may"])) if groups else "" for name in names}
    needed = {name: draw(st.sampled_from(["", "", *names])) if needs else "" for name in names}
    lines = []
    for _ in range(draw(st.integers(0, 9))):
        name = draw(st.sampled_from(["", "", *names]))
        told: dict[str, object] = {}
        if name:
            group = grouped[name]
            told = {"optional": True, "option": name, "taken": draw(st.booleans()), "one_of": group}
            told |= {"may_skip": group == "may", "needs": needed[name] if needed[name] != name else ""}
        of_line = [a_charge, a_charge, a_charge, a_deduction, *([a_share] if shares else [])]
        lines.append(draw(draw(st.sampled_from(of_line))(**told)))
    return lines


def allowed_choices(lines: list[Line]) -> list[frozenset[str]]:
    """Return every choice that is allowed, by trying all of them."""
    names = list(options(lines))
    every = chain.from_iterable(combinations(names, count) for count in range(len(names) + 1))
    return [frozenset(choice) for choice in every if refusal(check_choice, lines, choice) == ""]


def refusal(judge: object, *given: object) -> str:
    """Return the code that a function refuses with, or an empty word."""
    try:
        judge(*given)  # type: ignore[operator]
    except Refused as refused:
        return refused.code
    return ""
