"""In German and French: each sentence of the customer's page, of its papers and messages, and the first view's size."""

import gzip
import html
import io
import re
from pathlib import Path

import pytest
import time_machine
from django.conf import settings
from django.contrib.staticfiles.finders import find
from django.test import Client
from pypdf import PdfReader

from shop.core.actor import Actor, Role
from shop.core.models import ShopProfile
from shop.floor.flows.quote import send_quote
from shop.notices import unsubscribing
from shop.notices.models import Envelope
from shop.notices.rendering import render
from shop.people.models import Customer
from shop.quotes.actions import change_quote, draft_quote
from shop.quotes.models import QuoteVersion
from shop.quotes.operations import AddLine
from shop.quotes.questions import answer as answer_question
from shop.quotes.questions import ask
from shop.units.models import Unit
from tests.customer_portal.conftest import of, phone_of
from tests.customer_portal.languages import FIRST_QUESTION, LANGUAGES, NARROW, english_in, page_of, texts_of
from tests.customer_portal.test_size import FIRST_FLIGHT_BYTES
from tests.screens.browsing import said
from tests.screens.conftest import At

STAGES = ("intake", "queue", "diagnosis", "diagnosed", "quoted", "approved", "work", "testing", "pickup", "left")


@pytest.fixture(params=LANGUAGES)
def language(request: pytest.FixtureRequest, ada: Customer) -> str:
    """A language that Ada chose, so that what is worded for her is in it."""
    Customer.objects.filter(pk=ada.pk).update(language=request.param)
    ada.refresh_from_db()
    return str(request.param)


@pytest.fixture
def quoted(unit_at: At, helper: Actor) -> Unit:
    """A unit whose second quote waits, with an option, a group of two, a discount, a share and a deposit."""
    ShopProfile.objects.update(deposit_percent=30, tax_rate_millipercent=8875)
    unit = unit_at("quoted")
    draft = draft_quote(actor=helper, unit_id=unit.id)
    lines = [
        AddLine(kind="labour", words="Polish", unit_minor=123450, optional=True, why="Scratches"),
        AddLine(kind="part", words="Feet", unit_minor=115, quantity=4, discount_millipercent=12500),
        AddLine(kind="part", words="Lid", unit_minor=0, source="customer"),
        AddLine(kind="labour", words="Grey", unit_minor=1000, optional=True, one_of="Paint", may_skip=True),
        AddLine(kind="labour", words="Amber", unit_minor=2000, optional=True, one_of="Paint", may_skip=True),
        AddLine(kind="surcharge", words="At once", percent_millipercent=25000),
    ]
    draft = change_quote(actor=helper, quote_id=draft.id, version=draft.version, operations=lines)
    send_quote(actor=helper, quote_id=draft.id, version=draft.version)
    return Unit.objects.get(pk=unit.pk)


def customer_of(unit: Unit) -> Actor:
    return Actor(role=Role.CUSTOMER, id=str(unit.links.get(revoked_at=None).id))


@pytest.mark.parametrize("stage", STAGES)
def test_no_sentence_of_the_page_is_english_at_any_stage(language: str, unit_at: At, stage: str) -> None:
    page = page_of(unit_at(stage), language)
    assert FIRST_QUESTION[language] in texts_of(page)
    assert english_in(page, language) == []


def test_english_would_be_found(unit_at: At) -> None:
    found = english_in(page_of(unit_at("quoted"), "en"), "de")
    expected = {
        "Where is it?",
        "Our quote",
        "%(total)s in all, as quoted below.",
        "The quote holds until %(day)s.",
        "bench",
    }
    assert expected <= set(found)
    assert len(found) > 30


def test_no_sentence_is_english_on_a_quote_with_all_that_it_can_have(language: str, quoted: Unit, owner: Actor) -> None:
    first = ask(actor=customer_of(quoted), unit_id=quoted.id, text="Garantie?")
    answer_question(actor=owner, question_id=first.id, text="Ja.")
    ask(actor=customer_of(quoted), unit_id=quoted.id, text="Porto?")
    page = page_of(quoted, language)
    assert english_in(page, language) == []
    assert {"de": "Nehmen oder weglassen", "fr": "À prendre ou à laisser"}[language] in page


@pytest.mark.parametrize("address", ["/c/announce", "/c/lost", "/c/check", "/c/check?hash=12", "/c/unit/9"])
def test_no_sentence_is_english_on_the_public_pages(language: str, client: Client, address: str) -> None:
    page = client.get(address, headers={"Accept-Language": language}).content.decode()
    assert f'<html lang="{language}">' in page
    assert len(texts_of(page)) > 4
    assert english_in(page, language) == []


def test_no_sentence_is_english_once_a_parcel_is_announced(language: str, client: Client) -> None:
    typed = {"name": "Noor de Wit", "email": "noor@post.example", "device": "Lantern", "complaint": "Brummt"}
    page = client.post("/c/announce", typed, headers={"Accept-Language": language}).content.decode()
    assert english_in(page, language) == []
    assert {"de": "Achtung", "fr": "Attention"}[language] in texts_of(page)
    envelope = Envelope.objects.get()
    assert envelope.language == language
    assert english_in(render(envelope).html, language) == []


