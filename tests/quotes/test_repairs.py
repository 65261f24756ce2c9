"""Findings that are offered become options of the quote, once, and never ticked for the customer."""

from typing import Any

import pytest

from shop.boards.models import DeviceModel
from shop.core.actor import Actor
from shop.quotes import actions, queries
from shop.quotes.models import QuoteLine, QuoteVersion
from shop.quotes.operations import ChangeLine, SetNote
from shop.units.actions import Spotted, add_finding, settle_finding
from shop.units.models import Finding, Unit
from tests.quotes.conftest import decide, send

pytestmark = pytest.mark.usefixtures("frozen")


def found(actor: Actor, unit: Unit, kind: str = "broken_trace", **facts: Any) -> Finding:
    usual: dict[str, Any] = {"repair": "offered", "minutes": 20, "price_minor": 1500}
    spotted = Spotted(**usual | facts)
    return add_finding(actor=actor, unit_id=unit.pk, kind=kind, text="below C2", spotted=spotted)


def draft(actor: Actor, unit: Unit) -> QuoteVersion:
    return actions.draft_quote(actor=actor, unit_id=unit.pk)


def repairs(quote: QuoteVersion) -> list[QuoteLine]:
    return list(quote.lines.exclude(finding=None))


def test_an_offered_repair_is_an_option_that_nobody_has_taken(unit: Unit, technician: Actor, helper: Actor) -> None:
    finding = found(technician, unit)
    quote = draft(helper, unit)
    (line,) = repairs(quote)
    assert (line.finding, line.kind, line.unit_minor) == (finding, "labour", 1500)
    assert (line.optional, line.taken, line.service, line.part) == (True, False, None, None)
    assert line.words == "Mend what was found inside: a broken trace"
    assert line.position == quote.lines.count()
    shown = queries.shown(quote)
    assert (line.words,) in [option.words for option in shown.options]
    assert shown.total_minor == 6540 + 523  # the recap alone, with its tax


@pytest.mark.parametrize("repair", ["", "now"])
def test_what_costs_nothing_more_is_not_quoted(unit: Unit, technician: Actor, helper: Actor, repair: str) -> None:
    found(technician, unit, repair=repair)
    assert repairs(draft(helper, unit)) == []


def test_what_was_settled_is_not_quoted(unit: Unit, technician: Actor, helper: Actor) -> None:
    finding = found(technician, unit)
    settle_finding(actor=technician, finding_id=finding.pk, text="It was dirt")
    assert repairs(draft(helper, unit)) == []


def test_two_repairs_are_taken_or_left_each_on_its_own(
    unit: Unit, technician: Actor, helper: Actor, customer: Actor
) -> None:
    trace, pad = found(technician, unit), found(technician, unit, "lifted_pad", price_minor=900)
    quote = draft(helper, unit)
    first, second = repairs(quote)
    actions.change_quote(
        actor=helper, quote_id=quote.pk, version=quote.version, operations=[ChangeLine(line_id=first.pk, taken=True)]
    )
    second.refresh_from_db()
    assert not second.taken
    sent = send(quote, helper)
    decided = decide(sent, customer, taken=[second.pk])
    assert {line.finding: line.taken for line in repairs(sent)} == {trace: False, pad: True}
    assert decided.total_minor == 7063 + 900 + 72  # 8 % of 7440 is 595.2, of 6540 it was 523.2


def test_a_later_edition_offers_a_repair_once_as_it_was_answered(
    unit: Unit, technician: Actor, helper: Actor, customer: Actor
) -> None:
    finding = found(technician, unit)
    first = send(draft(helper, unit), helper)
    decide(first, customer, taken=[repairs(first)[0].pk])
    second = draft(helper, unit)
    assert [(line.finding, line.optional, line.taken) for line in repairs(second)] == [(finding, True, True)]
    actions.change_quote(actor=helper, quote_id=second.pk, version=second.version, operations=[SetNote(text="More")])
    third_source = send(second, helper)
    third = draft(helper, unit)
    assert third.edition == third_source.edition + 1
    assert [line.finding for line in repairs(third)] == [finding]


def test_a_later_edition_adds_what_was_found_meanwhile(
    unit: Unit, technician: Actor, helper: Actor, customer: Actor
) -> None:
    trace = found(technician, unit)
    decide(send(draft(helper, unit), helper), customer)
    pad = found(technician, unit, "lifted_pad", price_minor=900)
    second = draft(helper, unit)
    assert [(line.finding, line.taken) for line in repairs(second)] == [(trace, False), (pad, False)]
    positions = list(second.lines.values_list("position", flat=True))
    assert positions == list(range(1, len(positions) + 1))


def test_an_open_draft_stays_as_it_is(unit: Unit, technician: Actor, helper: Actor) -> None:
    quote = draft(helper, unit)
    found(technician, unit)
    assert draft(helper, unit) == quote
    assert repairs(quote) == []


def test_a_repair_on_a_free_comeback_costs_nothing(
    unit: Unit, technician: Actor, helper: Actor, lantern: DeviceModel
) -> None:
    """On a free comeback every repair is done unasked, so nobody may be asked to pay for it."""
    earlier = Unit.objects.create(number=17, customer=unit.customer, model=lantern)
    Unit.objects.filter(pk=unit.pk).update(free_of_charge=True, earlier_unit=earlier)
    found(technician, unit)
    assert [line.unit_minor for line in repairs(draft(helper, unit))] == [0]


def test_a_repair_of_another_unit_is_not_quoted(
    unit: Unit, technician: Actor, helper: Actor, lantern: DeviceModel
) -> None:
    other = Unit.objects.create(number=43, customer=unit.customer, model=lantern)
    found(technician, other)
    assert repairs(draft(helper, unit)) == []
