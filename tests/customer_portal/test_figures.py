"""Every figure on the page is the one that the pricing gives, whatever the shop elected and whoever reads."""

import html
import re
from itertools import product
from typing import Any

import pytest
import time_machine
from django.test import Client

from shop.core.actor import Actor
from shop.core.models import ShopProfile
from shop.core.money import Rounding, show
from shop.floor.flows.quote import send_quote
from shop.ledger.tax import Basis, TaxClass, TaxRules
from shop.people.customer_actions import change_customer
from shop.people.models import Customer
from shop.quotes.actions import change_quote, draft_quote
from shop.quotes.lines import Line, Totals
from shop.quotes.models import Decision, QuoteVersion
from shop.quotes.operations import AddLine, ChangeLine, RemoveLine, SetReason
from shop.quotes.pricing import price
from shop.units.models import Unit
from tests.customer_portal.conftest import filled, of, offer, phone_of
from tests.screens.conftest import At

GIVEN: list[dict[str, Any]] = [
    {"kind": "part", "words": "Fuse", "quantity": 3, "unit_minor": 3333, "discount_millipercent": 12_500},
    {"kind": "part", "words": "Handbook", "unit_minor": 1299, "tax_class": "reduced"},
    {"kind": "part", "words": "Stamps", "unit_minor": 105, "tax_class": "none"},
    {"kind": "surcharge", "words": "Urgent", "percent_millipercent": 50_000},
    {"kind": "discount", "words": "For a regular", "percent_millipercent": 7_000},
    {"kind": "discount", "words": "For the wait", "unit_minor": 250},
]


def known(given: dict[str, Any]) -> Line:
    facts = {"quantity": 1, "unit_minor": 0} | given | {"tax_class": TaxClass(given.get("tax_class", "standard"))}
    if given["kind"] == "discount":
        facts["unit_minor"] = -facts["unit_minor"]
    return Line(**facts)


LINES = [Line(words="Recap", kind="labour", quantity=1, unit_minor=6000), *map(known, GIVEN)]


