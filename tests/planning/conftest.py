"""Units in their stages, and services of known length."""

from collections.abc import Callable
from datetime import timedelta

import pytest

from shop.boards.models import DeviceModel, Service
from shop.people.models import Customer
from shop.quotes.models import QuoteLine, QuoteVersion
from shop.units.models import Unit
from tests.conftest import NOW


@pytest.fixture
def write_up(lantern: DeviceModel, ada: Customer) -> Callable[..., Unit]:
    """Make a unit that has been in its stage for so many hours."""

    def make(number: int, *services: Service, stage: str = "queue", hours: int = 0, **fields: object) -> Unit:
        visit = "work" if stage == "bench" else ""
        unit = Unit.objects.create(
            number=number, customer=ada, model=lantern, stage=stage, visit=visit,
            stage_since=NOW - timedelta(hours=hours), **fields,
        )  # fmt: skip
        unit.services.set(services)
        return unit

    return make


@pytest.fixture
def approve(shop: object) -> Callable[..., QuoteVersion]:
    """Approve an edition of a unit's quote with the given services; those in left are options not taken."""

    def make(unit: Unit, *services: Service, left: tuple[Service, ...] = (), edition: int = 1) -> QuoteVersion:
        QuoteVersion.objects.filter(unit=unit).update(state="replaced")
        quote = QuoteVersion.objects.create(
            unit=unit, edition=edition, state="approved", currency="USD", tax_name="Sales tax",
            tax_rate_millipercent=8000, sent_at=NOW, valid_until=NOW.date(), content="{}", content_sha256="0" * 64,
        )  # fmt: skip
        for position, service in enumerate([*services, *left], start=1):
            QuoteLine.objects.create(
                quote=quote, position=position, kind="labour", words=service.name, service=service,
                unit_minor=service.price_minor, optional=service in left, taken=service not in left,
            )  # fmt: skip
        return quote

    return make
