"""The kept copy of the page: it spares the reading, and is never older than what happened."""

import re
from collections.abc import Callable
from threading import Event, Thread
from uuid import uuid4

import pytest
import time_machine
from django.core.cache import cache
from django.db import connection, transaction
from django.http import HttpResponse
from django.test import Client
from django.test.utils import CaptureQueriesContext

from customer_portal.kept import keep
from shop.books.actions import take_payment
from shop.core.actor import Actor
from shop.core.profile import change_profile
from shop.floor.demo.journeys import Journey
from shop.floor.demo.pictures import photo
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows.pickup import renew_link, revoke_link
from shop.floor.stages import Move
from shop.people.customer_actions import add_customer, change_customer
from shop.people.models import Customer
from shop.quotes import questions
from shop.quotes.models import Question
from shop.units import actions as units
from shop.units.models import Unit
from shop.work import actions as work
from shop.work.models import JobStep
from tests.customer_portal.conftest import of, phone_of, token_for
from tests.floor.conftest import FEE
from tests.screens.conftest import At

SECRET = re.compile(r'name="csrfmiddlewaretoken" value="(\w+)"')


def shown_to(phone: Client, address: str) -> str:
    return SECRET.sub("", phone.get(address).content.decode())


def assert_as_new(phone: Client, address: str = "/c/") -> str:
    """The page as it is kept is the page as it would be written now; it is kept from here on."""
    kept = shown_to(phone, address)
    cache.clear()
    assert kept == shown_to(phone, address)
    return kept


def test_a_second_look_asks_once_and_shows_the_same(unit_at: At) -> None:
    phone = phone_of(unit_at("quoted"))
    first = shown_to(phone, "/c/")
    with CaptureQueriesContext(connection) as caught:
        assert shown_to(phone, "/c/") == first
    assert len(caught) == 1


def test_it_follows_a_unit_from_the_counter_to_the_door(house: House, ada: Customer) -> None:
    journey = Journey(house, days_ago=3, seed=1)
    journey.arrive(ada, "lantern", ["recap"], serial=f"QL-{uuid4().hex[:6]}", complaint="Hums", **FEE)
    phone = phone_of(journey.unit)
    seen = [assert_as_new(phone)]
    for step in (
        journey.take_in,
        lambda: journey.start(Move.START_DIAGNOSIS, 0).open_case(),
        lambda: journey.look_inside("QL-B2"),
        journey.quote,
        lambda: journey.answer(approve=True),
        lambda: journey.start(Move.START_WORK, 0),
        journey.work,
        journey.passes,
        journey.leaves,
    ):
        step()
        seen.append(assert_as_new(phone))
    assert len(set(seen)) == len(seen)


def _ticks(unit: Unit, house: House) -> None:
    step = JobStep.objects.filter(unit=unit, done_at=None, retired_at=None).order_by("position")[0]
    work.tick(actor=house.technician, unit_id=unit.id, step_id=step.id)


def _asks(unit: Unit, _house: House) -> None:
    assert phone_of(unit).post(of(unit, "question"), {"question": "Is it loud?"}).status_code == 303


def _answers(unit: Unit, house: House) -> None:
    _asks(unit, house)
    phone_of(unit).get("/c/")
    questions.answer(actor=house.counter, question_id=Question.objects.get().id, text="Not any more.")


def _photographs(unit: Unit, house: House) -> None:
    kept = photo(house.technician, "case", 1)
    units.add_unit_photo(actor=house.technician, unit_id=unit.id, photo_id=kept.id, purpose="other")


def _pays(unit: Unit, house: House) -> None:
    take_payment(actor=house.counter, unit_id=unit.id, amount_minor=500, method="cash")


def _moves_away(unit: Unit, house: House) -> None:
    customer = Customer.objects.get(pk=unit.customer_id)
    changed = {"version": customer.version, "time_zone": "Asia/Ho_Chi_Minh"}
    change_customer(actor=house.counter, customer_id=customer.id, **changed)


def _shop_moves(_unit: Unit, house: House) -> None:
    change_profile(actor=house.owner, town="Nether Quay")


