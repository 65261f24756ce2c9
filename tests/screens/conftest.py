"""A shop with a library, somebody at each keyboard, and units wherever a test wants them."""

from collections.abc import Callable, Iterator
from decimal import Decimal
from typing import Any
from uuid import uuid4

import pytest
from django.core.cache import cache
from pytest_django import Settings

from shop.boards.models import BoardRevision, DeviceModel, Service
from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.stages import Move
from shop.people.models import Customer, Place, User
from shop.testing.actions import add_test_point
from shop.units.models import Unit
from tests.screens.browsing import Browser

FEE = {"agreed": "fee"}
At = Callable[[str], Unit]


@pytest.fixture(autouse=True)
def _quick_and_unworn(settings: Settings) -> Iterator[None]:
    """Hash passwords quickly, and forget who tried too often in the test before."""
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    cache.clear()
    yield
    cache.clear()


def browser_of(user: User) -> Browser:
    browser = Browser()
    browser.force_login(user)
    return browser


@pytest.fixture
def stranger(shop: object) -> Browser:
    return Browser()


@pytest.fixture
def as_owner(ottilie: User) -> Browser:
    return browser_of(ottilie)


@pytest.fixture
def as_technician(jun: User) -> Browser:
    return browser_of(jun)


@pytest.fixture
def as_counter(pim: User) -> Browser:
    return browser_of(pim)


@pytest.fixture
def as_retired(shop: object) -> Browser:
    """Somebody who left while still signed in."""
    gone = User.objects.create_user(username="gus", password="a long wick burns slow", name="Gus", role="owner")
    browser = browser_of(gone)
    User.objects.filter(pk=gone.pk).update(retired_at="2026-01-01T00:00Z")
    return browser


@pytest.fixture
def house(
    owner: Actor, technician: Actor, helper: Actor, lantern: DeviceModel, lantern_b2: BoardRevision,
    recap: Service, video_board: Service, shelf: Place, bench_one: Place, bench_two: Place,
) -> House:  # fmt: skip
    """The shop with a procedure of one open and one closed test point."""
    add_test_point(actor=owner, phase="open", name="5 V rail", quantity="V", low=Decimal("4.75"), high=Decimal("5.25"))
    add_test_point(actor=owner, phase="closed", name="Picture")
    return House(
        owner, technician, helper, {"lantern": lantern}, {"recap": recap, "video": video_board}, [bench_one, bench_two]
    )


@pytest.fixture
def unit_at(house: House, ada: Customer) -> At:
    """Bring a new unit of Ada's to: intake, queue, diagnosis, diagnosed, quoted, approved, work, testing, pickup,
    left."""

    def bring(where: str) -> Unit:
        journey = Journey(house, days_ago=3, seed=len(where))
        journey.arrive(ada, "lantern", ["recap"], serial=f"QL-{uuid4().hex[:6]}", complaint="Hums", **FEE)
        ways: list[tuple[str, Callable[[], object]]] = [
            ("intake", lambda: None),
            ("queue", journey.take_in),
            ("diagnosis", lambda: journey.start(Move.START_DIAGNOSIS, 0).open_case()),
            ("diagnosed", lambda: journey.look_inside("QL-B2")),
            ("quoted", journey.quote),
            ("approved", lambda: journey.answer(approve=True)),
            ("work", lambda: journey.start(Move.START_WORK, 0)),
            ("testing", journey.work),
            ("pickup", journey.passes),
            ("left", journey.leaves),
        ]
        for name, go in ways:
            go()
            if name == where:
                return Unit.objects.get(pk=journey.unit.pk)
        raise ValueError(where)

    return bring


def trail_of(unit: Unit) -> list[str]:
    """What happened to a unit, in order."""
    return list(TrailEntry.objects.filter(subject_id=unit.id).order_by("seq").values_list("what", flat=True))


def text_of(answer: Any) -> str:
    return str(answer.content.decode())
