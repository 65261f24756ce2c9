"""Writing customers down: how they are reached is checked, what was known is not overwritten by accident."""

from datetime import UTC, datetime, timedelta
from typing import Any

import pytest
import time_machine
from django.db import IntegrityError, transaction

from shop.core.actor import Actor
from shop.core.models import ShopProfile, TrailEntry
from shop.core.reasons import Missing, Refused, Stale, sentence
from shop.people import steps
from shop.people.actions import add_customer, change_customer
from shop.people.models import Customer


def _add(actor: Actor, **fields: Any) -> Customer:
    return add_customer(
        **{"actor": actor, "name": "Ines Falk", "email": "ines@post.example", "notice_consent": True, **fields}
    )


def test_it_writes_a_customer_down_and_says_so_in_the_trail_without_personal_words(
    shop: ShopProfile, helper: Actor, frozen: time_machine.Traveller
) -> None:
    customer = _add(helper, phone="202 555 0177", time_zone="Europe/Vienna", postal_address="2 Mill Lane\nSaltmarsh")
    customer.refresh_from_db()
    assert (customer.name, customer.email, customer.phone) == ("Ines Falk", "ines@post.example", "+12025550177")
    assert (customer.channel, customer.language, customer.time_zone) == ("email", "en", "Europe/Vienna")
    assert customer.postal_address == "2 Mill Lane\nSaltmarsh"
    assert customer.notice_consent_at == datetime(2026, 3, 10, 9, 0, tzinfo=UTC)
    entry = TrailEntry.objects.get(subject_id=customer.id)
    assert (entry.what, entry.actor_id) == ("customer_added", helper.id)
    assert entry.facts == '{"channel": "email", "notice_consent": true}'


@pytest.mark.parametrize(
    "name", ["Trần Bảo", "محمد الأمين", "नीलम", "山田 太郎", "Zoë O’Neill-Müller", "Þórdís", "Ὀδυσσεύς", "X"]
)
def test_it_takes_names_of_any_script(shop: ShopProfile, helper: Actor, name: str) -> None:
    assert _add(helper, name=name).name == name


