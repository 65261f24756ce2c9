"""What leaves as a file, the notices that failed, and the shop's own page."""

import io
from xml.etree import ElementTree

import pytest
from PIL import Image
from pypdf import PdfReader

from shop.core.actor import SYSTEM
from shop.core.models import ShopProfile
from shop.notices.actions import send_envelope
from shop.notices.models import Envelope
from shop.people.models import DeviceToken, Place, User
from shop.units.scanning import read_picture
from tests.notices.conftest import mail  # noqa: F401 - a fixture
from tests.notices.mailserver import MailServer, Mode
from tests.screens.browsing import Browser, said
from tests.screens.conftest import At, text_of


@pytest.mark.parametrize(
    ("wanted", "size_mm"), [("pdf", (62, 40)), ("A4", (210, 297)), ("Letter", (215.9, 279.4)), ("nonsense", (62, 40))]
)
def test_it_prints_labels_on_what_is_at_hand(
    as_counter: Browser, unit_at: At, wanted: str, size_mm: tuple[float, float]
) -> None:
    unit = unit_at("queue")
    answer = as_counter.see("unit-labels", unit.number, **{"as": wanted})
    assert answer.headers["Content-Type"] == "application/pdf"
    assert "sandbox" in answer.headers["Content-Security-Policy"]
    page = PdfReader(io.BytesIO(answer.content)).pages[0].mediabox
    assert [float(side) * 25.4 / 72 for side in (page.width, page.height)] == pytest.approx(size_mm, abs=0.2)


def test_it_draws_a_label_that_can_be_read_back(as_counter: Browser, unit_at: At) -> None:
    unit = unit_at("queue")
    png = as_counter.see("unit-labels", unit.number, **{"as": "png"})
    assert png.headers["Content-Type"] == "image/png"
    assert Image.open(io.BytesIO(png.content)).format == "PNG"
    assert read_picture(io.BytesIO(png.content)).endswith(f"/t/{unit.bags.get(kind='unit').code}")


def test_it_draws_a_label_as_svg_that_runs_nothing(as_counter: Browser, unit_at: At) -> None:
    unit = unit_at("queue")
    as_counter.do(unit, "change", serial="<script>")
    svg = as_counter.see("unit-labels", unit.number, **{"as": "svg"})
    assert svg.headers["Content-Type"] == "image/svg+xml"
    assert "sandbox" in svg.headers["Content-Security-Policy"]
    tags = {element.tag.rsplit("}", 1)[-1] for element in ElementTree.fromstring(svg.content).iter()}
    assert "script" not in tags


@pytest.mark.parametrize(
    ("start", "status"), [("1", 200), ("3", 200), ("999", 409), ("0", 200), ("-1", 200), ("x", 200)]
)
def test_it_starts_anywhere_on_a_used_sheet_and_not_beyond(as_counter: Browser, start: str, status: int) -> None:
    answer = as_counter.see("shop-labels", **{"as": "A4", "start": start})
    assert answer.status_code == status
    assert status == 200 or "must be from 1 to" in said(answer)


def test_it_prints_a_receipt_once_there_is_something_to_print(as_counter: Browser, unit_at: At) -> None:
    answer = as_counter.see("receipt", unit_at("queue").number)
    assert answer.status_code == 409
    assert said(answer)
    paid = as_counter.see("receipt", unit_at("left").number)
    assert paid.content.startswith(b"%PDF")


@pytest.mark.usefixtures("unit_at")
class TestNotices:
    """Messages that could not be delivered."""

    def test_it_shows_a_message_that_failed_and_sends_it_again(
        self,
        as_counter: Browser,
        unit_at: At,
        mail: MailServer,  # noqa: F811
    ) -> None:
        assert "Every message so far was delivered or is on its way." in text_of(as_counter.see("notices"))
        unit_at("intake")
        envelope = Envelope.objects.get()
        mail.mode = Mode.REFUSE_FOR_GOOD
        send_envelope(actor=SYSTEM, envelope_id=envelope.id)
        page = text_of(as_counter.see("notices"))
        assert "ada@post.example" in page.split("The last ones")[0]
        assert "no such mailbox here" in page
        mail.mode = Mode.ACCEPT
        assert as_counter.send("notices-again", message=str(envelope.id)).url == "/notices"
        send_envelope(actor=SYSTEM, envelope_id=envelope.id)
        assert mail.recipients == ["ada@post.example"]
        assert "Every message so far was delivered or is on its way." in text_of(as_counter.see("notices"))

    def test_it_does_not_send_again_what_went_out_or_never_was(self, as_counter: Browser, unit_at: At) -> None:
        unit_at("intake")
        for message in (str(Envelope.objects.get().id), "7c9e6679-7425-40de-944b-e07fc1f90ae7", "nonsense", ""):
            answer = as_counter.send("notices-again", message=message)
            assert answer.status_code == 422
            assert said(answer)


