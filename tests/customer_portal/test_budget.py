"""What the page may cost at its largest: bytes, queries, and nothing from elsewhere."""

import gzip
import re
from pathlib import Path
from typing import Any

import pytest
from django.contrib.staticfiles.finders import find
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shop.core.actor import Actor
from shop.core.models import ShopProfile
from shop.floor.demo.pictures import photo
from shop.people.models import Customer
from shop.quotes import questions
from shop.quotes.models import QuoteVersion
from shop.quotes.operations import AddLine, Operation, SetNote
from shop.units import actions as units
from shop.units.models import Finding, Unit
from tests.customer_portal.conftest import filled, of, offer, phone_of
from tests.customer_portal.test_size import FIRST_FLIGHT_BYTES
from tests.screens.conftest import At
from tests.screens.query_counts import QUERY_COUNTS

MOST_QUERIES = 6
THINGS = (
    "Capacitor", "Voltage regulator", "Ribbon cable", "Cartridge slot", "Fuse", "Power switch", "Controller port",
    "Ceramic resonator", "Ferrite bead", "Heat sink", "Shield", "Coaxial jack", "Reset button", "Lens", "Belt", "Gear",
    "Foot", "Screw", "Label", "Battery holder",
)  # fmt: skip


def line(number: int, **more: Any) -> AddLine:
    thing = THINGS[number % len(THINGS)]
    return AddLine(
        kind="part", words=f"{thing} no. {number}", unit_minor=137 * number + 99, quantity=1 + number % 3,
        why=f"The {thing.lower()} of this board was measured at {number}.{number} ohms.", **more,
    )  # fmt: skip


LARGE: list[Operation] = [
    SetNote(text="We opened it and found more than you told us of. Please read the lines, each says why."),
    *(line(number) for number in range(1, 20)),
    *(line(number, optional=True, one_of="Case", taken=number == 20) for number in range(20, 23)),
    *(line(number, optional=True, one_of="Cable", may_skip=True) for number in range(23, 26)),
    *(line(number, optional=True) for number in range(26, 28)),
    AddLine(kind="surcharge", words="For urgent work", percent_millipercent=25_000),
    AddLine(kind="discount", words="For a regular", percent_millipercent=5_000),
]


@pytest.fixture
def large(unit_at: At, helper: Actor, technician: Actor) -> Unit:
    """20 lines, 8 options, two editions, terms that ask, pictures, questions, and another unit."""
    unit, _other = unit_at("intake"), unit_at("intake")
    ShopProfile.objects.update(
        tax_reduced_millipercent=4000, deposit_percent=30, terms_work="We mend with care. " * 8,
        terms_save_data="Save data may be lost. " * 6,
    )  # fmt: skip
    Finding.objects.create(unit=unit, kind=Finding.Kind.CORROSION, words="Below the battery")
    offer(helper, unit, line(1))
    offer(helper, unit, *LARGE)
    for seed, purpose in enumerate(("before", "after", "other")):
        kept = photo(technician, "case", seed)
        units.add_unit_photo(actor=technician, unit_id=unit.id, photo_id=kept.id, purpose=purpose)
    phone = phone_of(unit)
    for number in range(3):
        phone.post(of(unit, "question"), {"question": f"What about thing number {number}?"})
        questions.answer(actor=helper, question_id=questions.open_questions()[0].id, text=f"It is fine, the {number}.")
    return Unit.objects.get(pk=unit.pk)


def flight(page: bytes) -> int:
    """Bytes of a page and of its style, each compressed as the server sends it."""
    sheets = re.findall(r'<link rel="stylesheet" href="/static/([^"]+)"', page.decode())
    assert sheets
    return sum(len(gzip.compress(part)) for part in [page, *(Path(str(find(sheet))).read_bytes() for sheet in sheets)])


def count(phone: Client, address: str) -> int:
    with CaptureQueriesContext(connection) as caught:
        assert phone.get(address).status_code == 200
    return len(caught)


def test_the_largest_quote_fits_into_one_flight(large: Unit) -> None:
    page = phone_of(large).get(of(large)).content
    assert page.count(b'<input type="radio"') == 7
    assert flight(page) <= FIRST_FLIGHT_BYTES


@pytest.mark.parametrize("language", ["de", "fr"])
def test_it_fits_in_every_language(large: Unit, ada: Customer, language: str) -> None:
    page = phone_of(large).get(of(large), headers={"Accept-Language": language}).content
    assert f'lang="{language}"' in page.decode()
    assert flight(page) <= FIRST_FLIGHT_BYTES


def test_it_takes_six_queries_however_much_there_is(large: Unit) -> None:
    phone = phone_of(large)
    counted = {what: count(phone, of(large, what)) for what in ("", "part")}
    counted["entry"] = count(phone, "/c/")
    # The page as it was opened is another address, so another page; the second look at one asks what happened since.
    assert counted == {"": MOST_QUERIES, "part": MOST_QUERIES - 1, "entry": MOST_QUERIES}
    assert count(phone, of(large)) == 1
    assert MOST_QUERIES == QUERY_COUNTS["customer's page"] == QUERY_COUNTS["customer's page, its middle"] + 1


def test_reckoning_takes_no_more(large: Unit) -> None:
    phone = phone_of(large)
    form = filled(phone.get(of(large)), large)
    for what in ("reckon", "sums"):
        with CaptureQueriesContext(connection) as caught:
            assert phone.post(of(large, what), form).status_code == 200
        assert len(caught) <= MOST_QUERIES, what


def test_it_has_no_script_or_style_in_the_page_and_asks_nobody_else(large: Unit) -> None:
    answer = phone_of(large).get(of(large))
    page = answer.content.decode()
    assert not re.findall(r"<script(?![^>]*\bsrc=\"/)|<style|\bstyle=|\bon\w+=|javascript:|<iframe|@import", page)
    addresses = re.findall(r'(?:src|href|action|formaction|data-[\w-]+|content)="(https?:)?//', page)
    assert addresses == []
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "unsafe" not in policy
    assert "http" not in policy


def test_it_is_approved_at_that_size(large: Unit) -> None:
    phone = phone_of(large)
    page = phone.get(of(large))
    total = re.search(r'data-total="(\d+)"', page.content.decode())
    assert total is not None
    form = filled(page, large) | {"answer": "yes", "agreed": ["fragile"]}
    assert phone.post(of(large, "answer"), form).status_code == 303
    assert QuoteVersion.objects.get(unit=large, state="approved").decision.total_minor == int(total[1])
