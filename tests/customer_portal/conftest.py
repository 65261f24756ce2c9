"""A customer with a link on a phone, and what their unit is doing meanwhile."""

from collections.abc import Iterator

import pytest
from django.core.cache import cache
from django.test import Client

from shop.units import links
from shop.units.models import Unit

# The staff's side is the one that the tests of the staff's pages have.
from tests.screens.conftest import house, unit_at  # noqa: F401 - fixtures


@pytest.fixture(autouse=True)
def _nobody_tried_before() -> Iterator[None]:
    cache.clear()
    yield
    cache.clear()


def token_for(unit: Unit) -> str:
    link = links.open_link(unit)
    assert link is not None
    return links.token_of(link)


def phone_of(unit: Unit) -> Client:
    """A phone on which the link in the message was opened."""
    phone = Client()
    assert phone.get(f"/c/{token_for(unit)}").status_code == 303
    return phone
