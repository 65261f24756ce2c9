"""What an answer does to a unit that has moved on since the quote was sent, and to what was set aside for it."""

from datetime import date
from uuid import uuid4

import pytest

from shop.books.queries import amount_due
from shop.core.actor import SYSTEM, Actor, Role
from shop.core.models import TrailEntry
from shop.core.reasons import Refused
from shop.floor.customer_view import view_of
from shop.floor.demo.journeys import Journey
from shop.floor.flows import quote
from shop.floor.stages import Move
from shop.notices.models import Notice
from shop.parts.models import Part
from shop.planning.gathering import gather
from shop.quotes.actions import change_quote, draft_quote, expire_quote
from shop.quotes.models import QuoteVersion
from shop.quotes.operations import AddLine
from shop.quotes.queries import present_quote
from shop.stock.actions import receive_lot, reserve_kit
from shop.stock.models import Lot
from shop.stock.queries import kit
from shop.units import queries
from shop.units.models import Hold
from tests.floor.conftest import now

CUSTOMER = Actor(role=Role.CUSTOMER, id="link")


def ask_for_a_switch(journey: Journey) -> QuoteVersion:
    """Send another edition, with a switch in it."""
    draft = draft_quote(actor=journey.house.counter, unit_id=journey.unit.id)
    extra = AddLine(kind="part", words="A new switch", unit_minor=900)
    change_quote(actor=journey.house.counter, quote_id=draft.id, version=draft.version, operations=[extra])
    draft.refresh_from_db()
    return quote.send_quote(actor=journey.house.counter, quote_id=draft.id, version=draft.version)


def test_nothing_more_is_approved_once_the_unit_is_ready_but_no_is_still_taken(approved: Journey) -> None:
    approved.start(Move.START_WORK, 0)
    sent = ask_for_a_switch(approved)
    approved.work().passes()
    before = amount_due(now(approved))
    answer = {"actor": CUSTOMER, "quote_id": sent.id, "shown_sha256": sent.content_sha256}
    with pytest.raises(Refused, match="ready_already"):
        quote.decide_quote(**answer, approve=True)
    quote.decide_quote(**answer, approve=False)
    assert amount_due(now(approved)) == before
    assert now(approved).ending == ""


def test_no_quote_is_sent_for_a_unit_that_is_ready(ready: Journey) -> None:
    with pytest.raises(Refused, match="already_billed"):
        ask_for_a_switch(ready)


def test_a_declined_unit_gives_its_reserved_parts_back(diagnosed: Journey) -> None:
    part = Part.objects.get(code="CAP-SET-QL")
    lot = receive_lot(actor=diagnosed.house.counter, part_id=part.id, quantity=2, cost_minor=620)
    reserve_kit(actor=diagnosed.house.counter, unit_id=diagnosed.unit.id, parts=[(part.id, 1)])
    diagnosed.quote().answer(approve=False)
    assert Lot.objects.get(pk=lot.pk).reserved == 0
    assert kit(diagnosed.unit) == []


def test_what_is_still_reserved_when_a_unit_leaves_goes_back_to_the_shelf(ready: Journey) -> None:
    part = Part.objects.get(code="REG-5V")
    lot = receive_lot(actor=ready.house.counter, part_id=part.id, quantity=2, cost_minor=90)
    reserve_kit(actor=ready.house.counter, unit_id=ready.unit.id, parts=[(part.id, 1)])
    ready.leaves()
    assert (Lot.objects.get(pk=lot.pk).on_hand, Lot.objects.get(pk=lot.pk).reserved) == (2, 0)


def test_the_customer_hears_of_a_quote_an_answer_and_nothing_twice(diagnosed: Journey) -> None:
    diagnosed.quote().answer(approve=True)
    told = Notice.objects.filter(unit=diagnosed.unit).order_by("created_at").values_list("event", flat=True)
    assert list(told) == ["received", "started", "quote_ready", "approved"]


def test_a_newer_edition_keeps_one_hold_for_approval(diagnosed: Journey) -> None:
    diagnosed.quote()
    ask_for_a_switch(diagnosed)
    assert Hold.objects.filter(unit=diagnosed.unit, lifted_at=None).count() == 1


