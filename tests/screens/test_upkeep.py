"""The owner changes people, places, parts and services; everybody changes their own password."""

import pytest
from django.urls import reverse
from time_machine import Traveller

from shop.boards.models import Service
from shop.parts.models import Part, Supplier
from shop.people import second_factor
from shop.people.models import Place, User
from shop.units.models import Unit
from tests.people.test_second_factor import turn_on
from tests.screens.browsing import Browser, said
from tests.screens.conftest import At, browser_of
from tests.screens.test_sign_in import PASSWORD, sign_in


def test_the_owner_changes_a_role_and_lets_somebody_go(as_owner: Browser, jun: User) -> None:
    theirs = browser_of(jun)
    assert jun.name in as_owner.see("person", jun.id).content.decode()
    assert as_owner.send("person-do", jun.id, "role", role="counter").status_code == 303
    jun.refresh_from_db()
    assert jun.role == "counter"
    assert as_owner.send("person-do", jun.id, "role", role="emperor").status_code == 422
    assert theirs.see("floor").status_code == 200
    assert as_owner.send("person-do", jun.id, "retire").url == reverse("screens:shop")
    assert theirs.see("floor").status_code == 302
    assert jun.name not in as_owner.see("shop").content.decode()
    assert "Has left" in as_owner.see("person", jun.id).content.decode()


def test_ones_own_account_is_changed_on_its_own_page(as_owner: Browser, ottilie: User) -> None:
    for verb in ("role", "password", "second-step-off", "retire"):
        assert as_owner.send("person-do", ottilie.id, verb, role="counter").url == reverse("screens:me"), verb
    ottilie.refresh_from_db()
    assert (ottilie.role, ottilie.retired_at) == ("owner", None)


def test_a_new_password_ends_the_sessions_that_are_open(as_owner: Browser, stranger: Browser, jun: User) -> None:
    theirs = browser_of(jun)
    weak = as_owner.send("person-do", jun.id, "password", password="password1")
    assert weak.status_code == 422
    assert "too easy" in said(weak)
    assert as_owner.send("person-do", jun.id, "password", password="seven moths by the lamp").status_code == 303
    assert theirs.see("floor").status_code == 302
    assert sign_in(stranger, "jun", "seven moths by the lamp").status_code == 303


def test_the_owner_turns_a_lost_telephone_off(as_owner: Browser, jun: User, frozen: Traveller) -> None:
    assert "second step off" not in as_owner.see("person", jun.id).content.decode()
    turn_on(jun)
    assert "second step off" in as_owner.see("person", jun.id).content.decode()
    assert as_owner.send("person-do", jun.id, "second-step-off").status_code == 303
    assert second_factor.factor_of(jun) is None


def test_somebody_changes_their_own_password_and_stays_signed_in(jun: User, stranger: Browser) -> None:
    here, elsewhere = browser_of(jun), browser_of(jun)
    new = "seven moths by the lamp"
    wrong = here.send("my-password", present="not this", password=new)
    assert wrong.status_code == 422
    assert "not right" in said(wrong)
    assert here.send("my-password", present=PASSWORD, password=new).status_code == 303
    assert "changed" in here.get("/me?changed").content.decode()
    assert elsewhere.see("floor").status_code == 302
    assert sign_in(stranger, "jun", new).status_code == 303


def test_a_guesser_at_an_open_session_is_slowed_down(jun: User) -> None:
    here = browser_of(jun)
    for _ in range(5):
        here.send("my-password", present="not this", password="seven moths by the lamp")
    assert "too many" in said(here.send("my-password", present=PASSWORD, password="seven moths by the lamp"))


def test_the_owner_changes_a_place_and_an_old_page_does_not(as_owner: Browser, shelf: Place) -> None:
    fields = {"name": "Shelf A, left", "capacity": "4", "equipment": "lamp, hook"}
    assert as_owner.send("place-do", shelf.id, "change", version=str(shelf.version), **fields).status_code == 303
    old = as_owner.send("place-do", shelf.id, "change", version=str(shelf.version), **fields | {"name": "Mine"})
    assert old.status_code == 422
    assert "Somebody changed this" in said(old)
    assert 'value="Mine"' in old.content.decode()
    shelf.refresh_from_db()
    assert (shelf.name, shelf.capacity, shelf.equipment) == ("Shelf A, left", 4, ["lamp", "hook"])
    assert as_owner.send("place-do", shelf.id, "change", version=str(shelf.version), **fields | {"capacity": "501"}) \
        .status_code == 422  # fmt: skip


