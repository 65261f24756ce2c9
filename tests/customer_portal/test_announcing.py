"""The public page on which a parcel is announced: anybody may, nobody may flood it."""

import html

import pytest
from django.test import Client

from shop.core.models import ShopProfile
from shop.core.tagcode import printed
from shop.notices.models import Envelope
from shop.units.models import Announcement
from tests.screens.browsing import said

GOOD = {
    "name": "Noor de Wit",
    "email": "noor@post.example",
    "phone": "",
    "device": "Quillon Lantern",
    "complaint": "Hums",
}


def test_it_gives_a_code_and_advice_for_packing(client: Client, shop: ShopProfile) -> None:
    ShopProfile.objects.update(packing_words="Two layers of padding.")
    page = client.post("/c/announce", GOOD).content.decode()
    assert printed(Announcement.objects.get().code) in page
    assert "Two layers of padding." in page
    assert "4 Ropewalk" in page
    assert "battery" in page
    assert Envelope.objects.get().address == "noor@post.example"


@pytest.mark.parametrize(
    "wrong",
    [
        {"email": "nobody"}, {"email": ""}, {"email": "a@b@c.example"},
        {"email": "noor@post.example\r\nBcc: x@y.example"},
        {"phone": "123"}, {"phone": "+1 202 555 0143 999"}, {"phone": "call me"}, {"name": " "}, {"device": ""},
        {"complaint": ""}, {"complaint": "x" * 2001}, {"name": "x" * 121},
    ],
)  # fmt: skip
def test_it_keeps_what_was_typed_when_something_is_wrong(
    client: Client, shop: ShopProfile, wrong: dict[str, str]
) -> None:
    typed = GOOD | wrong
    answer = client.post("/c/announce", typed)
    assert answer.status_code == 422
    assert said(answer)
    page = html.unescape(answer.content.decode())
    for kept in typed.values():
        assert kept in page
    assert not Announcement.objects.exists()
    assert not Envelope.objects.exists()


@pytest.mark.parametrize("name", ["Trần Bảo", "ليلى منصور", "木村 あかり", "Ziggy 🎛️", "O'Neil <Sons> & Co"])
def test_it_takes_a_name_in_any_script(client: Client, shop: ShopProfile, name: str) -> None:
    assert client.post("/c/announce", GOOD | {"name": name}).status_code == 200
    assert Announcement.objects.get().name == name


def test_it_says_nothing_of_who_is_known(client: Client, shop: ShopProfile, ada: object) -> None:
    """The page reads the same for an address of a customer and for one nobody has heard of."""
    known, unknown = (client.post("/c/announce", GOOD | {"email": e}) for e in ("ada@post.example", "new@post.example"))
    codes = [printed(code) for code in Announcement.objects.order_by("created_at").values_list("code", flat=True)]
    assert known.content.replace(codes[0].encode(), b"") == unknown.content.replace(codes[1].encode(), b"")


def test_it_takes_ten_and_then_keeps_what_was_typed_for_later(client: Client, shop: ShopProfile) -> None:
    assert {client.post("/c/announce", GOOD).status_code for _ in range(10)} == {200}
    answer = client.post("/c/announce", GOOD)
    assert answer.status_code == 429
    assert "Wait ten minutes" in said(answer)
    assert 'value="Noor de Wit"' in answer.content.decode()
    assert Announcement.objects.count() == 10
    assert Client(REMOTE_ADDR="198.51.100.7").post("/c/announce", GOOD).status_code == 200
