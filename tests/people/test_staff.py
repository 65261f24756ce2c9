"""Who works here: accounts, roles, passwords, and that an owner is always left."""

import pytest
from django.contrib.auth.hashers import identify_hasher

from shop.core.actor import Actor
from shop.core.models import ShopProfile, TrailEntry
from shop.core.reasons import Missing, Refused, sentence
from shop.people.actions import (
    actor_from_token,
    add_staff,
    change_staff_role,
    issue_token,
    retire_staff,
    set_password,
    sign_in,
)
from shop.people.models import SignInFailure, User
from tests.conftest import actor_for
from tests.core.together import together

GOOD = "seventeen amber moths"


def _what(user: User) -> list[str]:
    return list(TrailEntry.objects.filter(subject_id=user.id).values_list("what", flat=True))


def test_the_owner_gives_somebody_an_account(owner: Actor) -> None:
    user = add_staff(actor=owner, username=" Mirei.S ", name="Mirei  Sato", role="technician", password=GOOD)
    user.refresh_from_db()
    assert (user.username, user.name, user.role, user.is_active) == ("mirei.s", "Mirei Sato", "technician", True)
    assert user.check_password(GOOD)
    assert GOOD not in user.password
    assert identify_hasher(user.password)
    assert _what(user) == ["staff_added"]


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"username": "o"}, "username_malformed", "username"),
        ({"username": "two words"}, "username_malformed", "username"),
        ({"username": "x" * 41}, "username_malformed", "username"),
        ({"username": "OTTILIE"}, "username_taken", "username"),
        ({"name": ""}, "blank", "name"),
        ({"name": "Mirei\nSato"}, "hidden_character", "name"),
        ({"role": "customer"}, "not_a_choice", "role"),
        ({"password": "short"}, "password_weak", "password"),
        ({"password": "password123"}, "password_weak", "password"),
        ({"password": "mirei-sato1"}, "password_weak", "password"),
        ({"password": "x" * 201}, "too_long", "password"),
    ],
)
def test_it_refuses_an_account_that_cannot_be(owner: Actor, changes: dict[str, str], code: str, field: str) -> None:
    fields = {"username": "mirei-sato", "name": "Mirei Sato", "role": "counter", "password": GOOD} | changes
    with pytest.raises(Refused) as refused:
        add_staff(actor=owner, **fields)
    reason = refused.value.reasons[0]
    assert (reason.code, reason.field) == (code, field)
    assert sentence(reason)
    assert User.objects.count() == 1


def test_a_weak_password_is_explained_by_the_checks_of_the_framework(owner: Actor) -> None:
    with pytest.raises(Refused) as refused:
        add_staff(actor=owner, username="mirei", name="Mirei Sato", role="counter", password="short")
    assert "at least 10 characters" in sentence(refused.value.reasons[0])


def test_only_the_owner_changes_the_staff(technician: Actor, helper: Actor, pim: User) -> None:
    for actor in (technician, helper):
        with pytest.raises(Refused, match="not_permitted"):
            change_staff_role(actor=actor, user_id=pim.id, role="owner")
        with pytest.raises(Refused, match="not_permitted"):
            retire_staff(actor=actor, user_id=pim.id)
        with pytest.raises(Refused, match="not_permitted"):
            add_staff(actor=actor, username="mirei", name="Mirei Sato", role="owner", password=GOOD)


def test_a_role_can_be_changed_and_the_trail_tells_from_what_to_what(owner: Actor, pim: User) -> None:
    change_staff_role(actor=owner, user_id=pim.id, role="technician")
    pim.refresh_from_db()
    entry = TrailEntry.objects.get(subject_id=pim.id)
    assert (pim.role, entry.what, entry.before, entry.after) == ("technician", "role_changed", "counter", "technician")


def test_giving_the_same_role_again_writes_nothing(owner: Actor, pim: User) -> None:
    change_staff_role(actor=owner, user_id=pim.id, role="counter")
    assert _what(pim) == []


