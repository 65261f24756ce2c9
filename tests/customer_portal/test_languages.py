"""Who chooses the language of the customer's page, and how each writes days, amounts and numbers of things."""

import re
from datetime import date, timedelta

import pytest
import time_machine
from django.conf import settings
from django.utils import translation

from shop.core.actor import Actor
from shop.core.models import ShopProfile, TrailEntry
from shop.floor.customer_words import present_step
from shop.floor.flows.quote import send_quote
from shop.floor.story import long_day
from shop.people.models import Customer, User
from shop.quotes.actions import change_quote, draft_quote
from shop.quotes.models import QuoteVersion
from shop.quotes.operations import AddLine
from shop.units.models import Stage, Unit
from shop.work import outline
from tests.customer_portal.conftest import of, phone_of
from tests.customer_portal.languages import FIRST_QUESTION, NARROW, NBSP, page_of, texts_of
from tests.screens.conftest import At, browser_of


@pytest.mark.parametrize(
    ("browser", "spoken"),
    [
        ("de-AT", "de"), ("fr-CH, fr;q=0.9, en;q=0.8", "fr"), ("nl, de;q=0.5", "de"), ("nl", "en"), ("en-GB, de", "en"),
        ("ar", "en"), ("he, fr;q=0.1", "fr"), ("", "en"), ("*", "en"), ("de_\x00;;q=x", "en"),
    ],
)  # fmt: skip
def test_it_speaks_the_first_of_the_browsers_languages_that_it_knows(unit_at: At, browser: str, spoken: str) -> None:
    answer = phone_of(unit_at("queue")).get("/c/", headers={"Accept-Language": browser})
    page = answer.content.decode()
    assert f'<html lang="{spoken}">' in page
    assert FIRST_QUESTION[spoken] in texts_of(page)
    assert answer.headers["Content-Language"] == spoken
    assert re.findall(r'value="(\w\w)" lang="\1" aria-pressed="true"', page) == [spoken]


def test_the_language_chosen_on_the_page_beats_the_browsers(unit_at: At, ada: Customer) -> None:
    unit = unit_at("queue")
    phone, german = phone_of(unit), {"Accept-Language": "de"}
    assert FIRST_QUESTION["de"] in texts_of(phone.get("/c/", headers=german).content.decode())
    answer = phone.post("/c/language", {"language": "fr"}, headers=german)
    assert (answer.status_code, answer.headers["Location"]) == (303, "/c/")
    assert FIRST_QUESTION["fr"] in texts_of(phone.get("/c/", headers=german).content.decode())
    assert FIRST_QUESTION["fr"] in texts_of(phone.get(of(unit, "part"), headers=german).content.decode())
    ada.refresh_from_db()
    assert ada.language == "fr"
    assert FIRST_QUESTION["de"] in texts_of(page_of(unit, "de"))  # another phone of hers


@pytest.mark.parametrize("odd", ["ar", "xx", "", "de-AT", "../de", "de\0"])
def test_it_keeps_no_language_that_it_does_not_speak(unit_at: At, ada: Customer, odd: str) -> None:
    phone = phone_of(unit_at("queue"))
    assert phone.post("/c/language", {"language": odd}).status_code in (303, 400)
    assert settings.LANGUAGE_COOKIE_NAME not in phone.cookies
    ada.refresh_from_db()
    assert ada.language == "en"


def test_it_offers_no_language_that_reads_from_the_right(unit_at: At) -> None:
    page = page_of(unit_at("queue"), "ar, he, fa")
    assert re.findall(r'name="language" value="(\w+)"', page) == ["en", "de", "fr"]
    assert "dir=" not in page


def test_the_staffs_pages_stay_english_for_whoever_has_a_german_browser(unit_at: At, ottilie: User) -> None:
    unit, as_owner = unit_at("quoted"), browser_of(ottilie)
    as_owner.cookies[settings.LANGUAGE_COOKIE_NAME] = "de"
    for address in ("/", f"/units/{unit.number}", "/counter", "/shop"):
        answer = as_owner.get(address, headers={"Accept-Language": "de"})
        assert answer.status_code == 200
        assert (answer.headers["Content-Language"], '<html lang="en"' in answer.content.decode()) == ("en", True)
    assert "Kostenvoranschlag" not in as_owner.get(f"/units/{unit.number}").content.decode()


