"""The cast, the shop they meet in, and what tests need of the machine."""

from collections.abc import Iterator
from datetime import UTC, datetime

import pytest
import time_machine
from django.db import connection
from django.test import TransactionTestCase, override_settings

from shop.boards.models import BoardRevision, DeviceModel, Service
from shop.core.actor import Actor, Role
from shop.core.models import ShopProfile
from shop.people.models import Customer, Place, User

# A Tuesday morning in an ordinary week.
NOW = datetime(2026, 3, 10, 9, 0, tzinfo=UTC)


@pytest.fixture
def frozen() -> Iterator[time_machine.Traveller]:
    """Stand still on Tuesday, 10 March 2026, 09:00 UTC; move on with `frozen.shift(...)`."""
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller


@pytest.fixture(scope="session", autouse=True)
def _growing_tables_can_be_emptied() -> Iterator[None]:
    """Let a transactional test empty the append-only tables of SQLite, and put their triggers back."""
    original = TransactionTestCase._fixture_teardown

    def teardown(self: TransactionTestCase) -> None:
        if connection.vendor != "sqlite":
            return original(self)
        with connection.cursor() as cursor:
            cursor.execute("SELECT name, sql FROM sqlite_master WHERE type = 'trigger'")
            triggers = cursor.fetchall()
            for name, _sql in triggers:
                cursor.execute(f'DROP TRIGGER "{name}"')
        original(self)
        with connection.cursor() as cursor:
            for _name, sql in triggers:
                cursor.execute(sql)
        return None

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(TransactionTestCase, "_fixture_teardown", teardown)
        yield


@pytest.fixture(scope="session", autouse=True)
def _passwords_are_hashed_fast() -> Iterator[None]:
    """Spare each test a second of honest hashing; the sign-in of the running shop keeps Django's own hasher."""
    with override_settings(PASSWORD_HASHERS=["django.contrib.auth.hashers.MD5PasswordHasher"]):
        yield


@pytest.fixture
def shop(db: None) -> ShopProfile:
    """The invented workshop: Brandt & Daughter, prices in dollars, 8 % tax."""
    return ShopProfile.objects.create(
        only=1,
        name="Brandt & Daughter",
        street="4 Ropewalk",
        town="Saltmarsh",
        email="desk@brandt.example",
        phone="+12025550143",
        time_zone="America/New_York",
        tax_rate_millipercent=8000,
        diagnosis_fee_minor=2500,
    )


def _person(username: str, name: str, role: str) -> User:
    return User.objects.create_user(username=username, password="a long wick burns slow", name=name, role=role)


@pytest.fixture
def ottilie(shop: ShopProfile) -> User:
    """The owner, also the best technician."""
    return _person("ottilie", "Ottilie Brandt", "owner")


@pytest.fixture
def jun(shop: ShopProfile) -> User:
    """The technician."""
    return _person("jun", "Jun Okafor", "technician")


@pytest.fixture
def pim(shop: ShopProfile) -> User:
    """The helper at the counter."""
    return _person("pim", "Pim Halvorsen", "counter")


def actor_for(user: User) -> Actor:
    return Actor(role=Role(user.role), id=str(user.id), name=user.name, device="test", address="192.0.2.7")


@pytest.fixture
def owner(ottilie: User) -> Actor:
    return actor_for(ottilie)


@pytest.fixture
def technician(jun: User) -> Actor:
    return actor_for(jun)


@pytest.fixture
def helper(pim: User) -> Actor:
    return actor_for(pim)


@pytest.fixture
def ada(shop: ShopProfile) -> Customer:
    """A customer by mail."""
    return Customer.objects.create(name="Ada Kowalczyk", email="ada@post.example", phone="+12025550177")


@pytest.fixture
def bao(shop: ShopProfile) -> Customer:
    """A customer at the counter whose name needs more than ASCII."""
    return Customer.objects.create(name="Trần Bảo", email="bao@post.example", time_zone="Asia/Ho_Chi_Minh")


@pytest.fixture
def lantern(shop: ShopProfile) -> DeviceModel:
    """A console by an invented maker."""
    return DeviceModel.objects.create(maker="Quillon", name="Lantern", fastener_count=6)


@pytest.fixture
def lantern_b2(lantern: DeviceModel) -> BoardRevision:
    return BoardRevision.objects.create(model=lantern, marking="QL-B2", how_to_tell="printed beside the cartridge slot")


@pytest.fixture
def recap(shop: ShopProfile) -> Service:
    return Service.objects.create(
        code="recap",
        name="Recap",
        says="All electrolytic capacitors are replaced.",
        minutes=90,
        price_minor=6000,
        steps=["Remove the electrolytic capacitors", "Clean the pads", "Fit the new capacitors"],
    )


@pytest.fixture
def video_board(shop: ShopProfile) -> Service:
    return Service.objects.create(
        code="video-board", name="Video output board", minutes=60, price_minor=4500, asks_video=True,
        optional_extra=True, steps=["Fit the video output board"],
    )  # fmt: skip


@pytest.fixture
def shelf(shop: ShopProfile) -> Place:
    return Place.objects.create(name="Shelf A", kind="shelf", capacity=12)


@pytest.fixture
def bench_one(shop: ShopProfile) -> Place:
    return Place.objects.create(name="Bench 1", kind="bench", capacity=1, equipment=["hot air", "isolated mains"])


@pytest.fixture
def bench_two(shop: ShopProfile) -> Place:
    return Place.objects.create(name="Bench 2", kind="bench", capacity=1)
