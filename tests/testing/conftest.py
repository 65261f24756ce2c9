"""A unit at the bench, and the points it is tried at."""

from decimal import Decimal

import pytest

from shop.boards.models import DeviceModel, Service
from shop.people.models import Customer
from shop.testing.models import TestPoint
from shop.units.models import Unit


@pytest.fixture
def unit(lantern: DeviceModel, ada: Customer, recap: Service) -> Unit:
    """Ada's Lantern, at the bench for its recap."""
    unit = Unit.objects.create(number=1042, customer=ada, model=lantern, stage="bench", visit="work")
    unit.services.add(recap)
    return unit


@pytest.fixture
def rail(db: None) -> TestPoint:
    """The 5 V rail of every unit, measured open."""
    return TestPoint.objects.create(
        phase="open", name="5 V rail", quantity="V", low=Decimal("4.75"), high=Decimal("5.25"), position=1
    )


@pytest.fixture
def picture(db: None) -> TestPoint:
    """A yes or no, tried on every closed unit."""
    return TestPoint.objects.create(phase="closed", name="Picture is steady", position=2)


def to_testing(unit: Unit) -> Unit:
    """Close the unit and carry it to the test bench, as a flow would."""
    unit.stage, unit.visit = "testing", ""
    unit.save(update_fields=["stage", "visit"])
    return unit