def elect(rate: int, inclusive: bool, basis: Basis, currency: str, rounding: Rounding = Rounding.HALF_UP) -> TaxRules:
    """Let the shop elect how tax is reckoned."""
    ShopProfile.objects.update(
        tax_rate_millipercent=rate, tax_reduced_millipercent=rate // 2, prices_include_tax=inclusive,
        tax_basis=basis, tax_rounding=rounding, currency=currency,
    )  # fmt: skip
    return TaxRules(rate, rate // 2, currency, inclusive, basis, rounding)


def amounts(page: str) -> list[str]:
    """The right-hand column of the quote, from the first line to the deposit."""
    return [html.unescape(found) for found in re.findall(r'<td class="n"[^>]*>([^<]*)</td>', page)]


def expected(totals: Totals, locale: str = "en_US") -> list[str]:
    nets = [line.net_minor for line in totals.lines]
    taxes = [row.tax_minor for row in totals.table if row.rate_millipercent]
    return [show(minor, totals.currency, locale) for minor in (*nets, *taxes, totals.total_minor)]


def page_of(phone: Client, unit: Unit, **headers: str) -> str:
    return str(phone.get(of(unit), headers=headers).content.decode())


def test_its_figures_are_those_of_the_pricing_in_every_election(unit_at: At, helper: Actor) -> None:
    unit = unit_at("intake")
    phone = phone_of(unit)
    operations: list[AddLine] = [AddLine(**given) for given in GIVEN]
    elections = product((0, 8000, 8875, 19_000), (False, True), Basis, ("USD", "JPY", "KWD"))
    for rate, inclusive, basis, currency in elections:
        rules = elect(rate, inclusive, basis, currency)
        quote = offer(helper, unit, *operations)
        operations = []  # the next edition has them from this one
        totals, page = price(LINES, rules), page_of(phone, unit)
        assert amounts(page) == expected(totals), rules
        assert f'data-total="{totals.total_minor}"' in page
        assert quote.currency == currency


def test_it_reckons_a_rate_of_eight_and_seven_eighths_to_the_cent(unit_at: At, helper: Actor) -> None:
    elect(8875, False, Basis.DOCUMENT, "USD")
    unit = unit_at("intake")
    offer(helper, unit)
    page = page_of(phone_of(unit), unit)
    # 60.00 × 8.875 % = 5.325, which rounds half up to 5.33.
    assert amounts(page) == ["$60.00", "$5.33", "$65.33"]
    assert "Sales tax 8.875%" in page
    assert "8.875 % × 60.00 = 5.325 → 5.33" in page


def test_it_shows_a_quote_that_a_discount_of_a_hundred_per_cent_makes_free(unit_at: At, helper: Actor) -> None:
    unit = unit_at("intake")
    phone = phone_of(unit)
    quote = offer(helper, unit, AddLine(kind="discount", words="On the house", percent_millipercent=100_000))
    page = phone.get(of(unit))
    assert amounts(page.content.decode()) == ["$60.00", "-$60.00", "$0.00", "$0.00"]
    assert phone.post(of(unit, "answer"), filled(page, unit) | {"answer": "yes"}).status_code == 303
    assert Decision.objects.get(quote=quote).total_minor == 0
    after = page_of(phone, unit)
    assert ">Pay<" not in after
    assert "deposit" not in after


def test_it_takes_a_discount_of_a_line_off_that_line(unit_at: At, helper: Actor) -> None:
    unit = unit_at("intake")
    quote = offer(helper, unit)
    line = quote.lines.get()
    # A new edition's lines are copies, known by their key.
    draft = offer(helper, unit, AddLine(kind="part", words="Knob", unit_minor=999, discount_millipercent=100_000))
    assert draft.lines.get(key=line.key).unit_minor == 6000
    page = page_of(phone_of(unit), unit)
    assert amounts(page)[:2] == ["$60.00", "$0.00"]
    assert "100% off" in page


@pytest.mark.parametrize(
    ("language", "locale"), [("de", "de"), ("fr-CA, de;q=0.5", "fr"), ("en-GB", "en_US"), ("xx", "en_US")]
)
def test_it_writes_amounts_as_the_reader_does(unit_at: At, helper: Actor, language: str, locale: str) -> None:
    unit = unit_at("intake")
    offer(helper, unit, AddLine(kind="part", words="Tube", unit_minor=123_456))
    totals = price([Line("Recap", "labour", 1, 6000), Line("Tube", "part", 1, 123_456)], TaxRules(8000, 0, "USD"))
    phone = phone_of(unit)
    page = phone.get(of(unit), headers={"Accept-Language": language})
    assert amounts(page.content.decode()) == expected(totals, locale)
    form = filled(page, unit)
    phone.post(of(unit, "answer"), form | {"answer": "yes"}, headers={"Accept-Language": language})
    assert Decision.objects.get().total_minor == totals.total_minor


def test_it_writes_times_in_the_customers_zone(
    unit_at: At, ada: Customer, helper: Actor, frozen: time_machine.Traveller
) -> None:
    """Written up at 09:00 UTC: 16:00 in Ho Chi Minh City, 04:00 in New York, where the shop stands."""
    unit = unit_at("intake")
    phone = phone_of(unit)
    assert "Sat, Mar 7 4:00\u202fAM" in page_of(phone, unit)
    change_customer(actor=helper, customer_id=ada.id, version=ada.version, time_zone="Asia/Ho_Chi_Minh")
    assert "Sat, Mar 7 4:00\u202fPM" in page_of(phone, unit)


def test_it_lists_line_by_line_what_a_new_edition_changes_and_why(unit_at: At, helper: Actor) -> None:
    unit = unit_at("intake")
    phone = phone_of(unit)
    first = offer(
        helper, unit,
        AddLine(kind="part", words="Fan", unit_minor=1200, why="The old one rattles."),
        AddLine(kind="part", words="Knob", unit_minor=300),
    )  # fmt: skip
    assert "What has changed" not in page_of(phone, unit)
    draft = draft_quote(actor=helper, unit_id=unit.id)
    fan, knob = draft.lines.get(words="Fan"), draft.lines.get(words="Knob")
    draft = change_quote(
        actor=helper, quote_id=draft.id, version=draft.version,
        operations=[
            ChangeLine(line_id=fan.id, unit_minor=1500, why="The maker's price rose."),
            RemoveLine(line_id=knob.id),
            AddLine(kind="part", words="Cracked <hinge>", unit_minor=450, why="Seen when it was opened."),
            SetReason(text="We found a cracked hinge."),
        ],
    )  # fmt: skip
    send_quote(actor=helper, quote_id=draft.id, version=draft.version)
    page = html.unescape(re.sub(r"<(?!hinge)[^>]+>", " ", page_of(phone, unit)))
    told = " ".join(page.split())
    for sentence in (
        f"What has changed since edition {first.edition}", "We found a cracked hinge.",
        "Changed: Fan, from $12.00 to $15.00. The maker's price rose.",
        "New: Cracked <hinge>, $4.50. Seen when it was opened.", "No longer there: Knob, $3.00",
    ):  # fmt: skip
        assert sentence in told, sentence
    assert "Recap, from" not in told
    assert QuoteVersion.objects.get(pk=first.pk).state == "replaced"
