"""The library page: a new shop enters what it needs to write up its first unit."""

from django.test import Client
from django.urls import reverse

from shop.boards.models import BoardRevision, DeviceModel, Service
from shop.parts.models import Part
from shop.people.models import User


def signed_in(user: User) -> Client:
    client = Client(SERVER_NAME="shop.test")
    client.force_login(user)
    return client


def add(client: Client, what: str, **fields: str) -> int:
    return client.post(reverse("screens:library-do", args=[what]), fields).status_code


def test_the_owner_enters_a_model_its_board_a_part_and_a_service(ottilie: User) -> None:
    client = signed_in(ottilie)
    assert "None yet" in client.get(reverse("screens:library")).content.decode()
    assert add(client, "model", maker="Tessaro", name="Vesper 16", mains_inside="on", fastener_count="8") == 303
    model = DeviceModel.objects.get()
    assert (model.mains_inside, model.fastener_count) == (True, 8)
    assert add(client, "revision", model=str(model.id), marking="TV-041", how_to_tell="rear edge") == 303
    assert add(client, "part", code="REG-5V", name="5 V regulator", cost="0.90", price="4.50") == 303
    part = Part.objects.get()
    service = {"code": "regulator", "name": "Regulator", "minutes": "25", "price": "20", "steps": "Remove it\n\nFit it"}
    assert add(client, "service", part=str(part.id), quantity="1", **service) == 303
    made = Service.objects.get()
    assert (made.steps, made.price_minor, made.parts.get().part) == (["Remove it", "Fit it"], 2000, part)
    assert BoardRevision.objects.get().marking == "TV-041"


def test_a_mistake_keeps_what_was_typed_and_a_second_of_a_kind_is_refused(ottilie: User) -> None:
    client = signed_in(ottilie)
    answer = client.post(reverse("screens:library-do", args=["model"]), {"maker": "Tessaro", "name": ""})
    assert answer.status_code == 422
    assert 'value="Tessaro"' in answer.content.decode()
    assert add(client, "model", maker="Tessaro", name="Vesper 16") == 303
    assert add(client, "model", maker="Tessaro", name="Vesper 16") == 422
    assert add(client, "nonsense") == 422


def test_the_technician_adds_boards_and_the_counter_does_not(jun: User, pim: User) -> None:
    assert add(signed_in(jun), "model", maker="Tessaro", name="Vesper 16") == 303
    assert add(signed_in(pim), "model", maker="Tessaro", name="Vesper 32") == 403