def test_no_sentence_is_english_where_messages_are_stopped(language: str, client: Client, ada: Customer) -> None:
    browser = {"Accept-Language": language}
    address = unsubscribing.address_for(ada.id, unsubscribing.ALL).removeprefix(settings.SHOP_ADDRESS)
    page = client.get(address, headers=browser).content.decode()
    assert {"de": "Diese abbestellen", "fr": "Arrêter ces messages"}[language] in texts_of(page)
    stopped = client.post(address, {"stop": ["progress", "dates", "reminders"]}, headers=browser, follow=True)
    assert {"de": "Diese Nachrichten sind abbestellt.", "fr": "Ces messages sont arrêtés."}[
        language
    ] in stopped.content.decode()
    assert english_in(page + stopped.content.decode(), language) == []


def test_the_reckoning_has_the_readers_decimal_sign(language: str, quoted: Unit) -> None:
    page = html.unescape(page_of(quoted, language))
    reckoned = re.search(r'<div class="small figure-list[^>]*>(.*?)</div>', page, re.DOTALL)
    assert reckoned
    colon = {"de": ":", "fr": f"{NARROW}:"}[language]
    assert f"Feet{colon} 4 × 1,15 = 4,60; 12,5 % × 4,60 = 0,575 → 0,58; 4,60 − 0,58 = 4,02" in reckoned[1]
    assert not re.search(r"\d\.\d", reckoned[1])


def test_its_refusals_are_in_the_language(language: str, unit_at: At, frozen: time_machine.Traveller) -> None:
    unit = unit_at("quoted")
    phone, browser = phone_of(unit), {"Accept-Language": language}
    answer = phone.post(of(unit, "question"), {"question": " "}, headers=browser)
    assert answer.status_code == 422
    empty = {"de": "Die Frage ist leer. Bitte füllen Sie das Feld aus.",
             "fr": f"La question{NARROW}: ce champ est vide. Veuillez le remplir."}  # fmt: skip
    assert said(answer) == empty[language]
    quote = QuoteVersion.objects.get(unit=unit)
    QuoteVersion.objects.filter(pk=quote.pk).update(valid_until="2026-03-07")
    late = phone.post(
        of(unit, "answer"), {"quote": quote.id, "shown": quote.content_sha256, "answer": "yes"}, headers=browser
    )
    assert {"de": "galt bis 07.03.2026.", "fr": "jusqu’au 7 mars 2026."}[language] in said(late)
    assert english_in(late.content.decode(), language) == []


def test_a_message_is_in_the_customers_language(language: str, unit_at: At) -> None:
    unit_at("quoted")
    envelope = Envelope.objects.filter(notices__event="quote_ready").get()
    message = render(envelope)
    assert (
        message.subject
        == {
            "de": "Der Kostenvoranschlag für Ihr Gerät Quillon Lantern ist da",
            "fr": "Le devis pour votre appareil Quillon Lantern est arrivé",
        }[language]
    )
    assert f'<html lang="{language}">' in message.html
    assert {"de": "Guten Tag Ada Kowalczyk,", "fr": "Bonjour Ada Kowalczyk,"}[language] in message.text
    assert english_in(message.html, language) == []
    assert re.search(r"\d,\d\d", message.text)


def test_what_the_shop_writes_by_itself_on_a_quote_is_in_the_customers_language(
    language: str, unit_at: At, helper: Actor
) -> None:
    ShopProfile.objects.update(fee_credited=False)
    unit = unit_at("diagnosed")
    Unit.objects.filter(pk=unit.pk).update(by_mail=True)
    draft = draft_quote(actor=helper, unit_id=unit.id, postage_minor=900)
    words = set(draft.lines.values_list("words", flat=True))
    assert {"de": {"Diagnosepauschale", "Rückporto"}, "fr": {"Forfait de diagnostic", "Frais de retour"}}[
        language
    ] <= words


def test_a_receipt_is_written_for_its_reader(language: str, unit_at: At) -> None:
    unit = unit_at("left")
    file = phone_of(unit).get(of(unit, "receipt"), headers={"Accept-Language": language}).content
    reader = PdfReader(io.BytesIO(file))
    text = " ".join(reader.pages[0].extract_text().split())
    wanted = {"de": ("Rechnung 1", "Menge", "Quittung Nr.", "Gesamt"), "fr": ("Facture 1", "Quantité", "Désignation")}
    assert [words for words in wanted[language] if words not in text] == []
    assert re.search(r"\d,\d\d\s\$", text)
    assert not re.search(r"\d\.\d\d|Invoice|Quantity|Amount", text)
    assert float(reader.pages[0].mediabox.width) == 612  # the shop's paper: Letter


@pytest.mark.parametrize("stage", ["intake", "quoted", "work", "pickup", "left"])
def test_the_first_view_fits_into_one_flight_in_each_language(language: str, unit_at: At, stage: str) -> None:
    assert _first_view(page_of(unit_at(stage), language)) <= FIRST_FLIGHT_BYTES


def test_the_first_view_of_a_long_quote_fits_in_each_language(language: str, quoted: Unit) -> None:
    assert _first_view(page_of(quoted, language)) <= FIRST_FLIGHT_BYTES


def _first_view(page: str) -> int:
    """The bytes of a page and its style, compressed."""
    sheets = re.findall(r'<link rel="stylesheet" href="/static/([^"]+)"', page)
    assert sheets
    files = [Path(str(find(sheet))).read_bytes() for sheet in sheets]
    return sum(len(gzip.compress(part)) for part in [page.encode(), *files])
