"""Parts, and two units that want them."""

from collections.abc import Callable
from uuid import UUID

import pytest

from shop.boards.models import DeviceModel
from shop.core.actor import Actor
from shop.parts.models import Part, Supplier
from shop.people.models import Customer
from shop.stock.actions import receive_lot
from shop.stock.models import Lot
from shop.units.models import Unit


@pytest.fixture
def supplier(shop: object) -> Supplier:
    return Supplier.objects.create(name="Harbour Components")


@pytest.fixture
def can(supplier: Supplier) -> Part:
    return Part.objects.create(code="cap-100u-16v", name="Capacitor 100 µF 16 V", supplier=supplier)


@pytest.fixture
def regulator(supplier: Supplier) -> Part:
    return Part.objects.create(code="reg-5v", name="Regulator 5 V", supplier=supplier)


@pytest.fixture
def first(lantern: DeviceModel, ada: Customer) -> Unit:
    return Unit.objects.create(number=117, customer=ada, model=lantern, stage="queue")


@pytest.fixture
def second(lantern: DeviceModel, ada: Customer) -> Unit:
    return Unit.objects.create(number=118, customer=ada, model=lantern, stage="queue")


@pytest.fixture
def receive(helper: Actor) -> Callable[[Part, int], Lot]:
    def take_in(part: Part, quantity: int) -> Lot:
        return receive_lot(actor=helper, part_id=UUID(str(part.pk)), quantity=quantity, cost_minor=12)

    return take_in
