"""Devices of the cast, and a unit to ask about."""

import json
from collections.abc import Callable
from dataclasses import dataclass
from typing import Any
from uuid import UUID

import pytest
from django.core.cache import cache
from django.test import Client

from shop.boards.models import DeviceModel, Service
from shop.core.actor import Actor
from shop.floor.flows.intake import WriteUp, take_in, write_up
from shop.people.actions import issue_token
from shop.people.models import Customer, Place, User
from shop.units.models import Unit

YES = {"save_data": True, "pictures": True, "work": True}


@dataclass
class Device:
    """A program that speaks JSON with one token, or none."""

    authorization: str = ""

    def send(self, method: str, path: str, body: Any = None, **headers: str) -> Any:
        named = {name: value for name, value in headers.items() if value}
        if self.authorization:
            named["authorization"] = self.authorization
        data = "" if body is None else json.dumps(body)
        client = Client(raise_request_exception=False, SERVER_NAME="shop.test")
        return client.generic(method, f"/api/v1/{path}", data, content_type="application/json", headers=named)

    def get(self, path: str, **headers: str) -> Any:
        return self.send("GET", path, **headers)

    def post(self, path: str, body: Any = None, **headers: str) -> Any:
        return self.send("POST", path, {} if body is None else body, **headers)

    def patch(self, path: str, body: Any, **headers: str) -> Any:
        return self.send("PATCH", path, body, **headers)


@pytest.fixture(autouse=True)
def _forget_guesses() -> None:
    cache.clear()


@pytest.fixture
def device(owner: Actor) -> Callable[[User], Device]:
    """Issue a token for somebody, and return the device that has it."""

    def make(user: User) -> Device:
        _row, token = issue_token(actor=owner, user_id=user.id, name="tablet")
        return Device(f"Bearer {token}")

    return make


@pytest.fixture
def desk(device: Callable[[User], Device], pim: User) -> Device:
    return device(pim)


@pytest.fixture
def tablet(device: Callable[[User], Device], jun: User) -> Device:
    return device(jun)


@pytest.fixture
def boss(device: Callable[[User], Device], ottilie: User) -> Device:
    return device(ottilie)


@pytest.fixture
def stranger(shop: object) -> Device:
    return Device()


@pytest.fixture
def write(helper: Actor, lantern: DeviceModel, recap: Service) -> Callable[..., Unit]:
    """Write up one Lantern after another."""

    def make(customer: Customer | None, **given: Any) -> Unit:
        facts: dict[str, Any] = {"complaint": "No picture", "agreed": "fee", "consents": YES} | given
        written = WriteUp(
            customer_id=customer.id if customer else None, model_id=lantern.id, service_ids=(recap.id,), **facts
        )
        return write_up(actor=helper, given=written)

    return make


@pytest.fixture
def queued(write: Callable[..., Unit], helper: Actor, ada: Customer, shelf: Place) -> Unit:
    """Ada's Lantern on the shelf."""
    unit = write(ada)
    return take_in(actor=helper, unit_id=unit.id, place_id=shelf.id)


NOBODY = UUID(int=404)
