"""Evidence of decisions for the property tests of papers: any lines, options, rates and words."""

from typing import Any

from hypothesis import strategies as st

from shop.ledger.tax import TaxRules
from shop.quotes import content as contents
from shop.quotes import pricing
from shop.quotes.lines import Line
from shop.quotes.paper_sheet import Circumstances
from tests.quotes.drawn import a_quote, a_rule, allowed_choices, refusal

WORDS = st.text(st.characters(exclude_categories=["Cs"]), max_size=60)
LONG = st.one_of(WORDS, st.just("Wörterbuchlang" * 40), st.just("王小明 😀 يوسف\n" * 30))
ABOUT = Circumstances(
    by_role="customer",
    address="198.51.100.9",
    agent="A phone 1.0",
    zone="America/New_York",
    locale="en_US",
    check_at="http://shop.test/c/check",
)
ANSWERS = ("approved", "declined", "within_limit")


def said(line: Line, place: int, why: str) -> dict[str, Any]:
    """A line as a content holds it."""
    told = {name: getattr(line, name) for name in contents._PRICED}
    source = ("shop", "customer", "harvested")[place % 3] if line.kind == "part" else "shop"
    return told | {
        "id": f"line-{place}", "key": f"key-{place}", "tax_class": line.tax_class.value, "net_minor": line.net_minor,
        "why": why, "source": source, "donor": "0007" if source == "harvested" else "",
    }  # fmt: skip


def content_with(lines: list[Line], rules: TaxRules, words: str, **more: Any) -> dict[str, Any]:
    """What an edition says, as `content.content_of` would, without a database."""
    shop = {"name": "Brandt & Daughter", "street": "4 Ropewalk", "town": "Saltmarsh"}
    return {
        "form": contents.FORM, "shop": shop | {"email": "desk@brandt.example", "phone": "+12025550143"},
        "unit": "0042", "model": "Quillon Lantern", "quote": "00000000-0000-4000-8000-000000000042", "edition": 2,
        "currency": rules.currency, "tax_name": "Sales tax", "tax_rate_millipercent": rules.standard_millipercent,
        "tax_reduced_millipercent": rules.reduced_millipercent, "prices_include_tax": rules.inclusive,
        "tax_basis": rules.basis.value, "tax_rounding": rules.rounding.value, "note": words, "why_changed": words,
        "terms": [{"code": "work", "words": words, "asks": False}, {"code": "fragile", "words": words, "asks": True}],
        "valid_until": "2026-03-24", "lines": [said(line, place, words) for place, line in enumerate(lines)],
        "totals": {}, "deposit": {"percent": 30, "from_minor": 0}, "fee_if_declined_total_minor": 2700,
    } | more  # fmt: skip


def evidence_of(content: dict[str, Any], kind: str, choice: frozenset[str], rules: TaxRules) -> str:
    """The evidence of an answer to a content, as it is stored."""
    known = contents.lines_in(content)
    lines = known if kind == "declined" else pricing.choose(known, choice)
    declined = kind == "declined"
    return contents.answer(
        content,
        kind=kind,
        taken=[] if declined else [each["id"] for each in content["lines"] if each["option"] in choice],
        agreed=[] if declined else ["fragile"],
        totals=pricing.price(lines, rules),
        decided_at="2026-03-10T09:00:00.123456+00:00",
    )


@st.composite
def an_evidence(draw: st.DrawFn) -> str:
    """Draw the stored evidence of an answer that the shop would have taken."""
    rules = draw(a_rule())
    lines = draw(a_quote().filter(lambda lines: lines and allowed_choices(lines)))
    kind = draw(st.sampled_from(ANSWERS))
    choice = draw(st.sampled_from(allowed_choices(lines)))
    content = content_with(lines, rules, draw(LONG))
    if refusal(evidence_of, content, kind, choice, rules):
        kind, content = "approved", content_with([Line("Recap", "labour", 1, 6000)], rules, draw(LONG))
        choice = frozenset()
    return evidence_of(content, kind, choice, rules)
