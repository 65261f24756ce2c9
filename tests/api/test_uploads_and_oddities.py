"""Pictures sent as forms, and requests that no sensible program sends."""

import io
from typing import Any
from uuid import uuid4

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client
from PIL import Image

from shop.core.models import Photo
from shop.units.models import Unit
from tests.api.conftest import Device


def picture(colour: str = "red") -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (20, 20), colour).save(out, "PNG")
    return out.getvalue()


def upload(device: Device, unit: Unit, content: bytes, key: str = "") -> Any:
    headers = {"authorization": device.authorization} | ({"Idempotency-Key": key} if key else {})
    form = {"photo": SimpleUploadedFile("board.png", content), "purpose": "board"}
    client = Client(raise_request_exception=False, SERVER_NAME="shop.test")
    return client.post(f"/api/v1/units/{unit.id}/photos", form, headers=headers)


def test_a_picture_with_a_key_is_kept_once(tablet: Device, queued: Unit) -> None:
    first, again = (upload(tablet, queued, picture(), key="shot-1") for _ in range(2))
    assert (first.status_code, again.status_code) == (201, 201)
    assert first.json() == again.json()
    assert again.headers["Idempotency-Replayed"] == "true"
    assert queued.photos.count() == 1


def test_a_key_does_not_serve_for_another_picture(tablet: Device, queued: Unit) -> None:
    upload(tablet, queued, picture(), key="shot-1")
    assert upload(tablet, queued, picture("blue"), key="shot-1").status_code == 422


@pytest.mark.parametrize("content", [b"", b"not a picture"])
def test_what_is_no_picture_is_refused_and_leaves_nothing(tablet: Device, queued: Unit, content: bytes) -> None:
    answer = upload(tablet, queued, content)
    assert (answer.status_code, answer.json()["reasons"][0]["code"]) == (422, "photo_unreadable")
    assert not Photo.objects.exists()


@pytest.mark.parametrize("path", ["units/not-an-id", "nothing/here", "units/"])
@pytest.mark.parametrize("method", ["GET", "POST", "OPTIONS"])
def test_no_address_is_a_problem_too(stranger: Device, path: str, method: str) -> None:
    answer = stranger.send(method, path)
    assert (answer.status_code, answer.headers["Content-Type"]) == (404, "application/problem+json")


@pytest.mark.parametrize(
    ("body", "status"), [("[" * 100_000, 400), ("{", 400), ("[1]", 422), ('"' + "x" * 3_000_000 + '"', 413)]
)
def test_a_body_that_cannot_be_is_the_senders_fault(desk: Device, body: str, status: int) -> None:
    client = Client(raise_request_exception=False, SERVER_NAME="shop.test")
    headers = {"authorization": desk.authorization}
    answer = client.generic("POST", "/api/v1/customers", body, content_type="application/json", headers=headers)
    assert (answer.status_code, answer.headers["Content-Type"]) == (status, "application/problem+json")


@pytest.mark.parametrize(
    ("query", "status"),
    [("after=zzzz", 400), ("after=e30", 400), ("limit=0", 422), ("limit=201", 422), ("offset=3", 422)],
)
def test_a_page_that_cannot_be_is_the_senders_fault(desk: Device, query: str, status: int) -> None:
    assert desk.get(f"units?{query}").status_code == status


def test_a_reference_to_nobody_names_its_field(desk: Device) -> None:
    answer = desk.post("waiting", {"customer": str(uuid4()), "device": "Lantern"})
    assert (answer.status_code, answer.json()["reasons"][0]["field"]) == (422, "customer")


def test_strangers_announce_only_so_often(stranger: Device) -> None:
    said = {"name": "Nia", "email": "nia@post.example", "device": "Lantern", "complaint": "No picture"}
    statuses = [stranger.post("announcements", said).status_code for _ in range(11)]
    assert statuses == [201] * 10 + [429]
