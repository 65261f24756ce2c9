"""Signing in in two steps, and setting the second one up."""

from datetime import timedelta
from typing import Any

from time_machine import Traveller

from shop.people import second_factor
from shop.people.models import User
from shop.people.token_actions import actor_of
from tests.people.test_second_factor import code_of, turn_on
from tests.screens.browsing import Browser, said
from tests.screens.conftest import browser_of
from tests.screens.test_sign_in import PASSWORD, sign_in


def test_the_password_alone_opens_nothing_once_it_is_on(stranger: Browser, ottilie: User, frozen: Traveller) -> None:
    turn_on(ottilie)
    frozen.shift(30)
    answer = sign_in(stranger, "ottilie", PASSWORD, next="/bench")
    assert answer.url == "/sign-in/code"
    assert stranger.see("floor").url.startswith("/sign-in")
    answer = stranger.post("/sign-in/code", {"code": "000000"})
    assert answer.status_code == 422
    assert "not right" in said(answer)
    answer = stranger.post("/sign-in/code", {"code": code_of(ottilie)})
    assert (answer.status_code, answer.url) == (303, "/bench")
    assert stranger.see("floor").status_code == 200


def test_the_second_step_must_follow_within_five_minutes(stranger: Browser, ottilie: User, frozen: Traveller) -> None:
    turn_on(ottilie)
    sign_in(stranger, "ottilie", PASSWORD)
    frozen.shift(timedelta(minutes=5, seconds=1))
    assert stranger.post("/sign-in/code", {"code": code_of(ottilie)}).url == "/sign-in"


def test_the_second_step_alone_is_no_door(stranger: Browser, ottilie: User, frozen: Traveller) -> None:
    turn_on(ottilie)
    frozen.shift(30)
    assert stranger.get("/sign-in/code").url == "/sign-in"
    assert stranger.post("/sign-in/code", {"code": code_of(ottilie)}).url == "/sign-in"


def test_somebody_sets_it_up_and_turns_it_off(ottilie: User, frozen: Traveller) -> None:
    browser = browser_of(ottilie)
    shown = browser.see("second-step").content.decode()
    assert "<svg" in shown
    wrong = browser.post("/me/second-step", {"code": "12"})
    assert wrong.status_code == 422
    assert "not right" in said(wrong)
    done = browser.post("/me/second-step", {"code": code_of(ottilie)}).content.decode()
    assert done.count("<li><code>") == 8
    again = browser.see("second-step").content.decode()
    assert "<li><code>" not in again
    assert "It is on" in again
    assert browser.post("/me/second-step/off", {"code": "000000"}).status_code == 422
    frozen.shift(30)
    assert browser.post("/me/second-step/off", {"code": code_of(ottilie)}).status_code == 303
    assert "Turn it on" in browser.see("second-step").content.decode()


def test_in_production_an_owner_sets_it_up_before_anything_else(
    ottilie: User, jun: User, frozen: Traveller, settings: Any
) -> None:
    """ASVS 5.0, 6.3.3."""
    settings.PRODUCTION = True
    browser = browser_of(ottilie)
    assert browser.see("shop").url == "/me/second-step"
    assert "before anything else" in browser.see("second-step").content.decode()
    browser.post("/me/second-step", {"code": code_of(ottilie)})
    assert browser.see("shop").status_code == 200
    assert browser_of(jun).see("floor").status_code == 200


def test_the_picture_holds_what_a_telephone_reads(ottilie: User) -> None:
    address = second_factor.address_of(second_factor.begin(actor=actor_of(ottilie)))
    assert address.startswith("otpauth://totp/")
    assert "secret=" in address
    assert "ottilie" in address
