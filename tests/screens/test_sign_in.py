"""Signing in and out: who gets in, how slowly a guesser goes, and when a session ends."""

import logging
from collections.abc import Iterator
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.conf import settings

from shop.core.actor import Actor
from shop.people.actions import retire_staff, set_password
from shop.people.models import User
from tests.screens.browsing import Browser, said
from tests.screens.conftest import browser_of

PASSWORD = "a long wick burns slow"


def sign_in(browser: Browser, username: str, password: str, **more: str) -> Any:
    return browser.post("/sign-in", {"username": username, "password": password, **more})


class Lines(logging.Handler):
    """Keeps what was logged."""

    def __init__(self) -> None:
        super().__init__()
        self.said: list[str] = []

    def emit(self, record: logging.LogRecord) -> None:
        self.said.append(record.getMessage())


@pytest.fixture
def log() -> Iterator[list[str]]:
    """The lines of the security log."""
    lines, logger = Lines(), logging.getLogger("wickline.security")
    logger.addHandler(lines)
    yield lines.said
    logger.removeHandler(lines)


def test_it_lets_somebody_in_and_on_to_where_they_wanted(stranger: Browser, jun: User) -> None:
    asked = stranger.get("/units/7?a=b")
    assert asked.url == "/sign-in?next=/units/7%3Fa%3Db"
    answer = sign_in(stranger, "Jun", PASSWORD, next="/bench")
    assert (answer.status_code, answer.url) == (303, "/bench")
    assert stranger.see("floor").status_code == 200


@pytest.mark.parametrize(
    "elsewhere", ["https://evil.example/", "//evil.example", "/\\evil.example", "javascript:alert(1)", "http:///evil"]
)
def test_it_goes_on_to_its_own_pages_only(stranger: Browser, jun: User, elsewhere: str) -> None:
    assert sign_in(stranger, "jun", PASSWORD, next=elsewhere).url == "/"


def test_it_says_the_same_of_a_wrong_password_an_unknown_name_and_somebody_who_left(
    stranger: Browser, jun: User, pim: User
) -> None:
    User.objects.filter(pk=pim.pk).update(retired_at="2026-01-01T00:00Z")
    answers = [
        sign_in(stranger, "jun", "wrong"), sign_in(stranger, "nobody", "wrong"), sign_in(stranger, "pim", PASSWORD)
    ]  # fmt: skip
    assert {answer.status_code for answer in answers} == {422}
    assert len({said(answer) for answer in answers}) == 1
    assert said(answers[0])


def test_it_keeps_the_name_that_was_typed_and_never_the_password(stranger: Browser, jun: User) -> None:
    page = sign_in(stranger, 'jun"><b>', "not the password").content.decode()
    assert "jun&quot;&gt;&lt;b&gt;" in page
    assert "not the password" not in page


def test_it_makes_a_guesser_wait_even_when_the_guess_is_right(
    stranger: Browser, jun: User, frozen: time_machine.Traveller
) -> None:
    for _ in range(5):
        sign_in(stranger, "jun", "guess")
    answer = sign_in(stranger, "jun", PASSWORD)
    assert answer.status_code == 422
    assert "Wait 15 min" in said(answer)
    frozen.shift(timedelta(minutes=15, seconds=1))
    assert sign_in(stranger, "jun", PASSWORD).status_code == 303


def test_it_gives_a_session_of_its_own_to_whoever_signs_in(stranger: Browser, jun: User) -> None:
    """A session planted before (session fixation) is worth nothing after."""
    planted = stranger.session
    planted["bench"] = "something"
    planted.save()
    before = str(planted.session_key)
    stranger.cookies[settings.SESSION_COOKIE_NAME] = before
    sign_in(stranger, "jun", PASSWORD)
    assert stranger.session.session_key != before
    thief = Browser()
    thief.cookies[settings.SESSION_COOKIE_NAME] = before
    assert thief.see("floor").status_code == 302


def test_it_ends_the_session_at_sign_out(as_technician: Browser) -> None:
    kept = as_technician.cookies[settings.SESSION_COOKIE_NAME].value
    assert as_technician.post("/sign-out").url == "/sign-in"
    as_technician.cookies[settings.SESSION_COOKIE_NAME] = kept
    assert as_technician.see("floor").status_code == 302


def test_it_ends_the_session_of_somebody_who_leaves(as_technician: Browser, jun: User, owner: Actor) -> None:
    assert as_technician.see("floor").status_code == 200
    retire_staff(actor=owner, user_id=jun.id)
    assert as_technician.see("floor").status_code == 302


def test_it_ends_every_session_when_the_password_changes(jun: User, owner: Actor) -> None:
    phone, tablet = browser_of(jun), browser_of(jun)
    set_password(actor=owner, user_id=jun.id, password="another wick burns brighter")
    assert (phone.see("floor").status_code, tablet.see("floor").status_code) == (302, 302)


def test_it_takes_a_new_role_at_once(as_counter: Browser, pim: User) -> None:
    assert as_counter.see("bench").status_code == 403
    User.objects.filter(pk=pim.pk).update(role="technician")
    assert as_counter.see("bench").status_code == 200


def test_it_writes_what_happens_at_the_door_into_the_log_and_no_secret(
    stranger: Browser, jun: User, log: list[str]
) -> None:
    sign_in(stranger, "hunter2-typed-as-a-name", "secret guess")
    sign_in(stranger, "jun", PASSWORD)
    stranger.post("/shop/places", {"name": "Shelf X"})
    stranger.post("/sign-out")
    events = [line.split()[0] for line in log]
    assert events == ["sign_in_refused", "signed_in", "role_refused", "signed_out"]
    assert all("from=127.0.0.1" in line for line in log)
    assert f"who={jun.id} role=technician verb=people.change_places" in log[2]
    assert not [line for line in log if "hunter2" in line or "secret" in line or PASSWORD in line]


def test_it_writes_down_that_a_guesser_was_slowed(stranger: Browser, jun: User, log: list[str]) -> None:
    for _ in range(6):
        sign_in(stranger, "jun", "guess")
    assert log[-1].startswith("sign_in_slowed")


def test_it_keeps_its_cookies_from_scripts(stranger: Browser, jun: User) -> None:
    stranger.get("/sign-in")
    sign_in(stranger, "jun", PASSWORD)
    for name in (settings.SESSION_COOKIE_NAME, settings.CSRF_COOKIE_NAME):
        assert stranger.cookies[name]["httponly"] is True
        assert stranger.cookies[name]["samesite"] == "Lax"
