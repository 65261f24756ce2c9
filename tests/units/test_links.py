"""The customer's private link."""

import pytest
from django.conf import LazySettings
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from shop.core.actor import Actor, Role
from shop.core.reasons import Refused
from shop.core.tagcode import ALPHABET
from shop.units import links
from shop.units.models import CustomerLink, Unit


def test_a_token_opens_its_unit_and_is_stored_nowhere(unit: Unit) -> None:
    token = links.token_of(links.make_link(unit))
    found = links.find(token)
    assert found is not None
    assert found.unit == unit
    assert len(bytes.fromhex(token)) * 8 == 160
    stored = CustomerLink.objects.values_list().get()
    assert not any(token in str(column) for column in stored)


def test_each_link_and_each_unit_has_its_own_token_and_code(unit: Unit, own_unit: Unit) -> None:
    made = [links.make_link(unit), links.make_link(own_unit), links.make_link(unit)]
    assert len({links.token_of(link) for link in made}) == 3
    assert links.pickup_code(unit) != links.pickup_code(own_unit)


def test_a_new_link_ends_the_one_before(unit: Unit) -> None:
    old = links.token_of(links.make_link(unit))
    new = links.token_of(links.make_link(unit))
    assert links.find(old) is None
    assert links.find(new) is not None


def test_a_revoked_link_opens_nothing(unit: Unit) -> None:
    token = links.token_of(links.make_link(unit))
    assert links.revoke(unit)
    assert not links.revoke(unit)
    assert links.find(token) is None
    assert links.pickup_code(unit) == ""
    assert links.address_for(unit) == "http://shop.test"


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture], max_examples=50, deadline=None)
@given(st.one_of(st.text(max_size=60), st.text("0123456789abcdef", min_size=40, max_size=40)))
def test_no_guess_opens_a_page(unit: Unit, guess: str) -> None:
    links.make_link(unit)
    assert links.find(guess) is None


def test_part_of_a_token_opens_nothing(unit: Unit) -> None:
    token = links.token_of(links.make_link(unit))
    for near in (token[:-1], token + "0", token.upper(), f" {token}", token[::-1]):
        assert links.find(near) is None


def test_another_key_of_the_shop_makes_other_tokens(unit: Unit, settings: LazySettings) -> None:
    link = links.make_link(unit)
    before = links.token_of(link), links.pickup_code(unit)
    settings.SECRET_KEY = "another key of some length, for this test alone"
    after = links.token_of(link), links.pickup_code(unit)
    assert before[0] != after[0]
    assert before[1] != after[1]


def test_the_pickup_code_can_be_read_out(unit: Unit) -> None:
    link = links.make_link(unit)
    code = links.pickup_code(unit)
    assert len(code) == 6
    assert set(code) <= set(ALPHABET)
    assert code.lower() not in links.token_of(link)


def test_the_counter_may_read_the_address_out_and_the_customer_may_not(unit: Unit, helper: Actor) -> None:
    token = links.token_of(links.make_link(unit))
    assert links.shown_address(actor=helper, unit=unit) == f"http://shop.test/c/{token}"
    with pytest.raises(Refused, match="not_permitted"):
        links.shown_address(actor=Actor(role=Role.CUSTOMER, id="x"), unit=unit)
