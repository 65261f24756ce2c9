"""The private link: exchanged once, withdrawn, guessed, and worth nothing for anybody else's unit."""

import logging
import secrets
from collections.abc import Iterator
from datetime import timedelta

import pytest
import time_machine
from django.conf import settings
from django.test import Client
from pytest_django import Settings

from shop.core.actor import Actor
from shop.core.models import ShopProfile
from shop.floor.flows.pickup import renew_link, revoke_link
from shop.people.models import Customer
from shop.units import links
from shop.units.models import Unit, UnitPhoto
from tests.customer_portal.conftest import of, phone_of, token_for
from tests.screens.conftest import At


class Lines(logging.Handler):
    """Keeps every line that anything logs."""

    def __init__(self) -> None:
        super().__init__(logging.DEBUG)
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append(self.format(record))


@pytest.fixture
def log() -> Iterator[list[str]]:
    lines, loggers = Lines(), [logging.getLogger(), logging.getLogger("wickline")]
    for logger in loggers:
        logger.addHandler(lines)
    yield lines.said
    for logger in loggers:
        logger.removeHandler(lines)


def test_it_exchanges_the_secret_for_a_cookie_so_that_the_address_no_longer_bears_it(unit_at: At) -> None:
    unit = unit_at("quoted")
    token, phone = token_for(unit), Client()
    answer = phone.get(f"/c/{token}")
    assert (answer.status_code, answer.headers["Location"]) == (303, "/c/")
    assert answer.headers["Referrer-Policy"] == "no-referrer"
    assert "no-store" in answer.headers["Cache-Control"]
    cookie = answer.cookies[settings.CUSTOMER_COOKIE_NAME]
    assert (cookie["httponly"], cookie["samesite"], cookie["path"], cookie["domain"]) == (True, "Lax", "/", "")
    page = phone.get("/c/").content.decode()
    assert "Quillon Lantern" in page
    assert token not in page


def test_it_sends_the_cookie_over_https_alone_where_there_is_https(unit_at: At, settings: Settings) -> None:
    settings.HTTPS, settings.CUSTOMER_COOKIE_NAME = True, "__Host-wickline-link"
    cookie = Client().get(f"/c/{token_for(unit_at('queue'))}").cookies["__Host-wickline-link"]
    assert (cookie["secure"], cookie["path"], cookie["domain"]) == (True, "/", "")


def test_it_says_the_same_of_a_withdrawn_a_renewed_a_guessed_and_a_missing_link(unit_at: At, owner: Actor) -> None:
    renewed, withdrawn = unit_at("queue"), unit_at("queue")
    old = token_for(renewed), token_for(withdrawn)
    phones = phone_of(renewed), phone_of(withdrawn)
    renew_link(actor=owner, unit_id=renewed.id)
    revoke_link(actor=owner, unit_id=withdrawn.id)
    guesser = Client()
    guesser.cookies[settings.CUSTOMER_COOKIE_NAME] = secrets.token_hex(20)
    answers = [Client().get(f"/c/{token}") for token in (*old, secrets.token_hex(20))]
    answers += [phone.get("/c/") for phone in (*phones, guesser, Client())]
    answers += [phones[0].get(of(renewed, what)) for what in ("", "part", "receipt")]
    answers += [phones[0].post(of(renewed, what)) for what in ("answer", "question")]
    answers += [phones[0].get("/c/photos/7c9e6679-7425-40de-944b-e07fc1f90ae7")]
    assert {answer.status_code for answer in answers} == {404}
    assert len({answer.content for answer in answers}) == 1
    assert not any(settings.CUSTOMER_COOKIE_NAME in answer.cookies for answer in answers)


@pytest.mark.parametrize("odd", ["0" * 39, "0" * 41, "G" * 40, "../" * 13, "0" * 40 + "\n"])
def test_it_knows_no_address_that_is_no_link(shop: ShopProfile, odd: str) -> None:
    assert Client().get(f"/c/{odd}").status_code == 404


