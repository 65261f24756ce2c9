"""The language that a customer chooses on the page: kept on the phone, and for the messages."""

import re

from django.conf import settings

from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.notices.models import Envelope
from shop.people.models import Customer
from tests.customer_portal.conftest import of, offer, phone_of
from tests.screens.conftest import At


def language_of(page: bytes) -> str:
    found = re.search(rb'<html lang="([^"]+)"', page)
    assert found is not None
    return found[1].decode()


def test_it_is_kept_for_the_page_and_for_the_messages(unit_at: At, ada: Customer, bao: Customer, helper: Actor) -> None:
    unit = unit_at("intake")
    phone = phone_of(unit)
    answer = phone.post(of(unit, "language"), {"language": "de"})
    assert (answer.status_code, answer.headers["Location"]) == (303, "/c/")
    cookie = answer.cookies[settings.LANGUAGE_COOKIE_NAME]
    assert (cookie.value, cookie["httponly"], cookie["samesite"]) == ("de", True, "Lax")
    assert language_of(phone.get(of(unit)).content) == "de"
    assert Customer.objects.get(pk=ada.pk).language == "de"
    assert Customer.objects.get(pk=bao.pk).language != "de"
    assert TrailEntry.objects.filter(subject_id=ada.pk, what="customer_changed").count() == 1
    offer(helper, unit)
    assert Envelope.objects.order_by("-created_at")[0].language == "de"


def test_it_changes_nothing_for_a_language_that_the_shop_does_not_speak(unit_at: At, ada: Customer) -> None:
    unit = unit_at("intake")
    phone = phone_of(unit)
    before = Customer.objects.get(pk=ada.pk).language
    for odd in ("xx", "", "de'--", "../de", "DE "):
        answer = phone.post(of(unit, "language"), {"language": odd})
        assert answer.status_code == 303
        assert settings.LANGUAGE_COOKIE_NAME not in answer.cookies
    assert Customer.objects.get(pk=ada.pk).language == before


def test_it_comes_back_to_the_unit_that_was_looked_at(unit_at: At) -> None:
    first, second = unit_at("intake"), unit_at("intake")
    phone = phone_of(first)
    page = phone.get(of(second)).content.decode()
    assert f'action="{of(second, "language")}"' in page
    assert phone.post(of(second, "language"), {"language": "fr"}).headers["Location"] == of(second)
