"""What stands around every page: headers, the caller's address, and letters that no keyboard types."""

import re

import pytest
from django.http import HttpRequest, HttpResponse
from django.test import Client, RequestFactory
from pytest_django import Settings

from shop.core.middleware import POLICY, CallersAddress, SecurityHeaders
from shop.core.models import ShopProfile

STAFF_PAGE, CUSTOMER_PAGE, HEALTH = "/sign-in", "/c/announce", "/livez"


@pytest.mark.parametrize("address", [STAFF_PAGE, CUSTOMER_PAGE, "/c/", "/nowhere", HEALTH])
def test_it_keeps_every_answer_from_running_what_it_should_not(client: Client, shop: ShopProfile, address: str) -> None:
    headers = client.get(address).headers
    assert headers["Content-Security-Policy"] == POLICY
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["X-Frame-Options"] == "DENY"
    assert headers["Referrer-Policy"] in ("same-origin", "no-referrer")
    assert headers["Cross-Origin-Opener-Policy"] == "same-origin"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "geolocation=()" in headers["Permissions-Policy"]


def test_it_gives_its_own_files_to_its_own_pages(client: Client) -> None:
    answer = client.get("/static/floor/paper.css")
    assert answer.getvalue()  # read to its end, which closes the file
    headers = answer.headers
    assert headers["Content-Type"].startswith("text/css")
    assert headers["X-Content-Type-Options"] == "nosniff"
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert "Access-Control-Allow-Origin" not in headers


def test_it_allows_no_inline_script_and_no_third_party() -> None:
    rules = {name: sources.split() for name, _, sources in (rule.strip().partition(" ") for rule in POLICY.split(";"))}
    assert rules["default-src"] == rules["base-uri"] == rules["frame-ancestors"] == ["'none'"]
    assert {source for sources in rules.values() for source in sources} == {"'none'", "'self'", "data:"}
    assert rules["script-src"] == rules["style-src"] == ["'self'"]


@pytest.mark.parametrize("address", [STAFF_PAGE, CUSTOMER_PAGE])
def test_it_has_pages_that_keep_to_that_policy(client: Client, shop: ShopProfile, address: str) -> None:
    page = client.get(address).content.decode()
    assert not re.findall(r"<script(?![^>]*\bsrc=)|<style|\bstyle=|\bon\w+=|javascript:", page)
    sources = re.findall(r'(?:src|href|action)="([^"]+)"', page)
    assert not [source for source in sources if not source.startswith(("/", "#", "mailto:"))]


def test_it_lets_a_view_be_stricter() -> None:
    def strict(_request: HttpRequest) -> HttpResponse:
        return HttpResponse(headers={"Content-Security-Policy": "sandbox"})

    answer = SecurityHeaders(strict)(RequestFactory().get("/"))
    assert answer.headers["Content-Security-Policy"] == "sandbox"


def _address_seen(forwarded: str | None) -> str:
    request = RequestFactory().get("/", headers={"X-Forwarded-For": forwarded} if forwarded is not None else {})
    CallersAddress(lambda asked: HttpResponse())(request)
    return str(request.META["REMOTE_ADDR"])


def test_it_believes_nobody_about_their_address_without_a_proxy() -> None:
    assert _address_seen("203.0.113.9") == "127.0.0.1"


@pytest.mark.parametrize(
    ("forwarded", "seen"),
    [
        ("203.0.113.9", "203.0.113.9"),
        ("10.0.0.1, 203.0.113.9", "203.0.113.9"),  # the first entry is the caller's own story
        ("2001:db8::7", "2001:db8::7"),
        ("unknown", "127.0.0.1"),
        ("", "127.0.0.1"),
        (None, "127.0.0.1"),
    ],
)
def test_it_takes_the_address_that_its_own_proxy_wrote(settings: Settings, forwarded: str | None, seen: str) -> None:
    settings.BEHIND_PROXY = True
    assert _address_seen(forwarded) == seen


@pytest.mark.parametrize("name", ["name", "na\0me"])
def test_it_refuses_a_form_with_a_null_character(client: Client, shop: ShopProfile, name: str) -> None:
    answer = client.post("/c/announce", {name: "Ada" if "\0" in name else "A\0da"})
    assert answer.status_code == 400
    assert "cannot be kept" in answer.content.decode()


def test_it_refuses_an_address_with_a_null_character(client: Client, shop: ShopProfile) -> None:
    assert client.get("/sign-in", {"next": "/\0"}).status_code == 400


def test_it_answers_to_no_other_name(client: Client, shop: ShopProfile) -> None:
    """A message must not carry an address that a caller made up."""
    assert client.get("/sign-in", headers={"Host": "evil.example"}).status_code == 400


def test_it_says_what_to_do_when_nothing_is_there_or_a_form_is_old(client: Client, shop: ShopProfile) -> None:
    nowhere = client.get("/nowhere")
    assert (nowhere.status_code, b"The address leads nowhere" in nowhere.content) == (404, True)
    strict = Client(enforce_csrf_checks=True)
    old = strict.post("/sign-in", {"username": "jun"})
    assert (old.status_code, b"load the page again" in old.content) == (403, True)


def test_it_admits_a_fault_and_shows_nothing_of_it(shop: ShopProfile, monkeypatch: pytest.MonkeyPatch) -> None:
    def broken(_request: HttpRequest) -> HttpResponse:
        raise RuntimeError("the inside of the program")

    monkeypatch.setattr("shop.screens.health._plain", lambda *_args, **_more: broken(HttpRequest()))
    answer = Client(raise_request_exception=False).get("/livez")
    assert answer.status_code == 500
    assert b"Something broke on our side" in answer.content
    assert b"inside of the program" not in answer.content