def test_it_opens_the_new_link_after_a_renewal(unit_at: At, owner: Actor) -> None:
    unit = unit_at("queue")
    renew_link(actor=owner, unit_id=unit.id)
    assert phone_of(unit).get("/c/").status_code == 200


def test_it_slows_whoever_guesses_and_looks_nothing_up_meanwhile(unit_at: At, frozen: time_machine.Traveller) -> None:
    unit = unit_at("queue")
    guesser = Client()
    statuses = [guesser.get(f"/c/{secrets.token_hex(20)}").status_code for _ in range(32)]
    assert statuses[:30] == [404] * 30
    assert statuses[30:] == [429] * 2
    assert guesser.get(f"/c/{token_for(unit)}").status_code == 429
    elsewhere = Client(REMOTE_ADDR="198.51.100.20")
    assert elsewhere.get(f"/c/{token_for(unit)}").status_code == 303
    frozen.shift(timedelta(minutes=11))
    assert guesser.get(f"/c/{token_for(unit)}").status_code == 303


def test_it_counts_a_network_of_addresses_as_one_guesser(shop: ShopProfile) -> None:
    for number in range(31):
        Client(REMOTE_ADDR=f"2001:db8:1:2::{number:x}").get(f"/c/{secrets.token_hex(20)}")
    assert Client(REMOTE_ADDR="2001:db8:1:2:ffff::1").get(f"/c/{secrets.token_hex(20)}").status_code == 429
    assert Client(REMOTE_ADDR="2001:db8:1:3::1").get(f"/c/{secrets.token_hex(20)}").status_code == 404


def test_it_shows_a_picture_of_its_own_unit_that_is_meant_to_be_seen(unit_at: At, bao: Customer) -> None:
    mine, other = unit_at("queue"), unit_at("queue")
    Unit.objects.filter(pk=other.pk).update(customer=bao)
    phone = phone_of(mine)
    photo = UnitPhoto.objects.filter(unit=mine)[0]
    shown = phone.get(f"/c/photos/{photo.photo_id}")
    assert shown.headers["Content-Type"] == "image/jpeg"
    assert shown.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert shown.headers["X-Content-Type-Options"] == "nosniff"
    assert shown.headers["Cache-Control"].startswith("private")
    theirs = UnitPhoto.objects.filter(unit=other)[0]
    assert phone.get(f"/c/photos/{theirs.photo_id}").status_code == 404
    UnitPhoto.objects.filter(pk=photo.pk).update(for_customer=False)
    assert phone.get(f"/c/photos/{photo.photo_id}").status_code == 404


def test_it_opens_no_page_of_the_staff(unit_at: At) -> None:
    unit = unit_at("queue")
    for address in ("/", f"/units/{unit.number}", "/counter", f"/photos/{UnitPhoto.objects.all()[0].photo_id}"):
        assert phone_of(unit).get(address).status_code == 302


def test_it_writes_wrong_links_into_the_log_and_no_secret(unit_at: At, log: list[str]) -> None:
    unit = unit_at("queue")
    token, guess = token_for(unit), secrets.token_hex(20)
    phone_of(unit).get("/c/")
    guesser = Client()
    for _ in range(31):
        guesser.get(f"/c/{guess}")
    assert [line.split()[0] for line in log if line.startswith("link_")] == ["link_refused"] * 30 + ["link_slowed"]
    assert not [line for line in log if token in line]
    assert not [line for line in log if guess in line]


def test_it_never_opens_for_a_guess(unit_at: At) -> None:
    """500 here; the length says the rest: 160 bits against 30 tries in ten minutes."""
    token = token_for(unit_at("queue"))
    near = [token[:-1] + sign for sign in "0123456789abcdef" if sign != token[-1]]
    guesses = [*near, token.upper(), token[:-1], f"{token} ", "", *(secrets.token_hex(20) for _ in range(500))]
    assert not [guess for guess in guesses if guess != token and links.find(guess)]
    assert links.find(token)
