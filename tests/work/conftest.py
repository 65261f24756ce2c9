"""A unit on Bench 1, with Jun at work."""

import io
from collections.abc import Callable

import pytest
from PIL import Image

from shop.boards.models import DeviceModel
from shop.core.actor import Actor
from shop.core.models import Photo
from shop.core.photos import add_photo
from shop.people.models import Customer, Place, User
from shop.units.models import Unit


@pytest.fixture
def at_bench(lantern: DeviceModel, ada: Customer, jun: User, bench_one: Place) -> Unit:
    return Unit.objects.create(
        number=117, customer=ada, model=lantern, stage="bench", visit="work", place=bench_one, technician=jun
    )


@pytest.fixture
def take_photo(technician: Actor) -> Callable[[], Photo]:
    def take() -> Photo:
        file = io.BytesIO()
        Image.new("RGB", (8, 8), "green").save(file, "PNG")
        file.seek(0)
        return add_photo(actor=technician, upload=file)

    return take
