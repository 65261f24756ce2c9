"""The demo's house as a place to walk units through, step by step, by the verbs that the faces call."""

import pytest

from shop.core.profile import change_profile, profile
from shop.floor.demo.floorful import FEE, LIMIT, VIDEO
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House, furnish
from shop.floor.stages import Move
from shop.people.actions import add_customer
from shop.people.models import Customer
from shop.units.models import Unit

__all__ = ["FEE", "LIMIT", "VIDEO"]


@pytest.fixture
def house(db: None) -> House:
    """The furnished shop: people, places, library, procedure."""
    profile()
    return furnish()


@pytest.fixture
def noor(house: House) -> Customer:
    """A customer of the house."""
    return add_customer(actor=house.counter, name="Noor de Wit", email="noor@post.example", notice_consent=True)


@pytest.fixture
def queued(house: House, noor: Customer) -> Journey:
    """Noor's Lantern, taken in under the fee, wished for a recap and a video board."""
    journey = Journey(house, days_ago=9, seed=1)
    journey.arrive(noor, "lantern", ["recap", "video-board"], complaint="Grey picture", **FEE, **VIDEO)
    return journey.take_in()


@pytest.fixture
def diagnosed(queued: Journey) -> Journey:
    """The same, opened, looked at, and off the bench again."""
    return queued.start(Move.START_DIAGNOSIS, 0).open_case().look_inside("QL-B2")


@pytest.fixture
def approved(diagnosed: Journey) -> Journey:
    """The same with its quote approved, options taken."""
    return diagnosed.quote().answer(approve=True)


@pytest.fixture
def unpaid(diagnosed: Journey) -> Journey:
    """The quote is approved, half of it is asked for before work begins."""
    change_profile(actor=diagnosed.house.owner, deposit_percent=50)
    return diagnosed.quote().answer(approve=True)


@pytest.fixture
def ready(approved: Journey) -> Journey:
    """The same, worked on, tested, waiting to be collected."""
    return approved.start(Move.START_WORK, 0).work().passes()


def now(journey: Journey) -> Unit:
    """The journey's unit as it is stored."""
    return Unit.objects.select_related("place", "customer").get(pk=journey.unit.pk)
