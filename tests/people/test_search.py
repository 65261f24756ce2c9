"""Finding people and places, in any script, with one query."""

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest_django import DjangoAssertNumQueries

from shop.core.actor import Actor
from shop.core.models import ShopProfile
from shop.people import queries
from shop.people.actions import add_place, change_customer, retire_place, retire_staff
from shop.people.models import Customer, Place, User
from shop.people.search import fold, terms


@pytest.fixture
def everybody(ada: Customer, bao: Customer) -> list[Customer]:
    others = [
        ("Żaneta Größ", "z.gross@post.example", ""),
        ("Ὀδυσσεύς Λ.", "", "+12025550188"),
        ("山田 太郎", "yamada@post.example", ""),
        ("100% Sure_Thing", "sure@post.example", ""),
    ]
    return [ada, bao, *(Customer.objects.create(name=name, email=mail, phone=tel) for name, mail, tel in others)]


@pytest.mark.parametrize(
    ("sought", "names"),
    [
        ("kowal", ["Ada Kowalczyk"]),
        ("ADA@POST", ["Ada Kowalczyk", "山田 太郎"]),
        ("kowalczyk ada", ["Ada Kowalczyk"]),
        ("trần", ["Trần Bảo"]),
        ("TRẦN", ["Trần Bảo"]),
        ("tran bao", ["Trần Bảo"]),
        ("zaneta GRÖSS", ["Żaneta Größ"]),
        ("ΟΔΥΣΣΕΥΣ", ["Ὀδυσσεύς Λ."]),
        ("太郎", ["山田 太郎"]),
        ("(202) 555-0177", ["Ada Kowalczyk"]),
        ("02025550188", ["Ὀδυσσεύς Λ."]),
        ("0188", ["Ὀδυσσεύς Λ."]),
        ("100%", ["100% Sure_Thing"]),
        ("%", ["100% Sure_Thing"]),
        ("sure_", ["100% Sure_Thing"]),
        ("kowalczyk bao", []),
        ("nobody", []),
    ],
)
def test_it_finds_by_name_address_or_number(everybody: list[Customer], sought: str, names: list[str]) -> None:
    assert [customer.name for customer in queries.customers(sought)] == names


def test_it_does_not_find_across_the_end_of_one_column_and_the_start_of_the_next(everybody: list[Customer]) -> None:
    assert not queries.customers("kowalczykada@post").exists()


def test_nothing_sought_finds_everybody_but_those_taken_out_of_use(everybody: list[Customer], frozen: object) -> None:
    Customer.objects.filter(name="Ada Kowalczyk").update(retired_at="2026-03-10T09:00:00Z")
    assert queries.customers("  ").count() == len(everybody) - 1


def test_it_finds_the_new_name_after_a_change_and_no_longer_the_old_one(ada: Customer, helper: Actor) -> None:
    change_customer(actor=helper, customer_id=ada.id, version=1, name="Ada Nowak")
    assert queries.customers("nowak").get() == ada
    assert not queries.customers("kowalczyk").exists()


@given(st.text(alphabet=st.characters(categories=("Lu", "Ll", "Lo", "Mn", "Zs")), max_size=60))
def test_whoever_types_what_is_stored_finds_it(name: str) -> None:
    assert all(term in fold(name) for term in terms(name))


def test_each_reading_is_one_query(
    everybody: list[Customer],
    ottilie: User,
    jun: User,
    shelf: Place,
    bench_one: Place,
    django_assert_num_queries: DjangoAssertNumQueries,
) -> None:
    for read in (queries.staff, queries.technicians, queries.places, queries.benches, queries.customers):
        with django_assert_num_queries(1):
            assert list(read())


def test_it_lists_who_works_here_and_who_works_at_benches(ottilie: User, jun: User, pim: User, owner: Actor) -> None:
    assert list(queries.staff()) == [jun, ottilie, pim]
    assert list(queries.technicians()) == [jun, ottilie]
    retire_staff(actor=owner, user_id=jun.id)
    assert list(queries.technicians()) == [ottilie]


def test_a_badge_tells_whose_it_is_while_they_work_here(jun: User, owner: Actor) -> None:
    assert queries.by_badge(jun.badge_code) == jun
    assert queries.by_badge("0000000") is None
    retire_staff(actor=owner, user_id=jun.id)
    assert queries.by_badge(jun.badge_code) is None


def test_it_lists_places_in_use_and_finds_one_by_its_code(
    shop: ShopProfile, owner: Actor, shelf: Place, bench_two: Place, bench_one: Place
) -> None:
    box = add_place(actor=owner, name="Box 9", kind="box", capacity=3)
    assert list(queries.places()) == [bench_one, bench_two, box, shelf]
    assert list(queries.benches()) == [bench_one, bench_two]
    assert queries.by_place_code(box.code) == box
    retire_place(actor=owner, place_id=box.id, version=1, units_there=lambda place: 0)
    assert queries.by_place_code(box.code) is None
    assert box not in queries.places()
