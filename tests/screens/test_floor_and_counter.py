"""The floor and the counter: what is where, who is found, and what was typed is kept."""

import pytest

from shop.floor.demo.stock_in_trade import House
from shop.people.models import Customer, Place
from shop.units.models import Announcement, Stage, Unit, Waiting
from shop.units.steps import give_tag
from tests.screens.browsing import Browser, said
from tests.screens.conftest import At, text_of, trail_of


def test_it_says_on_an_empty_floor_where_to_begin(as_counter: Browser) -> None:
    page = text_of(as_counter.see("floor"))
    assert "The shop is empty." in page
    assert 'href="/counter"' in page


def test_it_shows_each_unit_once_where_it_is(as_counter: Browser, unit_at: At) -> None:
    units = [unit_at(where) for where in ("intake", "queue", "quoted", "pickup", "left", "diagnosis")]
    page = text_of(as_counter.see("floor"))
    assert [page.count(f'href="/units/{unit.number}"') for unit in units] == [1, 1, 1, 1, 0, 1]
    assert page.index("Bench 1") < page.index(f'href="/units/{units[-1].number}"') < page.index("Bench 2")


def test_it_shows_what_each_unit_waits_for(as_counter: Browser, unit_at: At) -> None:
    unit_at("quoted")
    assert "Waits for the customer&#x27;s answer to the quote." in text_of(as_counter.see("floor"))


def test_it_gives_the_script_the_middle_of_the_floor_alone(as_counter: Browser) -> None:
    part = text_of(as_counter.get("/", headers={"HX-Request": "true"}))
    assert "<h1>Floor</h1>" in part
    assert "<html" not in part


def test_it_says_at_the_counter_that_the_shop_is_full(as_counter: Browser, unit_at: At, shelf: Place) -> None:
    assert "Every shelf is full" not in text_of(as_counter.see("counter"))
    unit_at("queue")
    Place.objects.filter(pk=shelf.pk).update(capacity=1)
    assert "Every shelf is full" in text_of(as_counter.see("counter"))
    refused = as_counter.do(unit_at_intake := unit_at("intake"), "take_in")
    assert refused.status_code == 422
    assert said(refused)
    assert Unit.objects.get(pk=unit_at_intake.pk).stage == Stage.INTAKE


@pytest.mark.parametrize(
    ("name", "sought"),
    [
        ("Trần Bảo", "tran bao"), ("Łucja Ōta", "Ōta"), ("ليلى منصور", "ليلى"), ("Мила Шевчук", "шевч"),
        ("木村 あかり", "あかり"), ("O'Neil & <Sons>", "neil & <sons>"), ("Ziggy 🎛️", "🎛️"),
    ],
)  # fmt: skip
def test_it_finds_a_customer_in_any_script(as_counter: Browser, shop: object, name: str, sought: str) -> None:
    made = as_counter.send("new-customer", name=name, email="who@post.example")
    assert made.status_code == 303
    page = as_counter.see("counter", q=sought)
    found = Customer.objects.get()
    assert found.name == name
    assert f"?customer={found.id}" in text_of(page)
    assert "<Sons>" not in text_of(page)


@pytest.mark.parametrize("sought", ["QL-77", "0001", "#1", "lantern", "quillon", "kowal", "ada@post"])
def test_it_finds_a_unit_by_what_is_known_of_it(
    as_counter: Browser, house: House, ada: Customer, lantern: object, sought: str
) -> None:
    give_tag(Unit.objects.create(number=1, customer=ada, model=house.models["lantern"], serial="QL-77"))
    assert 'href="/units/1"' in text_of(as_counter.see("counter", q=sought))
    assert "Nobody and nothing found." in text_of(as_counter.see("counter", q="zzz"))


def test_it_keeps_a_new_customer_as_typed_when_something_is_wrong(as_counter: Browser) -> None:
    answer = as_counter.send(
        "new-customer", name="Noor de Wit", phone="123", postal_address="4 Quay", notice_consent="on"
    )
    page = text_of(answer)
    assert answer.status_code == 422
    assert said(answer)
    for kept in ('value="Noor de Wit"', 'value="123"', "4 Quay</textarea>", 'name="notice_consent" checked'):
        assert kept in page
    assert not Customer.objects.exists()


