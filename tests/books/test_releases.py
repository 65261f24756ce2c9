"""Releases: to whom a unit is handed, and how we knew."""

from typing import Any

import pytest
from django.db import DatabaseError, transaction

from shop.books import queries, steps
from shop.books.models import Release
from shop.core.actor import Actor
from shop.core.locks import lock
from shop.core.models import TrailEntry
from shop.core.reasons import Refused, sentence
from shop.core.tagcode import ALPHABET
from shop.units.links import make_link, pickup_code, revoke
from shop.units.models import Unit


def hand_over(actor: Actor, unit: Unit, check_kind: str, **more: str) -> Release:
    with transaction.atomic():
        return steps.release(actor=actor, unit=lock(Unit, pk=unit.pk), check_kind=check_kind, **more)


def note_wrong(actor: Actor, unit: Unit) -> None:
    with transaction.atomic():
        steps.note_wrong_code(actor, lock(Unit, pk=unit.pk))


def refused_as(expected: str, actor: Actor, unit: Unit, check_kind: str, **more: str) -> str:
    with pytest.raises(Refused) as refused:
        hand_over(actor, unit, check_kind, **more)
    assert refused.value.code == expected
    assert not Release.objects.exists()
    return sentence(refused.value.reasons[0])


def wrong_code(unit: Unit) -> str:
    """A code that differs from the unit's in its first character."""
    right = pickup_code(unit)
    return ALPHABET[(ALPHABET.index(right[0]) + 1) % 32] + right[1:]


def test_it_hands_over_against_the_code_however_it_is_typed(helper: Actor, unit: Unit) -> None:
    make_link(unit)
    code = pickup_code(unit)
    made = hand_over(helper, unit, "code", code=f" {code[:3].lower()}-{code[3:]} ")
    assert (made.check_kind, made.document, made.by_id) == ("code", "", helper.id)
    assert queries.release_of(unit) == made
    entry = TrailEntry.objects.get(subject_id=unit.id, what="released")
    assert entry.after == "code"
    assert code not in entry.facts


@pytest.mark.parametrize("given", ["", "000", "ﾊﾞｵ", "' OR 1=1"])
def test_it_refuses_what_is_not_the_code(helper: Actor, unit: Unit, given: str) -> None:
    make_link(unit)
    assert "Read it again from the customer's page" in refused_as("pickup_code_wrong", helper, unit, "code", code=given)


def test_it_refuses_the_code_of_another_unit_and_of_an_earlier_link(helper: Actor, unit: Unit, own_unit: Unit) -> None:
    make_link(unit)
    make_link(own_unit)
    earlier = pickup_code(unit)
    refused_as("pickup_code_wrong", helper, unit, "code", code=pickup_code(own_unit))
    make_link(unit)
    refused_as("pickup_code_wrong", helper, unit, "code", code=earlier)


def test_it_has_no_code_without_an_open_page(helper: Actor, unit: Unit) -> None:
    for code in ("", "000000"):
        assert "no open customer's page" in refused_as("no_pickup_code", helper, unit, "code", code=code)
    make_link(unit)
    code = pickup_code(unit)
    revoke(unit)
    refused_as("no_pickup_code", helper, unit, "code", code=code)


def test_it_closes_the_way_by_code_after_five_wrong_ones_for_an_hour(helper: Actor, unit: Unit, frozen: Any) -> None:
    make_link(unit)
    for _turn in range(5):
        refused_as("pickup_code_wrong", helper, unit, "code", code=wrong_code(unit))
        note_wrong(helper, unit)
    said = refused_as("too_many_codes", helper, unit, "code", code=pickup_code(unit))
    assert said.startswith("A wrong code was given 5 times within 60 minutes for unit 1042. Look at an identity")
    frozen.shift(3601)
    assert hand_over(helper, unit, "code", code=pickup_code(unit)).check_kind == "code"


def test_it_still_hands_over_by_document_while_the_code_is_closed(helper: Actor, unit: Unit) -> None:
    make_link(unit)
    for _turn in range(5):
        note_wrong(helper, unit)
    assert hand_over(helper, unit, "identity", document="passport").document == "passport"


def test_it_counts_wrong_codes_for_each_unit_apart(helper: Actor, unit: Unit, own_unit: Unit) -> None:
    make_link(unit)
    for _turn in range(5):
        note_wrong(helper, own_unit)
    assert (steps.wrong_codes(unit), steps.wrong_codes(own_unit)) == (0, 5)
    hand_over(helper, unit, "code", code=pickup_code(unit))


@pytest.mark.parametrize(
    ("document", "code"),
    [("", "blank"), ("x" * 61, "too_long"), ("passport 4711", "document_number"), ("ID ٣", "document_number")],
)
def test_it_wants_the_kind_of_document_and_never_its_number(
    helper: Actor, unit: Unit, document: str, code: str
) -> None:
    assert refused_as(code, helper, unit, "identity", document=document)


def test_it_hands_over_by_post_and_what_is_the_shops_own(helper: Actor, unit: Unit, own_unit: Unit) -> None:
    assert "belongs to a customer" in refused_as("not_shops_own", helper, unit, "own")
    assert hand_over(helper, unit, "post", document="ignored").document == ""
    assert hand_over(helper, own_unit, "own").check_kind == "own"


def test_it_knows_no_other_way(helper: Actor, unit: Unit) -> None:
    assert "code, identity, post, own" in refused_as("not_a_choice", helper, unit, "wink")


def test_it_hands_over_once(helper: Actor, unit: Unit, frozen: object) -> None:
    hand_over(helper, unit, "identity", document="driving licence")
    with pytest.raises(Refused) as refused:
        hand_over(helper, unit, "identity", document="driving licence")
    assert "handed over already, on March 10, 2026" in sentence(refused.value.reasons[0])


@pytest.mark.parametrize("act", ["update", "delete"])
def test_it_cannot_be_changed_behind_the_application(helper: Actor, unit: Unit, act: str) -> None:
    hand_over(helper, unit, "post")
    rows = Release.objects.all()
    with pytest.raises(DatabaseError, match="only grows"), transaction.atomic():
        rows.update(check_kind="code") if act == "update" else rows._raw_delete(rows.db)
    assert Release.objects.get().check_kind == "post"
