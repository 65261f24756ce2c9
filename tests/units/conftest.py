"""One unit of Ada's in each test, and a stored picture."""

import pytest

from shop.boards.models import DeviceModel
from shop.core.actor import Actor
from shop.core.models import Photo, TrailEntry
from shop.people.models import Customer, Place
from shop.units.models import Unit
from shop.units.steps import give_tag
from tests.pictures import stored_photo


@pytest.fixture
def unit(lantern: DeviceModel, ada: Customer, shelf: Place) -> Unit:
    unit = Unit.objects.create(number=42, customer=ada, model=lantern, stage="queue", place=shelf, complaint="Hums")
    give_tag(unit)
    return unit


@pytest.fixture
def own_unit(lantern: DeviceModel) -> Unit:
    return Unit.objects.create(number=43, model=lantern, stage="queue")


@pytest.fixture
def photo(technician: Actor) -> Photo:
    return stored_photo(technician)


def trail(unit: Unit) -> list[str]:
    return list(TrailEntry.objects.filter(subject_id=unit.id).order_by("seq").values_list("what", flat=True))