def test_it_keeps_a_write_up_as_typed_when_something_is_wrong(as_counter: Browser, house: House, ada: Customer) -> None:
    recap = house.services["recap"]
    answer = as_counter.send(
        "write-up", customer=str(ada.id), model=str(house.models["lantern"].id), serial="QL-<9>",
        complaint="Hums & hisses",
        came_with="two <b>leads</b>", condition="chipped", services=str(recap.id), agreed="limit", spending_limit="-5",
        by_mail="on", consents_asked="1", consent_work="on", announcement="", cable="five-wire",
    )  # fmt: skip
    page = text_of(answer)
    assert answer.status_code == 422
    assert "below zero" in said(answer)
    for kept in (
        'value="QL-&lt;9&gt;"', "Hums &amp; hisses</textarea>", "two &lt;b&gt;leads&lt;/b&gt;</textarea>", 'value="-5"',
        f'value="{recap.id}" checked', 'value="limit" checked', 'name="by_mail" checked', 'name="consent_work" checked',
        f'value="{house.models["lantern"].id}" selected', 'value="five-wire"', "A unit of Ada Kowalczyk",
    ):  # fmt: skip
        assert kept in page, kept
    assert not Unit.objects.exists()


def test_it_shows_that_a_unit_was_here_before(as_counter: Browser, unit_at: At, ada: Customer) -> None:
    before = unit_at("left")
    page = text_of(
        as_counter.see("write-up", customer=str(ada.id), model=str(before.model_id), serial=before.serial.lower())
    )
    assert "This one was here before:" in page
    assert f'<option value="{before.id}"' in page


def test_it_ties_an_announced_parcel_to_its_unit(as_counter: Browser, house: House, ada: Customer) -> None:
    parcel = Announcement.objects.create(name="Ada", email=ada.email, device="Lantern", complaint="Hums")
    fields = {"customer": str(ada.id), "model": str(house.models["lantern"].id), "complaint": "Hums", "by_mail": "on"}
    wrong = as_counter.send("write-up", **fields, announcement="ZZZZZZZZ")
    assert wrong.status_code == 422
    assert not Unit.objects.exists()
    assert as_counter.send("write-up", **fields, announcement=parcel.code).status_code == 303
    unit = Unit.objects.get()
    assert Announcement.objects.get().unit == unit
    assert "announcement_met" in trail_of(unit)


def test_it_keeps_a_waiting_list(as_counter: Browser, ada: Customer) -> None:
    assert as_counter.send("waiting", customer=str(ada.id), device="Lantern").status_code == 303
    page = text_of(as_counter.see("counter"))
    assert "Ada Kowalczyk: Lantern" in page
    as_counter.send("waiting", entry=str(Waiting.objects.get().id))
    assert "Nobody waits." in text_of(as_counter.see("counter"))


@pytest.mark.django_db(transaction=True)
@pytest.mark.parametrize("customer", ["", "00000000-0000-0000-0000-000000000000", "not an id"])
def test_it_lists_nobody_that_it_does_not_know(as_counter: Browser, customer: str) -> None:
    answer = as_counter.send("waiting", customer=customer, device="Lantern")
    assert answer.status_code == 422
    assert said(answer)
    assert not Waiting.objects.exists()


@pytest.mark.django_db(transaction=True)
def test_it_writes_up_nothing_for_a_customer_that_it_does_not_know(as_counter: Browser, house: House) -> None:
    answer = as_counter.send(
        "write-up",
        customer="7c9e6679-7425-40de-944b-e07fc1f90ae7",
        model=str(house.models["lantern"].id),
        complaint="Hums",
    )
    assert answer.status_code == 422
    assert said(answer)
    assert not Unit.objects.exists()


def test_it_lets_no_page_be_kept_by_whoever_shares_the_browser(as_counter: Browser) -> None:
    """After signing out, Back must not show a customer's address."""
    assert "no-store" in as_counter.see("counter").headers["Cache-Control"]
