"""Parts and suppliers."""

from typing import Any

import pytest
from pytest_django import DjangoAssertNumQueries

from shop.core.actor import Actor
from shop.core.models import TrailEntry
from shop.core.reasons import Missing, Refused, Stale, sentence
from shop.parts import queries
from shop.parts.actions import add_part, add_supplier, change_part
from shop.parts.models import Part, Supplier


@pytest.fixture
def tessaro(owner: Actor) -> Supplier:
    return add_supplier(actor=owner, name="Tessaro Components", lead_days=5)


@pytest.fixture
def capacitor(owner: Actor, tessaro: Supplier) -> Part:
    return add_part(
        actor=owner,
        code="C-100U-16V",
        name="Capacitor 100 µF 16 V",
        supplier_id=tessaro.id,
        cost_minor=12,
        price_minor=45,
        reorder_at=50,
    )


def test_the_owner_adds_a_supplier(tessaro: Supplier) -> None:
    tessaro.refresh_from_db()
    assert (tessaro.name, tessaro.lead_days) == ("Tessaro Components", 5)
    assert TrailEntry.objects.get(subject_id=tessaro.id).what == "supplier_added"


@pytest.mark.parametrize(
    ("fields", "code"),
    [
        ({"name": "Tessaro Components"}, "supplier_name_taken"),
        ({"name": ""}, "blank"),
        ({"name": "Other", "lead_days": -1}, "out_of_range"),
        ({"name": "Other", "lead_days": 366}, "out_of_range"),
    ],
)
def test_it_refuses_a_supplier_that_cannot_be(
    owner: Actor, tessaro: Supplier, fields: dict[str, Any], code: str
) -> None:
    with pytest.raises(Refused) as refused:
        add_supplier(actor=owner, **fields)
    assert refused.value.code == code
    assert sentence(refused.value.reasons[0])
    assert Supplier.objects.count() == 1


def test_the_owner_adds_a_part_and_the_trail_keeps_its_figures(capacitor: Part, tessaro: Supplier) -> None:
    capacitor.refresh_from_db()
    assert (capacitor.code, capacitor.name, capacitor.supplier) == ("C-100U-16V", "Capacitor 100 µF 16 V", tessaro)
    assert (capacitor.cost_minor, capacitor.price_minor, capacitor.reorder_at) == (12, 45, 50)
    entry = TrailEntry.objects.get(subject_id=capacitor.id)
    assert (entry.what, entry.after) == ("part_added", "C-100U-16V")
    assert entry.facts == '{"cost_minor": 12, "price_minor": 45, "reorder_at": 50}'


def test_a_part_needs_no_supplier(owner: Actor) -> None:
    assert add_part(actor=owner, code="CLIP", name="Spring clip").supplier is None


@pytest.mark.parametrize(
    ("changes", "code", "field"),
    [
        ({"code": "C-100U-16V"}, "part_code_taken", "code"),
        ({"code": " "}, "blank", "code"),
        ({"code": "C\n1"}, "hidden_character", "code"),
        ({"code": "x" * 41}, "too_long", "code"),
        ({"name": ""}, "blank", "name"),
        ({"cost_minor": -1}, "negative_money", "cost_minor"),
        ({"price_minor": -1}, "negative_money", "price_minor"),
        ({"price_minor": 10**12 + 1}, "out_of_range", "price_minor"),
        ({"reorder_at": -1}, "out_of_range", "reorder_at"),
        ({"supplier_id": "nobody"}, "missing", ""),
    ],
)
def test_it_refuses_a_part_that_cannot_be(
    owner: Actor, capacitor: Part, changes: dict[str, Any], code: str, field: str
) -> None:
    with pytest.raises(Refused) as refused:
        add_part(**{"actor": owner, "code": "R-1K", "name": "Resistor 1 kΩ", **changes})
    reason = refused.value.reasons[0]
    assert (reason.code, reason.field) == (code, field)
    assert sentence(reason)
    assert list(Part.objects.all()) == [capacitor]


def test_a_supplier_out_of_use_supplies_nothing_new(owner: Actor, tessaro: Supplier) -> None:
    Supplier.objects.update(retired_at="2026-03-01T00:00:00Z")
    with pytest.raises(Missing):
        add_part(actor=owner, code="R-1K", name="Resistor 1 kΩ", supplier_id=tessaro.id)


def test_it_changes_what_is_given_and_leaves_the_rest(owner: Actor, capacitor: Part) -> None:
    change_part(actor=owner, part_id=capacitor.id, version=1, price_minor=60, supplier_id=None)
    capacitor.refresh_from_db()
    assert (capacitor.price_minor, capacitor.supplier, capacitor.cost_minor) == (60, None, 12)
    assert (capacitor.code, capacitor.version) == ("C-100U-16V", 2)
    entry = TrailEntry.objects.filter(subject_id=capacitor.id).latest("seq")
    assert entry.what == "part_changed"
    assert '"fields": ["price_minor", "supplier_id"]' in entry.facts


def test_saying_the_same_again_changes_nothing(owner: Actor, capacitor: Part) -> None:
    assert change_part(actor=owner, part_id=capacitor.id, version=1, price_minor=45).version == 1


def test_a_stale_page_does_not_overwrite_a_price(owner: Actor, capacitor: Part) -> None:
    change_part(actor=owner, part_id=capacitor.id, version=1, price_minor=60)
    with pytest.raises(Stale):
        change_part(actor=owner, part_id=capacitor.id, version=1, price_minor=10)
    capacitor.refresh_from_db()
    assert capacitor.price_minor == 60


def test_a_refused_change_leaves_all_of_it_as_it_was(owner: Actor, capacitor: Part) -> None:
    with pytest.raises(Refused, match="negative_money"):
        change_part(actor=owner, part_id=capacitor.id, version=1, name="Other", price_minor=-1)
    capacitor.refresh_from_db()
    assert (capacitor.name, capacitor.version) == ("Capacitor 100 µF 16 V", 1)


def test_only_the_owner_changes_parts(technician: Actor, helper: Actor, capacitor: Part) -> None:
    for actor in (technician, helper):
        with pytest.raises(Refused, match="not_permitted"):
            add_supplier(actor=actor, name="Other")
        with pytest.raises(Refused, match="not_permitted"):
            add_part(actor=actor, code="R-1K", name="Resistor")
        with pytest.raises(Refused, match="not_permitted"):
            change_part(actor=actor, part_id=capacitor.id, version=1, price_minor=1)


def test_each_reading_is_one_query_however_many_there_are(
    owner: Actor, capacitor: Part, tessaro: Supplier, django_assert_num_queries: DjangoAssertNumQueries
) -> None:
    for number in range(5):
        add_part(actor=owner, code=f"R-{number}", name="Resistor", supplier_id=tessaro.id)
    with django_assert_num_queries(1):
        assert [str(part.supplier) for part in queries.parts()] == ["Tessaro Components"] * 6
    with django_assert_num_queries(1):
        assert list(queries.suppliers()) == [tessaro]


def test_it_lists_parts_in_use_by_code(owner: Actor, capacitor: Part) -> None:
    add_part(actor=owner, code="A-1", name="First")
    assert [part.code for part in queries.parts()] == ["A-1", "C-100U-16V"]
    Part.objects.filter(code="A-1").update(retired_at="2026-03-01T00:00:00Z")
    assert [part.code for part in queries.parts()] == ["C-100U-16V"]