@pytest.mark.parametrize(
    ("locale", "currency", "browser", "amount", "rate", "day"),
    [
        # TX-16 and TX-18 as the page writes them, by Babel 2.18.0.
        ("en-US", "USD", "en", "$1,234.50", "8.875%", "Mar 21, 2026"),
        ("de-DE", "EUR", "de", f"1.234,50{NBSP}€", f"8,875{NBSP}%", "21.03.2026"),
        ("fr-FR", "EUR", "fr", f"1{NARROW}234,50{NBSP}€", f"8,875{NBSP}%", "21 mars 2026"),
        ("de-CH", "CHF", "de", f"CHF{NBSP}1’234.50", "8.875%", "21.03.2026"),
        # A reader from elsewhere: the language as it is written where the shop is, or the language alone.
        ("de-CH", "CHF", "fr", f"1{NARROW}234,50{NBSP}CHF", "8,875%", "21 mars 2026"),
        ("en-US", "USD", "de", f"1.234,50{NBSP}$", f"8,875{NBSP}%", "21.03.2026"),
        ("en-US", "USD", "fr", f"1{NARROW}234,50{NBSP}$US", f"8,875{NBSP}%", "21 mars 2026"),
    ],
)
def test_amounts_rates_and_days_are_written_as_the_reader_does(
    shop: ShopProfile, unit_at: At, helper: Actor, frozen: time_machine.Traveller,
    locale: str, currency: str, browser: str, amount: str, rate: str, day: str,
) -> None:  # fmt: skip
    ShopProfile.objects.update(locale=locale, currency=currency, tax_rate_millipercent=8875)
    unit = unit_at("diagnosed")
    draft = draft_quote(actor=helper, unit_id=unit.id)
    big = AddLine(kind="labour", words="Case", unit_minor=123450)
    draft = change_quote(actor=helper, quote_id=draft.id, version=draft.version, operations=[big])
    send_quote(actor=helper, quote_id=draft.id, version=draft.version)
    QuoteVersion.objects.filter(pk=draft.pk).update(valid_until="2026-03-21")
    texts = texts_of(page_of(unit, browser))
    assert amount in texts
    assert [text for text in texts if text.endswith(rate)]
    assert [text for text in texts if day in text]


@pytest.mark.parametrize(
    ("locale", "text"),
    [
        ("en-US", "Friday, November 27"), ("en-GB", "Friday 27 November"), ("de", "Freitag, 27. November"),
        ("fr", "vendredi 27 novembre"), ("pt-BR", "sexta-feira, 27 de novembro"), ("ja", "11月27日金曜日"),
    ],
)  # fmt: skip
def test_a_promised_day_is_written_out(locale: str, text: str) -> None:
    """Where a locale has no long pattern of its own its short one is widened, as UTS 35 says."""
    assert long_day(date(2026, 11, 27), locale) == text


@pytest.mark.parametrize(
    ("language", "one", "two"),
    [
        ("en", "Now: being cleaned. 0 of 1 step is done.", "Now: being cleaned. 1 of 2 steps are done."),
        (
            "de", "Jetzt: wird gereinigt. 0 von 1 Schritt ist erledigt.",
            "Jetzt: wird gereinigt. 1 von 2 Schritten sind erledigt.",
        ),
        (
            "fr", f"En ce moment{NARROW}: nettoyage. 0 étape sur 1 est faite.",
            f"En ce moment{NARROW}: nettoyage. Étapes faites{NARROW}: 1 sur 2.",
        ),
    ],
)  # fmt: skip
def test_it_counts_steps_in_the_languages_plural(language: str, one: str, two: str) -> None:
    unit = Unit(stage=Stage.BENCH)
    with translation.override(language):
        assert present_step(unit, outline.CLEAN, 0, 1) == one
        assert present_step(unit, outline.CLEAN, 1, 2) == two


@pytest.mark.parametrize(
    ("language", "days", "words"),
    [("de", 1, "vor 1 Tag"), ("de", 2, "vor 2 Tagen"), ("fr", 1, "il y a 1 jour"), ("fr", 2, "il y a 2 jours")],
)
def test_it_says_how_long_ago(
    unit_at: At, frozen: time_machine.Traveller, language: str, days: int, words: str
) -> None:
    unit = unit_at("queue")
    phone = phone_of(unit)
    last_change = TrailEntry.objects.filter(subject_id=unit.id).latest("seq").recorded_at
    frozen.move_to(last_change + timedelta(days=days, hours=1))
    page = phone.get("/c/", headers={"Accept-Language": language}).content.decode()
    last = next(text for text in texts_of(page) if text.startswith(("Letzte", "Dernier")))
    assert last.endswith(f", {words}.")
