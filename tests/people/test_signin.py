"""Signing in: the same answer whoever is unknown, and patience for whoever guesses."""

import logging
from datetime import timedelta

import pytest
import time_machine
from django.contrib.auth.hashers import PBKDF2PasswordHasher
from pytest_django import Settings

from shop.core.models import ShopProfile
from shop.core.reasons import Refused, sentence
from shop.people.actions import sign_in
from shop.people.models import SignInFailure, User
from tests.core.together import together

RIGHT = "a long wick burns slow"
HERE = "192.0.2.7"


def _refusal(username: str = "jun", password: str = "wrong", address: str = HERE) -> tuple[str, str]:
    """Sign in, expect a refusal, and return its code and its sentence."""
    with pytest.raises(Refused) as refused:
        sign_in(username=username, password=password, address=address)
    return refused.value.code, sentence(refused.value.reasons[0])


def test_the_right_name_and_password_let_somebody_in(jun: User) -> None:
    assert sign_in(username=" JUN ", password=RIGHT, address=HERE) == jun
    assert not SignInFailure.objects.exists()


def test_a_wrong_password_an_unknown_name_and_somebody_who_left_read_the_same(
    jun: User, pim: User, frozen: object
) -> None:
    User.objects.filter(pk=pim.pk).update(retired_at="2026-03-01T00:00:00Z")
    answers = {_refusal("jun"), _refusal("nobody"), _refusal("pim", RIGHT)}
    assert answers == {("sign_in_wrong", "The user name or the password is not right. Check both and try again.")}


@pytest.mark.parametrize("username", ["jun", "nobody"])
def test_an_unknown_name_costs_one_hash_as_a_known_one_does(
    jun: User, settings: Settings, monkeypatch: pytest.MonkeyPatch, username: str
) -> None:
    """Counted and not timed: a hash takes long enough to tell names apart by the clock."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.PBKDF2PasswordHasher"]
    jun.set_password(RIGHT)
    jun.save()
    hashed: list[str] = []
    encode = PBKDF2PasswordHasher.encode

    def counted(self: PBKDF2PasswordHasher, password: str, *args: object) -> str:
        hashed.append(password)
        return encode(self, password, *args)  # type: ignore[arg-type]

    monkeypatch.setattr(PBKDF2PasswordHasher, "encode", counted)
    _refusal(username)
    assert hashed == ["wrong"]


def test_after_five_failures_for_a_name_the_right_password_has_to_wait_too(
    jun: User, frozen: time_machine.Traveller
) -> None:
    for number in range(5):
        assert _refusal(address=f"192.0.2.{number}")[0] == "sign_in_wrong"
    code, words = _refusal(password=RIGHT, address="192.0.2.99")
    assert code == "sign_in_wait"
    assert "Wait 15 min" in words


def test_an_unknown_name_is_slowed_down_alike(shop: ShopProfile, frozen: object) -> None:
    for _number in range(5):
        assert _refusal("nobody")[0] == "sign_in_wrong"
    assert _refusal("nobody")[0] == "sign_in_wait"


def test_the_wait_ends_when_the_first_of_the_five_no_longer_counts(jun: User, frozen: time_machine.Traveller) -> None:
    _refusal()
    frozen.shift(timedelta(minutes=10))
    for _number in range(4):
        _refusal()
    assert "Wait 5 min" in _refusal()[1]
    frozen.shift(timedelta(minutes=5))
    assert sign_in(username="jun", password=RIGHT, address=HERE) == jun


def test_waiting_does_not_lengthen_the_wait(jun: User, frozen: time_machine.Traveller) -> None:
    for _number in range(5):
        _refusal()
    frozen.shift(timedelta(minutes=14, seconds=59))
    assert "Wait 1 min" in _refusal()[1]
    frozen.shift(timedelta(seconds=1))
    assert sign_in(username="jun", password=RIGHT, address=HERE) == jun


def test_after_twenty_failures_an_address_waits_whatever_the_name(jun: User, frozen: object) -> None:
    for number in range(20):
        assert _refusal(f"guess-{number}")[0] == "sign_in_wrong"
    assert _refusal("jun", RIGHT)[0] == "sign_in_wait"
    assert sign_in(username="jun", password=RIGHT, address="192.0.2.8") == jun


def test_one_network_of_an_ipv6_customer_counts_as_one_address(jun: User, frozen: object) -> None:
    for number in range(20):
        _refusal(f"guess-{number}", address=f"2001:db8:1:2::{number:x}")
    assert _refusal(address="2001:db8:1:2:ffff::1")[0] == "sign_in_wait"
    assert _refusal(address="2001:db8:1:3::1")[0] == "sign_in_wrong"


def test_an_unknown_address_slows_nobody_down_but_the_name(jun: User, frozen: object) -> None:
    for number in range(20):
        _refusal(f"guess-{number}", address="")
    assert sign_in(username="jun", password=RIGHT, address="") == jun


def test_getting_in_clears_the_failures_of_that_name_only(jun: User, frozen: object) -> None:
    for name in ("jun", "jun", "pim"):
        _refusal(name)
    sign_in(username="jun", password=RIGHT, address=HERE)
    assert list(SignInFailure.objects.values_list("username", flat=True)) == ["pim"]


def test_failures_that_no_longer_count_are_not_kept(jun: User, frozen: time_machine.Traveller) -> None:
    _refusal("pim")
    frozen.shift(timedelta(minutes=15))
    _refusal("jun")
    assert list(SignInFailure.objects.values_list("username", flat=True)) == ["jun"]


def test_what_was_typed_is_in_no_log(jun: User, caplog: pytest.LogCaptureFixture, frozen: object) -> None:
    logger = logging.getLogger("wickline.security")
    logger.addHandler(caplog.handler)
    try:
        for _number in range(6):
            _refusal("typed-into-the-wrong-field", "secret-words")
    finally:
        logger.removeHandler(caplog.handler)
    assert HERE in caplog.text
    assert "typed-into" not in caplog.text
    assert "secret-words" not in caplog.text


@pytest.mark.django_db(transaction=True)
def test_guesses_made_at_the_same_moment_get_no_more_tries(jun: User) -> None:
    answers = together(12, lambda: sign_in(username="jun", password="wrong", address=HERE))
    codes = [answer.code for answer in answers if isinstance(answer, Refused)]
    assert len(codes) == 12
    assert codes.count("sign_in_wrong") <= 5