@pytest.mark.parametrize(
    ("fields", "code", "field"),
    [
        ({"name": "  "}, "blank", "name"),
        ({"name": "x" * 121}, "too_long", "name"),
        ({"name": "Ines\nBcc: all@post.example"}, "hidden_character", "name"),
        ({"name": "Ines\x00"}, "hidden_character", "name"),
        ({"email": "ines at post"}, "email_malformed", "email"),
        ({"email": "ines@post.example\nBcc: all@post.example"}, "hidden_character", "email"),
        ({"phone": "my neighbour"}, "phone_unreadable", "phone"),
        ({"phone": "202 555 01777"}, "phone_impossible", "phone"),
        ({"phone": "12"}, "phone_impossible", "phone"),
        ({"phone": "202 555 0177 ext. 12"}, "phone_extension", "phone"),
        ({"channel": "pigeon"}, "not_a_choice", "channel"),
        ({"language": "tlh"}, "not_a_choice", "language"),
        ({"time_zone": "Mars/Olympus"}, "not_a_time_zone", "time_zone"),
        ({"postal_address": "x" * 501}, "too_long", "postal_address"),
        ({"email": "", "phone": " "}, "unreachable", "email"),
    ],
)
def test_it_refuses_what_cannot_be_names_the_field_and_writes_nothing(
    shop: ShopProfile, helper: Actor, fields: dict[str, str], code: str, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        _add(helper, **fields)
    reason = refused.value.reasons[0]
    assert (reason.code, reason.field) == (code, field)
    assert sentence(reason)
    assert not Customer.objects.exists()


@pytest.mark.parametrize(
    "reach", [{"email": "ines@post.example"}, {"phone": "+12025550177"}, {"postal_address": "2 Mill Lane"}]
)
def test_one_way_to_reach_somebody_is_enough(shop: ShopProfile, helper: Actor, reach: dict[str, str]) -> None:
    customer = add_customer(actor=helper, name="Ines Falk", notice_consent=False, **reach)
    assert customer.notice_consent_at is None


def test_the_database_itself_wants_a_way_to_reach_them(shop: ShopProfile) -> None:
    with pytest.raises(IntegrityError), transaction.atomic():
        Customer.objects.create(name="Nobody")


def test_it_reads_a_phone_number_as_one_of_the_region_of_the_shop(shop: ShopProfile, helper: Actor) -> None:
    ShopProfile.objects.update(phone_region="DE")
    assert _add(helper, phone="0171 2345678").phone == "+491712345678"
    assert _add(helper, phone="+1 (202) 555-0177").phone == "+12025550177"


def test_it_keeps_addresses_in_lower_case(shop: ShopProfile, helper: Actor) -> None:
    assert _add(helper, email=" Ines@POST.example ").email == "ines@post.example"


def test_a_technician_may_not_write_customers(shop: ShopProfile, technician: Actor) -> None:
    with pytest.raises(Refused, match="not_permitted"):
        _add(technician)


def test_it_changes_only_what_is_given(ada: Customer, helper: Actor) -> None:
    changed = change_customer(actor=helper, customer_id=ada.id, version=1, name="Ada Kowalska")
    ada.refresh_from_db()
    assert (ada.name, ada.email, ada.phone) == ("Ada Kowalska", "ada@post.example", "+12025550177")
    assert changed.version == ada.version == 2
    entry = TrailEntry.objects.get(subject_id=ada.id)
    assert (entry.what, entry.facts) == ("customer_changed", '{"fields": ["name"]}')


def test_a_stale_page_does_not_overwrite_a_customer(ada: Customer, helper: Actor) -> None:
    change_customer(actor=helper, customer_id=ada.id, version=1, name="Ada Kowalska")
    with pytest.raises(Stale):
        change_customer(actor=helper, customer_id=ada.id, version=1, name="Ada K.")
    ada.refresh_from_db()
    assert ada.name == "Ada Kowalska"


def test_saying_the_same_again_changes_nothing(ada: Customer, helper: Actor) -> None:
    assert change_customer(actor=helper, customer_id=ada.id, version=1, email="ADA@post.example").version == 1
    assert not TrailEntry.objects.exists()


def test_the_last_way_to_reach_somebody_stays(bao: Customer, helper: Actor) -> None:
    with pytest.raises(Refused, match="unreachable"):
        change_customer(actor=helper, customer_id=bao.id, version=1, email="")
    bao.refresh_from_db()
    assert bao.email == "bao@post.example"


def test_consent_keeps_its_first_moment_and_can_be_withdrawn(
    ada: Customer, helper: Actor, frozen: time_machine.Traveller
) -> None:
    first = change_customer(actor=helper, customer_id=ada.id, version=1, notice_consent=True).notice_consent_at
    frozen.shift(timedelta(days=1))
    assert change_customer(actor=helper, customer_id=ada.id, version=2, notice_consent=True).notice_consent_at == first
    assert change_customer(actor=helper, customer_id=ada.id, version=2, notice_consent=False).notice_consent_at is None


def test_it_says_that_there_is_no_such_customer(shop: ShopProfile, helper: Actor) -> None:
    with pytest.raises(Missing):
        change_customer(actor=helper, customer_id="nobody", version=1, name="X")


def test_somebody_seen_before_is_found_by_address_then_by_number_and_left_alone(
    ada: Customer, bao: Customer, helper: Actor
) -> None:
    by_address = steps.find_or_add_customer(helper, name="A. K.", email="Ada@Post.example", phone="+12025550111")
    by_number = steps.find_or_add_customer(helper, name="A. K.", email="new@post.example", phone="(202) 555-0177")
    both = steps.find_or_add_customer(helper, name="B.", email="bao@post.example", phone="+12025550177")
    assert (by_address, by_number, both) == (ada, ada, bao)
    ada.refresh_from_db()
    assert (ada.name, ada.phone, ada.version) == ("Ada Kowalczyk", "+12025550177", 1)


def test_somebody_new_is_written_down(ada: Customer, helper: Actor) -> None:
    found = steps.find_or_add_customer(helper, name="Ines Falk", email="ines@post.example", notice_consent=True)
    assert found != ada
    assert found.notice_consent_at is not None


def test_two_without_an_address_are_not_the_same_person(shop: ShopProfile, helper: Actor) -> None:
    one = steps.find_or_add_customer(helper, name="Ines Falk", postal_address="2 Mill Lane")
    two = steps.find_or_add_customer(helper, name="Jon Falk", postal_address="2 Mill Lane")
    assert one != two