def _brings_another(unit: Unit, house: House) -> None:
    journey = Journey(house, days_ago=1, seed=2)
    journey.arrive(unit.customer, "lantern", [], serial="QL-another", complaint="Dark", **FEE)  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("stage", "change"),
    [
        ("work", _ticks), ("quoted", _asks), ("quoted", _answers), ("work", _photographs), ("pickup", _pays),
        ("work", _moves_away), ("work", _shop_moves), ("work", _brings_another),
    ],
)  # fmt: skip
def test_it_is_written_anew_after(stage: str, change: Callable[[Unit, House], None], unit_at: At, house: House) -> None:
    unit = unit_at(stage)
    phone = phone_of(unit)
    before = shown_to(phone, "/c/")
    change(unit, house)
    assert assert_as_new(phone) != before


def test_it_is_written_anew_for_what_the_clock_changes(
    unit_at: At, frozen: time_machine.Traveller
) -> None:  # fmt: skip
    phone = phone_of(unit_at("quoted"))
    assert "Please read the quote" in shown_to(phone, "/c/")
    frozen.shift(60 * 60 * 24 * 60)
    assert "Please read the quote" not in assert_as_new(phone)


def test_each_visitor_gets_a_secret_that_works_for_them_alone(unit_at: At) -> None:
    unit = unit_at("quoted")
    phones = [Client(enforce_csrf_checks=True) for _ in range(2)]
    secrets = []
    for phone in phones:
        assert phone.get(f"/c/{token_for(unit)}").status_code == 303
        secrets.append(SECRET.search(phone.get("/c/").content.decode())[1])  # type: ignore[index]
    form = {"question": "Is it loud?"}
    assert phones[0].post(of(unit, "question"), form | {"csrfmiddlewaretoken": secrets[1]}).status_code == 403
    assert phones[1].post(of(unit, "question"), form | {"csrfmiddlewaretoken": secrets[1]}).status_code == 303


def test_the_secret_is_not_kept() -> None:
    keep("page", HttpResponse('<input type="hidden" name="csrfmiddlewaretoken" value="s3cret">'))
    assert cache.get("page") == b'<input type="hidden" name="csrfmiddlewaretoken" value="">'


def test_languages_links_and_units_are_kept_apart(unit_at: At, house: House) -> None:
    """Ada's two units and Noor's one: what is kept of one page is shown as no other."""
    unit, second = unit_at("quoted"), unit_at("work")
    journey = Journey(house, days_ago=1, seed=2)
    noor = add_customer(actor=house.counter, name="Noor de Wit", email="noor@post.example", notice_consent=True)
    noors = journey.arrive(noor, "lantern", [], serial="QL-noors", complaint="Dark", **FEE).unit
    phone = phone_of(unit)
    for _twice in range(2):
        pages = [
            shown_to(phone, of(unit)),
            shown_to(phone, of(second)),
            SECRET.sub("", phone.get(of(unit), headers={"Accept-Language": "de"}).content.decode()),
            shown_to(phone_of(noors), "/c/"),
        ]
        assert len(set(pages)) == len(pages)
    assert phone.get(of(noors)).status_code == 404


def test_what_one_visit_did_is_not_shown_to_the_next(unit_at: At) -> None:
    phone = phone_of(unit_at("quoted"))
    thanked = phone.get("/c/?asked=1").content.decode()
    assert "Thank you. We answer here" in thanked
    assert "Thank you. We answer here" not in phone.get("/c/").content.decode()


@pytest.mark.parametrize("end", [revoke_link, renew_link])
def test_a_link_that_is_withdrawn_opens_nothing_that_was_kept(
    end: Callable[..., Unit], unit_at: At, owner: Actor
) -> None:
    unit = unit_at("quoted")
    phone = phone_of(unit)
    assert phone.get("/c/").status_code == 200
    end(actor=owner, unit_id=unit.id)
    assert phone.get("/c/").status_code == 404


@pytest.mark.django_db(transaction=True)
def test_a_look_in_the_middle_of_a_change_is_not_kept_beyond_it(unit_at: At, house: House) -> None:
    """The change has its row of the story already, but is not there for others before it is whole."""
    unit = unit_at("quoted")
    phone = phone_of(unit)
    written, looked = Event(), Event()

    def change() -> None:
        with transaction.atomic():
            _photographs(unit, house)
            written.set()
            looked.wait(20)
        connection.close()

    other = Thread(target=change)
    other.start()
    assert written.wait(20)
    before = shown_to(phone, "/c/")
    looked.set()
    other.join(20)
    assert assert_as_new(phone) != before
