"""What can be written down about a unit, and what is refused."""

from typing import Any
from uuid import uuid4

import pytest

from shop.core import clock
from shop.core.actor import Actor, Role
from shop.core.models import Photo, TrailEntry
from shop.core.reasons import Missing, Refused, Stale
from shop.people.models import Customer
from shop.units import actions
from shop.units.models import Bag, Cost, Finding, Unit, Waiting
from tests.units.conftest import trail


def test_it_changes_the_write_up_and_says_which_fields(unit: Unit, helper: Actor) -> None:
    changed = actions.change_written_up(actor=helper, unit_id=unit.id, complaint=" Buzzes ", serial="QL-1")
    assert (changed.complaint, changed.serial, changed.version) == ("Buzzes", "QL-1", unit.version + 1)
    assert '"fields": ["complaint", "serial"]' in TrailEntry.objects.get(subject_id=unit.id).facts


def test_nothing_changed_is_nothing_written(unit: Unit, helper: Actor) -> None:
    assert actions.change_written_up(actor=helper, unit_id=unit.id, complaint="Hums").version == unit.version
    assert trail(unit) == []


def test_an_old_page_changes_nothing(unit: Unit, helper: Actor) -> None:
    actions.change_written_up(actor=helper, unit_id=unit.id, version=unit.version, serial="A")
    with pytest.raises(Stale):
        actions.change_written_up(actor=helper, unit_id=unit.id, version=unit.version, serial="B")
    assert Unit.objects.get(pk=unit.pk).serial == "A"


@pytest.mark.parametrize(
    ("field", "limit"), [("serial", 60), ("complaint", 2000), ("came_with", 1000), ("condition", 2000), ("cable", 80)]
)
def test_words_have_an_end(unit: Unit, helper: Actor, field: str, limit: int) -> None:
    actions.change_written_up(actor=helper, unit_id=unit.id, **{field: "x" * limit})
    with pytest.raises(Refused) as refused:
        actions.change_written_up(actor=helper, unit_id=unit.id, **{field: "x" * (limit + 1)})
    assert (refused.value.code, refused.value.reasons[0].field) == ("too_long", field)


def test_a_field_that_is_no_field_is_a_mistake_of_the_caller(unit: Unit, helper: Actor) -> None:
    with pytest.raises(ValueError, match="stage"):
        actions.change_written_up(actor=helper, unit_id=unit.id, stage="pickup")


def test_nothing_is_written_about_a_unit_that_left(unit: Unit, owner: Actor, photo: Photo) -> None:
    Unit.objects.filter(pk=unit.pk).update(stage="pickup", outcome="collected", left_at=clock.now(), place=None)
    calls: list[tuple[Any, dict[str, Any]]] = [
        (actions.change_written_up, {"serial": "x"}),
        (actions.add_finding, {"kind": "smoke"}),
        (actions.add_unit_photo, {"photo_id": photo.id, "purpose": "board"}),
        (actions.add_bag, {"kind": "fasteners"}),
        (actions.record_incident, {"text": "a", "offer": "b", "cost_minor": 1}),
        (actions.decide_comeback, {"free": True, "reason": "ours"}),
        (actions.add_cost, {"text": "a", "amount_minor": 1}),
    ]
    for act, facts in calls:
        with pytest.raises(Refused, match="unit_left"):
            act(actor=owner, unit_id=unit.id, **facts)
    assert trail(unit) == []


def test_a_unit_that_is_not_there_is_missing(shop: object, helper: Actor) -> None:
    with pytest.raises(Missing):
        actions.add_bag(actor=helper, unit_id=uuid4(), kind="fasteners")


def test_a_finding_is_settled_once_with_what_was_done(unit: Unit, technician: Actor, photo: Photo) -> None:
    found = actions.add_finding(actor=technician, unit_id=unit.id, kind="insects", photo_id=photo.id)
    settled = actions.settle_finding(actor=technician, finding_id=found.id, text="Two days in the freezer")
    again = actions.settle_finding(actor=technician, finding_id=found.id, text="Again")
    assert settled.settled_at is not None
    assert again.settled_at == settled.settled_at
    assert trail(unit) == ["finding_added", "finding_settled"]
    with pytest.raises(Missing):
        actions.settle_finding(actor=technician, finding_id=uuid4(), text="x")


def test_another_finding_needs_words_and_the_rest_do_not(unit: Unit, helper: Actor) -> None:
    actions.add_finding(actor=helper, unit_id=unit.id, kind="smoke")
    with pytest.raises(Refused, match="blank"):
        actions.add_finding(actor=helper, unit_id=unit.id, kind="other")
    with pytest.raises(Refused, match="not_a_choice"):
        actions.add_finding(actor=helper, unit_id=unit.id, kind="ghosts")
    assert Finding.objects.count() == 1


