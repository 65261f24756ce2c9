"""How many queries the reads of the floor take: as many for ten units as for two."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from pytest_django import DjangoAssertNumQueries

from shop.core.profile import one_reading, profile
from shop.floor.customer_view import view_of
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.gates import offers_in_queue
from shop.floor.story import headline
from shop.people.models import Customer
from shop.units import queries
from tests.floor.conftest import FEE


def waiting(house: House, customer: Customer, count: int) -> None:
    for seed in range(count):
        Journey(house, days_ago=2, seed=seed).arrive(
            customer, "lantern", ["recap"], complaint="Grey", serial="QL-1", **FEE
        ).take_in()  # fmt: skip


@pytest.mark.parametrize("count", [2, 10])
def test_a_list_of_units(
    house: House, noor: Customer, count: int, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    waiting(house, noor, count)
    profile()
    with django_assert_num_queries(4):
        units = list(queries.present_units())
        assert all(headline(unit) and queries.tag_of(unit).code for unit in units)
    with django_assert_num_queries(6):
        assert len(offers_in_queue(units)) == count
    with django_assert_num_queries(4):
        assert len(list(queries.search("QL-1"))) == count
    with django_assert_num_queries(4):
        assert len(list(queries.seen_before(model_id=units[0].model_id, serial="QL-1"))) == count
    with django_assert_num_queries(1):
        assert queries.stage_counts()["queue"] == count
    with django_assert_num_queries(2):
        assert queries.room_left().inside == count


def test_the_customers_view_costs_the_same_for_a_long_story(approved: Journey) -> None:
    def cost() -> int:
        with one_reading(), CaptureQueriesContext(connection) as caught:
            view_of(queries.one(approved.unit.id))
        return len(caught)

    before = cost()
    for _ in range(4):
        approved.picture("other", "case")
    assert cost() == before == 9