def test_a_new_approval_after_a_decline_takes_the_work_up_again(diagnosed: Journey) -> None:
    diagnosed.quote().answer(approve=False)
    assert now(diagnosed).ending == "declined"
    assert view_of(queries.one(diagnosed.unit.id)).where == "With us. It will be closed up and given back."
    diagnosed.quote().answer(approve=True)
    assert now(diagnosed).ending == ""
    diagnosed.start(Move.START_WORK, 0)


def test_a_quote_taken_back_asks_nothing_more_and_leaves_the_way_open_for_another(diagnosed: Journey) -> None:
    sent = ask_for_a_switch(diagnosed)
    back = quote.withdraw_quote(actor=diagnosed.house.counter, quote_id=sent.id, reason=" A wrong price ")
    assert back.state == QuoteVersion.State.WITHDRAWN
    assert not Hold.objects.filter(unit=diagnosed.unit, lifted_at=None).exists()
    assert Notice.objects.filter(unit=diagnosed.unit, event="quote_withdrawn").count() == 1
    row = TrailEntry.objects.get(subject_id=diagnosed.unit.pk, what="quote_withdrawn")
    assert (row.before, row.note.text) == (str(sent.edition), "A wrong price")
    answer = {"actor": CUSTOMER, "quote_id": sent.id, "shown_sha256": sent.content_sha256}
    with pytest.raises(Refused, match="quote_withdrawn"):
        quote.decide_quote(**answer, approve=True)
    with pytest.raises(Refused, match="quote_not_waiting"):
        quote.withdraw_quote(actor=diagnosed.house.counter, quote_id=sent.id, reason="Once more")
    assert ask_for_a_switch(diagnosed).edition == sent.edition + 1


def test_a_quote_taken_back_leaves_what_was_approved_before(approved: Journey) -> None:
    held = present_quote(approved.unit.id)
    sent = ask_for_a_switch(approved)
    quote.withdraw_quote(actor=approved.house.counter, quote_id=sent.id, reason="Not needed")
    assert present_quote(approved.unit.id) == held


def test_a_quote_that_runs_out_leaves_what_was_approved_before_to_be_done(approved: Journey) -> None:
    sent = ask_for_a_switch(approved)
    assert [work.reason.code for work in gather().waiting if work.reason] == ["plan_waits_approval"]
    QuoteVersion.objects.filter(pk=sent.pk).update(valid_until=date(2020, 1, 1))
    expire_quote(actor=SYSTEM, quote_id=sent.id)
    assert not Hold.objects.filter(unit=approved.unit, lifted_at=None).exists()
    assert gather().waiting == ()
    assert view_of(queries.one(approved.unit.id)).where == "With us, in the queue for a bench."
    approved.start(Move.START_WORK, 0)


def test_taking_a_quote_back_needs_a_reason_and_the_counter(diagnosed: Journey) -> None:
    sent = ask_for_a_switch(diagnosed)
    with pytest.raises(Refused, match="blank"):
        quote.withdraw_quote(actor=diagnosed.house.counter, quote_id=sent.id, reason=" ")
    with pytest.raises(Refused, match="not_permitted"):
        quote.withdraw_quote(actor=CUSTOMER, quote_id=sent.id, reason="No")
    sent.refresh_from_db()
    assert sent.state == QuoteVersion.State.SENT


def test_a_quote_that_is_not_there_belongs_to_no_unit(diagnosed: Journey) -> None:
    with pytest.raises(Refused, match="quote_not_of_unit"):
        quote.decide_quote(actor=CUSTOMER, quote_id=uuid4(), approve=True)


def test_a_stranger_answers_no_quote(diagnosed: Journey) -> None:
    diagnosed.quote()
    sent = present_quote(diagnosed.unit.id)
    assert sent is not None
    with pytest.raises(Refused, match="not_permitted"):
        quote.decide_quote(actor=Actor(role=Role.STRANGER), quote_id=sent.id, approve=True)