def test_personal_words_stay_out_of_the_trails_facts(unit: Unit, helper: Actor) -> None:
    actions.add_finding(actor=helper, unit_id=unit.id, kind="other", text="Noor's name is scratched in")
    entry = TrailEntry.objects.get(subject_id=unit.id)
    assert "Noor" not in entry.facts
    assert entry.note is not None
    assert entry.note.text == "Noor's name is scratched in"


def test_a_bag_gets_a_code_of_its_own_and_the_units_tag_stays_the_only_one(unit: Unit, helper: Actor) -> None:
    codes = {actions.add_bag(actor=helper, unit_id=unit.id, kind="fasteners").code for _ in range(2)}
    assert len(codes) == 2
    with pytest.raises(Refused, match="not_a_choice"):
        actions.add_bag(actor=helper, unit_id=unit.id, kind="unit")
    assert Bag.objects.filter(unit=unit, kind="unit").count() == 1


def test_a_picture_says_what_it_shows(unit: Unit, technician: Actor, photo: Photo) -> None:
    kept = actions.add_unit_photo(actor=technician, unit_id=unit.id, photo_id=photo.id, purpose="board", caption="C60")
    assert (kept.purpose, kept.caption, kept.for_customer) == ("board", "C60", True)
    with pytest.raises(Refused, match="not_a_choice"):
        actions.add_unit_photo(actor=technician, unit_id=unit.id, photo_id=photo.id, purpose="holiday")


def test_an_incident_names_what_is_offered(unit: Unit, owner: Actor) -> None:
    actions.record_incident(actor=owner, unit_id=unit.id, text="Dropped", offer="A new case", cost_minor=1200)
    for wrong, code in (({"offer": " "}, "blank"), ({"cost_minor": -1}, "negative_money")):
        with pytest.raises(Refused, match=code):
            actions.record_incident(
                actor=owner, unit_id=unit.id, **({"text": "Dropped", "offer": "A case", "cost_minor": 1} | wrong)
            )  # fmt: skip


def test_only_a_comeback_is_decided_and_only_by_the_owner(unit: Unit, own_unit: Unit, owner: Actor, jun: Any) -> None:
    with pytest.raises(Refused, match="not_a_comeback"):
        actions.decide_comeback(actor=owner, unit_id=unit.id, free=True, reason="Ours")
    Unit.objects.filter(pk=unit.pk).update(earlier_unit=own_unit)
    with pytest.raises(Refused, match="not_permitted"):
        actions.decide_comeback(
            actor=Actor(role=Role.TECHNICIAN, id=str(jun.id)), unit_id=unit.id, free=True, reason="Ours"
        )  # fmt: skip
    assert actions.decide_comeback(actor=owner, unit_id=unit.id, free=False, reason="A drop").free_of_charge is False


def test_costs_gather_on_the_shops_own_units_only(unit: Unit, own_unit: Unit, owner: Actor) -> None:
    actions.add_cost(actor=owner, unit_id=own_unit.id, text="House clearance", amount_minor=3500)
    with pytest.raises(Refused, match="not_our_own"):
        actions.add_cost(actor=owner, unit_id=unit.id, text="House clearance", amount_minor=3500)
    with pytest.raises(Refused, match="negative_money"):
        actions.add_cost(actor=owner, unit_id=own_unit.id, text="x", amount_minor=-1)
    assert Cost.objects.get().amount_minor == 3500


def test_the_waiting_list_knows_who_waits_and_forgets_them_once(ada: Customer, helper: Actor) -> None:
    row = actions.put_on_waiting_list(actor=helper, customer_id=ada.id, device="Lantern", text="no hurry")
    ended = actions.end_waiting(actor=helper, waiting_id=row.id).ended_at
    assert actions.end_waiting(actor=helper, waiting_id=row.id).ended_at == ended
    with pytest.raises(Missing):
        actions.put_on_waiting_list(actor=helper, customer_id=uuid4(), device="Lantern")
    Customer.objects.filter(pk=ada.pk).update(retired_at=clock.now())
    with pytest.raises(Missing):
        actions.put_on_waiting_list(actor=helper, customer_id=ada.id, device="Lantern")
    assert Waiting.objects.count() == 1


@pytest.mark.parametrize("role", [Role.STRANGER, Role.CUSTOMER])
def test_nobody_outside_writes(unit: Unit, role: Role) -> None:
    outsider = Actor(role=role, id="x")
    calls: list[tuple[Any, dict[str, Any]]] = [
        (actions.change_written_up, {"serial": "x"}),
        (actions.add_finding, {"kind": "smoke"}),
        (actions.add_bag, {"kind": "fasteners"}),
        (actions.record_incident, {"text": "a", "offer": "b", "cost_minor": 1}),
        (actions.add_cost, {"text": "a", "amount_minor": 1}),
    ]
    for act, facts in calls:
        with pytest.raises(Refused, match="not_permitted"):
            act(actor=outsider, unit_id=unit.id, **facts)
