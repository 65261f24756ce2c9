"""The shop's profile: one row, changed by the owner, with values that later work can stand on."""

import pytest
from django.db import IntegrityError, transaction

from shop.core.actor import Actor
from shop.core.models import ShopProfile, TrailEntry
from shop.core.profile import HISTORY, change_profile, profile
from shop.core.reasons import Refused, Stale, sentence


@pytest.mark.django_db
def test_it_is_there_from_the_first_call_on() -> None:
    assert profile() == profile()
    assert ShopProfile.objects.count() == 1


def test_there_cannot_be_two(shop: ShopProfile) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        ShopProfile.objects.create(only=2, name="Another shop")


def test_the_owner_changes_it_and_the_trail_tells_which_fields(shop: ShopProfile, owner: Actor) -> None:
    changed = change_profile(actor=owner, version=1, name="Brandt & Daughters", quote_days=10)
    shop.refresh_from_db()
    assert (shop.name, shop.quote_days, shop.version, changed.version) == ("Brandt & Daughters", 10, 2, 2)
    entry = TrailEntry.objects.get(subject_id=HISTORY.id)
    assert (entry.what, entry.facts) == ("profile_changed", '{"fields": ["name", "quote_days"]}')


def test_nobody_else_may(shop: ShopProfile, technician: Actor) -> None:
    with pytest.raises(Refused) as refused:
        change_profile(actor=technician, version=1, name="Mine now")
    assert refused.value.code == "not_permitted"


def test_a_stale_page_does_not_overwrite(shop: ShopProfile, owner: Actor) -> None:
    change_profile(actor=owner, version=1, town="Saltmarsh Quay")
    with pytest.raises(Stale):
        change_profile(actor=owner, version=1, town="Saltmarsh")
    shop.refresh_from_db()
    assert shop.town == "Saltmarsh Quay"


@pytest.mark.parametrize(
    ("field", "value", "code"),
    [
        ("time_zone", "Mars/Olympus", "not_a_time_zone"),
        ("currency", "DOL", "not_accepted"),
        ("locale", "xx-nowhere", "not_accepted"),
        ("phone_region", "ZZ", "not_accepted"),
        ("email", "not an address", "not_accepted"),
        ("name", "", "not_accepted"),
        ("quote_days", -1, "out_of_range"),
    ],
)
def test_it_refuses_what_cannot_be_and_names_the_field(
    shop: ShopProfile, owner: Actor, field: str, value: object, code: str
) -> None:
    with pytest.raises(Refused) as refused:
        change_profile(actor=owner, version=1, **{field: value})
    reason = refused.value.reasons[0]
    assert (reason.code, reason.field) == (code, field)
    assert sentence(reason)
    assert ShopProfile.objects.get().version == 1


def test_a_field_that_it_does_not_have_is_a_mistake_of_the_caller(shop: ShopProfile, owner: Actor) -> None:
    with pytest.raises(ValueError, match="colour"):
        change_profile(actor=owner, version=1, colour="amber")
