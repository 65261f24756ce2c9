"""A mail server, and a unit whose customer wants to hear of it."""

from collections.abc import Iterator

import pytest
from pytest_django import Settings

from shop.boards.models import DeviceModel
from shop.notices.models import Envelope, Notice
from shop.people.models import Customer
from shop.units.links import make_link
from shop.units.models import Unit
from shop.units.steps import give_tag
from tests.notices.mailserver import MailServer, mail_server_of_the_shop
from tests.notices.smsgateway import Gateway, gateway_of_the_shop


@pytest.fixture
def mail(settings: Settings) -> Iterator[MailServer]:
    """The mail server that the shop uses."""
    with mail_server_of_the_shop(settings) as server:
        yield server


def written_up(customer: Customer | None, model: DeviceModel, number: int = 1) -> Unit:
    """Make a unit with its tag and its link, as the counter leaves it."""
    unit = Unit.objects.create(number=number, customer=customer, model=model)
    give_tag(unit)
    make_link(unit)
    return unit


@pytest.fixture
def unit(ada: Customer, lantern: DeviceModel) -> Unit:
    """Ada's Lantern."""
    return written_up(ada, lantern)


def envelope_of(notice: Notice | None) -> Envelope:
    """Return a notice's envelope as it stands in the database now."""
    assert notice is not None
    return Envelope.objects.get(pk=notice.envelope_id)


@pytest.fixture
def gateway(settings: Settings) -> Iterator[Gateway]:
    """The gateway for text messages that the shop uses."""
    with gateway_of_the_shop(settings) as server:
        yield server