def test_it_adds_a_place_and_refuses_a_second_of_the_same_name(as_owner: Browser) -> None:
    new = {"name": "Shelf Ø", "kind": "shelf", "capacity": "4", "equipment": "lamp, , fan"}
    assert as_owner.send("new-place", **new).status_code == 303
    assert Place.objects.get().equipment == ["lamp", "fan"]
    assert "Shelf Ø" in text_of(as_owner.see("shop"))
    for wrong in (new, new | {"name": "B", "kind": "cave"}, new | {"name": "B", "capacity": "0"},
                  new | {"name": "B", "capacity": "999999"}, new | {"name": ""}):  # fmt: skip
        answer = as_owner.send("new-place", **wrong)
        assert answer.status_code == 422
        assert said(answer)
    assert Place.objects.count() == 1


def test_it_adds_somebody_and_never_shows_a_password(as_owner: Browser, stranger: Browser) -> None:
    new = {"username": "noor", "name": "Noor", "role": "counter", "password": "a lamp without a wick"}
    weak = as_owner.send("new-person", **(new | {"password": "short"}))
    assert weak.status_code == 422
    assert said(weak)
    refused = as_owner.send("new-person", **(new | {"role": "king"}))
    assert new["password"] not in text_of(refused)
    assert as_owner.send("new-person", **new).status_code == 303
    assert stranger.post("/sign-in", new).status_code == 303


def test_it_shows_a_token_once_and_revokes_it(as_owner: Browser, ottilie: User) -> None:
    issued = as_owner.send("devices", user=str(ottilie.id), name="Tablet")
    row = DeviceToken.objects.get()
    token = issued.context["token"]
    assert token in text_of(issued)
    assert issued.headers["Cache-Control"] == "no-store"
    assert token not in text_of(as_owner.see("shop"))
    assert token not in str(DeviceToken.objects.values().get())
    as_owner.send("devices", revoke=str(row.id))
    assert DeviceToken.objects.get().revoked_at is not None
    for wrong in ({"revoke": "nonsense"}, {"user": ""}, {"user": "7c9e6679-7425-40de-944b-e07fc1f90ae7", "name": "x"}):
        assert as_owner.send("devices", **wrong).status_code == 422


def test_it_changes_the_figures_and_tells_what_cannot_be(as_owner: Browser, shop: ShopProfile) -> None:
    good = {"name": "Brandt & Töchter", "diagnosis_fee": "30", "quote_days": "10", "warranty_days": "60"}
    assert as_owner.send("figures", **good, version=str(shop.version)).status_code == 303
    assert "Brandt &amp; Töchter" in text_of(as_owner.see("shop"))
    stale = as_owner.send("figures", **good, version=str(shop.version))
    assert "Somebody changed this in the meantime" in said(stale)
    for wrong in ({"time_zone": "Moon/Crater"}, {"email": "nobody"}, {"quote_days": "x"}, {"diagnosis_fee": "-1"},
                  {"name": ""}, {"quote_days": "999999"}, {"diagnosis_fee": "9" * 30}):  # fmt: skip
        answer = as_owner.send("figures", **(good | wrong))
        assert answer.status_code == 422, wrong
        assert said(answer)
    shop.refresh_from_db()
    assert (shop.name, shop.diagnosis_fee_minor) == ("Brandt & Töchter", 3000)


def test_it_shows_an_owners_forms_to_the_owner_alone(as_owner: Browser, as_counter: Browser) -> None:
    assert 'action="/shop/people"' in text_of(as_owner.see("shop"))
    assert 'action="/shop/people"' not in text_of(as_counter.see("shop"))


@pytest.mark.django_db
def test_it_says_whether_it_lives(stranger: Browser) -> None:
    assert stranger.get("/livez").content == b"The shop runs.\n"
    assert "shop.test" not in text_of(stranger.get("/readyz"))
