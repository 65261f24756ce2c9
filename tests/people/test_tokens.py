"""Device tokens: shown once, kept as a hash, useless once revoked."""

import hashlib
from datetime import timedelta

import pytest
import time_machine
from pytest_django import DjangoAssertNumQueries

from shop.core.actor import Actor, Role
from shop.core.models import TrailEntry
from shop.core.reasons import Missing, Refused
from shop.people import queries
from shop.people.actions import actor_from_token, actor_of, issue_token, revoke_token
from shop.people.models import DeviceToken, User


@pytest.fixture
def issued(owner: Actor, jun: User, frozen: time_machine.Traveller) -> tuple[DeviceToken, str]:
    return issue_token(actor=owner, user_id=jun.id, name="Tablet at bench 1")


def test_only_the_hash_of_a_token_is_kept(issued: tuple[DeviceToken, str], jun: User) -> None:
    token, secret = issued
    row = DeviceToken.objects.values().get()
    assert secret.startswith("wl_")
    assert len(secret) - len("wl_") >= 160 / 6
    assert row["token_hash"] == hashlib.sha256(secret.encode()).hexdigest()
    assert secret not in str(row)
    entry = TrailEntry.objects.get(subject_id=jun.id)
    assert (entry.what, entry.facts) == ("token_issued", f'{{"token": "{token.id}"}}')


def test_no_two_tokens_are_the_same(owner: Actor, jun: User) -> None:
    assert len({issue_token(actor=owner, user_id=jun.id, name="Tablet")[1] for _number in range(20)}) == 20


def test_a_token_tells_who_acts_on_which_device_from_where(issued: tuple[DeviceToken, str], jun: User) -> None:
    assert actor_from_token(issued[1], "192.0.2.9", client_key="k-1") == Actor(
        role=Role.TECHNICIAN,
        id=str(jun.id),
        name="Jun Okafor",
        device="Tablet at bench 1",
        address="192.0.2.9",
        client_key="k-1",
    )


@pytest.mark.parametrize("guess", ["", "wl_", "wl_nothing", "wl_\ud800", "x" * 10_000])
def test_a_guess_is_nobody(issued: tuple[DeviceToken, str], guess: str) -> None:
    assert actor_from_token(guess, "192.0.2.9") is None


def test_its_use_is_noted_at_most_once_a_minute(
    issued: tuple[DeviceToken, str],
    frozen: time_machine.Traveller,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    token, secret = issued
    seen = []
    for seconds, expected_queries in ((0, 2), (59, 1), (1, 2)):
        frozen.shift(timedelta(seconds=seconds))
        with django_assert_num_queries(expected_queries):
            assert actor_from_token(secret, "192.0.2.9")
        token.refresh_from_db()
        seen.append(token.last_used_at)
    assert seen[0] is not None
    assert seen[0] == seen[1]
    assert seen[2] == seen[0] + timedelta(minutes=1)


def test_a_revoked_token_is_useless_and_revoking_twice_is_once(
    issued: tuple[DeviceToken, str], owner: Actor, jun: User, frozen: time_machine.Traveller
) -> None:
    token, secret = issued
    assert list(queries.tokens()) == [token]
    first = revoke_token(actor=owner, token_id=token.id).revoked_at
    frozen.shift(timedelta(hours=1))
    assert revoke_token(actor=owner, token_id=token.id).revoked_at == first
    assert actor_from_token(secret, "192.0.2.9") is None
    assert list(queries.tokens()) == []
    assert [entry.what for entry in TrailEntry.objects.filter(subject_id=jun.id)] == ["token_issued", "token_revoked"]


def test_only_the_owner_issues_and_revokes(issued: tuple[DeviceToken, str], technician: Actor, jun: User) -> None:
    with pytest.raises(Refused, match="not_permitted"):
        issue_token(actor=technician, user_id=jun.id, name="Mine")
    with pytest.raises(Refused, match="not_permitted"):
        revoke_token(actor=technician, token_id=issued[0].id)


def test_somebody_who_left_gets_none(owner: Actor, jun: User) -> None:
    User.objects.filter(pk=jun.pk).update(retired_at="2026-03-01T00:00:00Z")
    with pytest.raises(Refused, match="staff_left"):
        issue_token(actor=owner, user_id=jun.id, name="Tablet")


def test_a_token_wants_a_name_and_a_person(owner: Actor, jun: User) -> None:
    with pytest.raises(Refused, match="blank"):
        issue_token(actor=owner, user_id=jun.id, name=" ")
    with pytest.raises(Missing):
        issue_token(actor=owner, user_id="nobody", name="Tablet")
    with pytest.raises(Missing):
        revoke_token(actor=owner, token_id="nothing")


def test_a_signed_in_person_acts_with_their_role(pim: User) -> None:
    assert actor_of(pim, device="phone", address="192.0.2.1") == Actor(
        role=Role.COUNTER, id=str(pim.id), name="Pim Halvorsen", device="phone", address="192.0.2.1"
    )