def test_a_place_with_units_stays_until_they_lie_elsewhere(as_owner: Browser, unit_at: At) -> None:
    unit: Unit = unit_at("queue")
    place = unit.place
    assert place is not None
    kept = as_owner.send("place-do", place.id, "retire", version=str(place.version))
    assert "Move them elsewhere" in said(kept)
    empty = Place.objects.create(name="Box 9", kind="box", capacity=1)
    assert as_owner.send("place-do", empty.id, "retire", version="1").status_code == 303
    assert "Box 9" not in as_owner.see("shop").content.decode()


@pytest.fixture
def regulator(db: None) -> Part:
    return Part.objects.create(code="REG-9V", name="9 V regulator", cost_minor=90, price_minor=450)


def test_the_owner_changes_a_part_and_takes_it_off_the_list(
    as_owner: Browser, as_technician: Browser, regulator: Part
) -> None:
    assert as_owner.send("library-do", "supplier", name="Coastal Parts", lead_days="4").status_code == 303
    supplier = Supplier.objects.get()
    fields = {"name": "9 V regulator, 1 A", "cost": "1.10", "price": "5", "reorder_at": "3"}
    answer = as_owner.send("part-do", regulator.id, "change", version="1", supplier=str(supplier.id), **fields)
    assert answer.status_code == 303
    regulator.refresh_from_db()
    assert (regulator.name, regulator.cost_minor, regulator.price_minor, regulator.reorder_at, regulator.supplier) == (
        "9 V regulator, 1 A", 110, 500, 3, supplier,
    )  # fmt: skip
    wrong = as_owner.send("part-do", regulator.id, "change", version="2", **fields | {"price": "-5"})
    assert "below zero" in said(wrong)
    assert "Keep it" not in as_technician.see("part", regulator.id).content.decode()
    assert as_owner.send("part-do", regulator.id, "retire", version="2").status_code == 303
    assert "REG-9V" not in as_owner.see("library").content.decode()


def test_a_technician_changes_a_service_and_what_it_brings(
    as_technician: Browser, recap: Service, regulator: Part
) -> None:
    fields = {
        "name": "Recap, whole board",
        "minutes": "95",
        "price": "80",
        "steps": "Out with the old\nIn with the new",
    }
    assert as_technician.send("service-do", recap.id, "change", version="1", **fields).status_code == 303
    recap.refresh_from_db()
    assert (recap.name, recap.minutes, recap.price_minor, recap.steps) == (
        "Recap, whole board", 95, 8000, ["Out with the old", "In with the new"],
    )  # fmt: skip
    version = str(recap.version)
    brought = {f"of-{row.part_id}": "2" for row in recap.parts.all()}
    added = {"part": str(regulator.id), "quantity": "1"}
    assert as_technician.send("service-do", recap.id, "parts", version=version, **brought, **added).status_code == 303
    quantities = {row.part_id: row.quantity for row in recap.parts.all()}
    assert quantities[regulator.id] == 1
    recap.refresh_from_db()
    gone = {f"of-{regulator.id}": "0"}
    assert as_technician.send("service-do", recap.id, "parts", version=str(recap.version), **gone).status_code == 303
    assert not recap.parts.exists()
    odd = as_technician.send("service-do", recap.id, "parts", version=str(recap.version + 1), **{"of-nonsense": "1"})
    assert odd.status_code == 422
    recap.refresh_from_db()
    assert as_technician.send("service-do", recap.id, "retire", version=str(recap.version)).status_code == 303
    assert "No longer offered" in as_technician.see("service", recap.id).content.decode()


def test_what_is_not_there_is_not_found(as_owner: Browser) -> None:
    nowhere = "00000000-0000-0000-0000-000000000194"
    for name in ("person", "place", "part", "service"):
        assert as_owner.see(name, nowhere).status_code == 404, name
