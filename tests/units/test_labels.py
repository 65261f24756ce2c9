"""What stands on labels."""

import io

import pytest
from pypdf import PdfReader
from pytest_django import DjangoAssertNumQueries

from shop.boards.models import DeviceModel
from shop.core.reasons import Missing
from shop.core.tagcode import printed
from shop.people.models import Customer, Place, User
from shop.units.label_draw import tag_pdf
from shop.units.labels import Tag, tag_of_bag, tags_of_badges, tags_of_bags, tags_of_places, tags_of_unit
from shop.units.models import Bag, Finding, Unit


@pytest.fixture
def unit(bao: Customer, lantern: DeviceModel) -> Unit:
    """Bao's lantern, number 1042, with its own tag and a bag of fasteners."""
    unit = Unit.objects.create(number=1042, customer=bao, model=lantern)
    Bag.objects.create(unit=unit, kind="unit", code="K7Q2M9F")
    Bag.objects.create(unit=unit, kind="fasteners", code="0A1B2C3", contents="six long screws")
    return unit


def text_of(pdf: bytes) -> str:
    return "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)


def test_it_makes_a_label_for_every_bag_of_a_unit(unit: Unit) -> None:
    own, fasteners = tags_of_unit(unit.id)
    assert own == Tag(
        address="http://shop.test/t/K7Q2M9F",
        code=printed("K7Q2M9F"),
        large="042",
        title="Quillon Lantern",
        owner="TB",
        kind="unit",
    )
    assert (fasteners.code, fasteners.large, fasteners.kind) == (printed("0A1B2C3"), "042", "fasteners")
    assert fasteners.contents == "six long screws"


def test_it_prints_what_a_person_needs_and_no_name_in_full(unit: Unit) -> None:
    text = " ".join(text_of(tag_pdf(tags_of_unit(unit.id))).split())
    for words in (printed("K7Q2M9F"), "042", "Quillon Lantern", "TB", "unit", printed("0A1B2C3"), "six long screws"):
        assert words in text
    assert "Bảo" not in text


def test_a_unit_of_the_shop_says_so_instead_of_initials(lantern: DeviceModel) -> None:
    bag = Bag.objects.create(unit=Unit.objects.create(number=7, model=lantern), kind="unit")
    assert tag_of_bag(bag.id).owner == "shop's own"
    assert tag_of_bag(bag.id).large == "007"


def test_it_warns_of_insects_on_every_bag_and_of_what_is_inside_on_the_units_own(unit: Unit) -> None:
    Finding.objects.create(unit=unit, kind="insects")
    Finding.objects.create(unit=unit, kind="smoke")
    DeviceModel.objects.update(mains_inside=True, tube_inside=True)
    own, fasteners = tags_of_unit(unit.id)
    assert own.cautions == ("insects: keep sealed", "picture tube: lethal charge", "mains inside")
    assert fasteners.cautions == ("insects: keep sealed",)
    assert "insects: keep" in text_of(tag_pdf([fasteners]))


def test_it_asks_the_database_twice_for_any_number_of_labels(
    unit: Unit, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    Finding.objects.create(unit=unit, kind="insects")
    for number in range(5):
        Bag.objects.create(unit=Unit.objects.create(number=number, model=unit.model), kind="unit")
    with django_assert_num_queries(2):
        assert len(tags_of_bags(Bag.objects.all())) == 7


def test_it_says_when_there_is_no_such_bag(unit: Unit) -> None:
    with pytest.raises(Missing):
        tag_of_bag(unit.id)


def test_places_and_badges_have_labels_too(bench_one: Place, ottilie: User) -> None:
    (place,) = tags_of_places([bench_one])
    assert place.address == f"http://shop.test/p/{bench_one.code}"
    assert (place.large, place.kind, place.contents) == ("Bench 1", "bench", "hot air, isolated mains")
    (badge,) = tags_of_badges([ottilie])
    assert badge.address == f"http://shop.test/b/{ottilie.badge_code}"
    assert (badge.large, badge.kind, badge.code) == ("Ottilie Brandt", "owner", printed(ottilie.badge_code))
    text = " ".join(text_of(tag_pdf([place, badge])).split())
    assert "Bench 1" in text
    assert "Ottilie Brandt" in text
