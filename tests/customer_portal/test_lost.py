"""A lost link: whoever asks is told the same, and only the customer gets a message."""

import re
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.core.cache import cache
from django.db import connection
from django.test import Client
from django.test.utils import CaptureQueriesContext

from shop.core.actor import Actor
from shop.core.models import PersonalText
from shop.floor.flows import lost_link
from shop.floor.flows.pickup import revoke_link
from shop.floor.tasks import send_links
from shop.notices.models import Envelope, Notice
from shop.notices.rendering import render
from shop.people.models import Customer
from shop.units import links
from shop.units.models import Unit
from tests.customer_portal.conftest import token_for
from tests.screens.browsing import said
from tests.screens.conftest import At

KNOWN, UNKNOWN = "ada@post.example", "nobody@post.example"


@pytest.fixture
def unit(unit_at: At) -> Unit:
    unit = unit_at("intake")
    Notice.objects.all().delete()
    Envelope.objects.all().delete()
    return unit


def ask(email: str, client: Client | None = None) -> tuple[Any, int]:
    """Ask for the link of an address; the answer, and how many queries it took."""
    with CaptureQueriesContext(connection) as caught:
        answer = (client or Client()).post("/c/lost", {"email": email})
    return answer, len(caught)


def wishes() -> list[PersonalText]:
    return list(PersonalText.objects.filter(text__contains="@post.example"))


def work_off() -> int:
    """Let a worker do what was wished for."""
    return sum(lost_link.send_links(wish.pk) for wish in wishes())


def test_it_tells_a_stranger_nothing_by_words_or_by_work(unit: Unit) -> None:
    (known, known_queries), (unknown, unknown_queries) = ask(KNOWN), ask(UNKNOWN)
    assert known.status_code == unknown.status_code == 200
    assert known.content == unknown.content
    assert "If we know this address" in known.content.decode()
    assert known_queries == unknown_queries
    assert {name: value for name, value in known.headers.items() if name != "Set-Cookie"} == {
        name: value for name, value in unknown.headers.items() if name != "Set-Cookie"
    }
    assert not Notice.objects.exists()  # nothing is looked up before a worker does


def test_it_writes_only_to_who_is_known_there(unit: Unit) -> None:
    for email in (KNOWN, UNKNOWN, "ada@post.example.example"):
        ask(email)
    assert work_off() == 1
    notice = Notice.objects.get()
    assert (notice.event, notice.envelope.address) == ("link_renewed", KNOWN)
    assert token_for(unit) in render(notice.envelope).text


def test_it_opens_the_page_by_the_link_in_the_message(unit: Unit) -> None:
    ask(KNOWN)
    work_off()
    text = render(Envelope.objects.get()).text
    token = re.search(r"/c/([0-9a-f]{40})", text)
    assert token is not None
    assert Client().get(f"/c/{token[1]}").status_code == 303


def test_it_keeps_no_wish_once_it_is_dealt_with(unit: Unit) -> None:
    for email in (KNOWN, UNKNOWN):
        ask(email)
    kept = [wish.pk for wish in wishes()]
    assert len(kept) == 2
    work_off()
    assert [(wish.text, wish.erased_at is not None) for wish in PersonalText.objects.filter(pk__in=kept)] == [
        ("", True), ("", True)
    ]  # fmt: skip
    before = Notice.objects.count()
    for pk in kept:
        send_links(str(pk))
    assert Notice.objects.count() == before


def test_it_writes_once_in_ten_minutes_however_often_it_is_asked(unit: Unit, frozen: time_machine.Traveller) -> None:
    for _time in range(3):
        ask(KNOWN)
        work_off()
    assert Notice.objects.count() == 1
    frozen.shift(timedelta(minutes=lost_link.PAUSE_MIN))
    ask(KNOWN)
    work_off()
    assert Notice.objects.count() == 2


def test_it_reaches_each_customer_of_a_shared_address(unit: Unit, unit_at: At, bao: Customer) -> None:
    other = unit_at("intake")
    Unit.objects.filter(pk=other.pk).update(customer=bao)
    Customer.objects.filter(pk=bao.pk).update(email=KNOWN)
    Notice.objects.all().delete()
    ask(KNOWN)
    assert work_off() == 2


def test_it_sends_no_link_that_the_shop_withdrew(unit: Unit, owner: Actor) -> None:
    revoke_link(actor=owner, unit_id=unit.id)
    Notice.objects.all().delete()
    ask(KNOWN)
    assert work_off() == 0
    assert links.open_link(unit) is None


@pytest.mark.parametrize("email", ["", "nobody", "a@b@c.example", "ada@post.example\r\nBcc: x@y.example", "x" * 300])
def test_it_says_what_is_wrong_with_an_address_and_keeps_no_wish(unit: Unit, email: str) -> None:
    answer, _queries = ask(email)
    assert answer.status_code == 422
    assert said(answer)
    assert not wishes()


def test_it_slows_whoever_tries_many_addresses(unit: Unit) -> None:
    prober = Client()
    statuses = [ask(f"{number}@post.example", prober)[0].status_code for number in range(7)]
    assert statuses == [200] * 5 + [429] * 2
    assert len(wishes()) == 5
    assert ask(KNOWN, Client(REMOTE_ADDR="198.51.100.7"))[0].status_code == 200
    cache.clear()
    assert ask(KNOWN, prober)[0].status_code == 200


def test_it_wants_its_own_form(unit: Unit) -> None:
    phone = Client(enforce_csrf_checks=True)
    assert phone.post("/c/lost", {"email": KNOWN}).status_code == 403
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', phone.get("/c/lost").content.decode())
    assert token is not None
    assert phone.post("/c/lost", {"email": KNOWN, "csrfmiddlewaretoken": token[1]}).status_code == 200
