"""A unit on Bench 1, with Jun at work."""

from collections.abc import Callable
from decimal import Decimal

import pytest

from shop.boards.models import DeviceModel
from shop.core.actor import Actor
from shop.core.models import Photo
from shop.people.models import Customer, Place, User
from shop.units.models import Unit
from shop.work.actions import tick
from shop.work.models import JobStep
from tests.pictures import stored_photo


def tick_with_evidence(actor: Actor, unit: Unit, step: JobStep) -> JobStep:
    """Tick a step with whatever it asks for."""
    photo_id = stored_photo(actor).pk if step.evidence == JobStep.Evidence.PHOTO else None
    value = {JobStep.Evidence.VOLTS: Decimal("0.2"), JobStep.Evidence.OHMS: Decimal(480)}.get(
        JobStep.Evidence(step.evidence)
    )
    return tick(actor=actor, unit_id=unit.pk, step_id=step.pk, photo_id=photo_id, value=value)


@pytest.fixture
def at_bench(lantern: DeviceModel, ada: Customer, jun: User, bench_one: Place) -> Unit:
    return Unit.objects.create(
        number=117, customer=ada, model=lantern, stage="bench", visit="work", place=bench_one, technician=jun
    )


@pytest.fixture
def take_photo(technician: Actor) -> Callable[[], Photo]:
    return lambda: stored_photo(technician)