def test_the_last_owner_can_neither_leave_nor_become_something_else(owner: Actor, ottilie: User) -> None:
    with pytest.raises(Refused, match="last_owner"):
        retire_staff(actor=owner, user_id=ottilie.id)
    with pytest.raises(Refused, match="last_owner"):
        change_staff_role(actor=owner, user_id=ottilie.id, role="technician")
    ottilie.refresh_from_db()
    assert (ottilie.role, ottilie.retired_at) == ("owner", None)


def test_an_owner_may_leave_when_there_is_another_who_still_works_here(owner: Actor, ottilie: User, jun: User) -> None:
    jun = change_staff_role(actor=owner, user_id=jun.id, role="owner")
    retire_staff(actor=owner, user_id=ottilie.id)
    with pytest.raises(Refused, match="last_owner"):
        retire_staff(actor=actor_for(jun), user_id=jun.id)


@pytest.mark.django_db(transaction=True)
def test_of_all_owners_who_leave_at_the_same_moment_one_stays(
    owner: Actor, ottilie: User, jun: User, pim: User
) -> None:
    owners = [ottilie, jun, pim]
    User.objects.update(role="owner")
    left = iter([*owners, *owners])

    def act() -> User:
        return retire_staff(actor=owner, user_id=next(left).id)

    together(6, act)
    assert User.objects.filter(role="owner", retired_at=None).count() == 1


def test_whoever_leaves_keeps_the_row_and_loses_every_way_in(owner: Actor, jun: User) -> None:
    _token, secret = issue_token(actor=owner, user_id=jun.id, name="Tablet")
    retire_staff(actor=owner, user_id=jun.id)
    jun.refresh_from_db()
    assert not jun.is_active
    assert actor_from_token(secret, "192.0.2.7") is None
    with pytest.raises(Refused, match="sign_in_wrong"):
        sign_in(username="jun", password="a long wick burns slow", address="192.0.2.7")
    assert "staff_retired" in _what(jun)


def test_who_has_left_cannot_be_changed_any_more(owner: Actor, jun: User) -> None:
    retire_staff(actor=owner, user_id=jun.id)
    with pytest.raises(Refused, match="staff_left"):
        change_staff_role(actor=owner, user_id=jun.id, role="counter")
    with pytest.raises(Refused, match="staff_left"):
        set_password(actor=owner, user_id=jun.id, password=GOOD)
    with pytest.raises(Refused, match="staff_left"):
        retire_staff(actor=owner, user_id=jun.id)


def test_it_says_that_there_is_no_such_person(owner: Actor) -> None:
    with pytest.raises(Missing):
        retire_staff(actor=owner, user_id="nobody")


def test_the_owner_sets_a_password_for_somebody_else(owner: Actor, pim: User) -> None:
    set_password(actor=owner, user_id=pim.id, password=GOOD)
    assert sign_in(username="pim", password=GOOD, address="192.0.2.7") == pim
    assert _what(pim) == ["password_set"]


def test_nobody_else_does(technician: Actor, pim: User) -> None:
    with pytest.raises(Refused, match="not_permitted"):
        set_password(actor=technician, user_id=pim.id, password=GOOD)


def test_everybody_sets_their_own_when_they_prove_the_present_one(technician: Actor, jun: User) -> None:
    before = jun.get_session_auth_hash()
    set_password(actor=technician, user_id=jun.id, password=GOOD, present="a long wick burns slow")
    jun.refresh_from_db()
    assert jun.check_password(GOOD)
    assert jun.get_session_auth_hash() != before


@pytest.mark.parametrize("actor_name", ["technician", "owner"])
def test_a_wrong_present_password_is_refused_and_counted(
    request: pytest.FixtureRequest, shop: ShopProfile, actor_name: str
) -> None:
    actor: Actor = request.getfixturevalue(actor_name)
    with pytest.raises(Refused, match="sign_in_wrong"):
        set_password(actor=actor, user_id=actor.id, password=GOOD, present="not it at all")
    assert SignInFailure.objects.count() == 1
    assert not User.objects.get(pk=actor.id).check_password(GOOD)


def test_a_weak_new_password_is_refused(owner: Actor, pim: User) -> None:
    with pytest.raises(Refused, match="password_weak"):
        set_password(actor=owner, user_id=pim.id, password="pim")
