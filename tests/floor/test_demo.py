"""The demo's floor, and whether everything on it adds up."""

from datetime import timedelta

import pytest
from django.core.management import call_command
from django.db import connection, transaction

from shop.books.actions import give_back, take_payment
from shop.books.queries import invoice_of
from shop.core import clock
from shop.core.appendonly import drop_statements
from shop.core.models import Counter, TrailEntry
from shop.floor.demo.floorful import stock_the_floor
from shop.floor.demo.journeys import Journey
from shop.floor.demo.stock_in_trade import House
from shop.floor.flows import pickup
from shop.floor.scans import found_unit
from shop.floor.stages import Move
from shop.floor.story import headline, spoken, stops_of, trace_of
from shop.floor.verify import problems
from shop.ledger import accounts
from shop.ledger.steps import post
from shop.notices.models import Notice
from shop.parts.models import Part
from shop.people.models import Customer, Place
from shop.planning.models import Promise
from shop.quotes.models import Decision, DecisionPaper, QuoteVersion
from shop.quotes.papers import paper_of
from shop.stock.actions import receive_lot
from shop.stock.models import Lot
from shop.units import queries
from shop.units.models import Unit


@pytest.fixture
def floor(house: House) -> House:
    stock_the_floor(house)
    return house


def test_there_is_a_unit_at_every_turn_and_everything_adds_up(floor: House) -> None:
    stages = set(Unit.objects.filter(outcome="").values_list("stage", flat=True))
    assert stages == {"intake", "queue", "bench", "testing", "pickup"}
    assert Unit.objects.exclude(outcome="").exists()
    assert problems() == []
    for unit in queries.present_units():
        assert headline(unit)
        drawing = trace_of(unit, queries.history(unit))
        assert spoken(drawing, "America/New_York", "en-US").endswith(".")
        assert len(drawing.marks) == len(stops_of(queries.history(unit)))


def test_stocked_in_one_transaction_each_approval_has_its_day_and_message_in_its_own_time(house: House) -> None:
    with transaction.atomic():
        stock_the_floor(house)
    approvals = Decision.objects.exclude(kind="declined").select_related("quote")
    assert approvals.count() > 4
    for approval in approvals:
        unit, soon = approval.quote.unit_id, approval.created_at + timedelta(minutes=1)
        assert Promise.objects.filter(unit=unit, created_at__range=(approval.created_at, soon)).exists()
        assert Notice.objects.filter(unit=unit, event="approved", created_at__lte=soon).exists()


def test_a_change_behind_the_applications_back_is_found(floor: House, capsys: pytest.CaptureFixture[str]) -> None:
    table = TrailEntry._meta.db_table
    entry = TrailEntry.objects.filter(subject_kind="unit").first()
    assert entry is not None
    with connection.cursor() as cursor:
        for statement in drop_statements(connection.vendor, table):
            cursor.execute(statement)
        cursor.execute(f"UPDATE {table} SET after = 'pickup' WHERE id = %s", [entry.id])
    with pytest.raises(SystemExit) as ended:
        call_command("verify")
    assert ended.value.code == 1
    assert f"entry {entry.seq}" in capsys.readouterr().out


def test_evidence_and_papers_that_were_changed_are_found(floor: House) -> None:
    decision = Decision.objects.filter(kind="approved").select_related("quote__unit").first()
    assert decision is not None
    quote = decision.quote
    made = paper_of(actor=floor.counter, unit_id=quote.unit_id, edition=quote.edition)
    assert problems() == []
    with connection.cursor() as cursor:
        for table in (Decision._meta.db_table, DecisionPaper._meta.db_table):
            for statement in drop_statements(connection.vendor, table):
                cursor.execute(statement)
    Decision.objects.filter(pk=decision.pk).update(content=decision.content + " ")
    DecisionPaper.objects.update(pdf=bytes(made.pdf)[:-1])
    QuoteVersion.objects.filter(pk=quote.pk).update(content=quote.content.replace("edition", "Edition"))
    about = f"edition {quote.edition} of unit {quote.unit}'s quote was changed."
    assert problems() == [
        f"What unit {quote.unit} was shown in edition {quote.edition} of its quote was changed since.",
        f"The evidence of the answer to {about}",
        f"The paper of the answer to {about}",
    ]


def test_a_lot_that_lost_a_part_is_found(house: House) -> None:
    part = Part.objects.get(code="REG-5V")
    lot = receive_lot(actor=house.counter, part_id=part.id, quantity=3, cost_minor=90)
    assert problems() == []
    Lot.objects.filter(pk=lot.pk).update(on_hand=2)
    assert problems() == [f"Lot {lot.id} of REG-5V does not hold what its movements say."]


def test_books_that_say_something_else_than_their_documents_are_found(ready: Journey) -> None:
    ready.leaves()
    assert problems() == []
    post(on=clock.now().date(), debit=accounts.CASH, credit=accounts.SALES, amount_minor=1, currency="USD", source="x")
    owed = invoice_of(ready.unit)
    assert owed is not None
    taken, sold = owed.total_minor, owed.net_minor
    assert problems() == [
        f"USD, money taken: the postings say {taken + 1}, the documents {taken} (minor units).",
        f"USD, sales and postage: the postings say {-sold - 1}, the documents {-sold} (minor units).",
    ]


def test_a_deposit_and_money_given_back_still_add_up(approved: Journey) -> None:
    actor, unit_id = approved.house.counter, approved.unit.id
    take_payment(actor=actor, unit_id=unit_id, amount_minor=5000, method="cash")
    assert problems() == []
    approved.start(Move.START_WORK, 0).work().passes().leaves()
    give_back(actor=approved.house.owner, unit_id=unit_id, amount_minor=700, method="cash", reason="Scratch")
    assert problems() == []


def test_a_missing_number_and_a_missing_release_are_found(ready: Journey) -> None:
    bill = pickup.bill(actor=ready.house.counter, unit_id=ready.unit.id)
    assert bill is not None
    Counter.objects.create(series="receipt", value=4)
    take_payment(actor=ready.house.counter, unit_id=ready.unit.id, amount_minor=100, method="cash")
    Unit.objects.filter(pk=ready.unit.pk).update(outcome="collected", left_at=clock.now(), place=None)
    assert problems() == ["The numbers of the receipts have a gap.", "Units that left without a release: 1."]


def test_no_word_of_the_demo_is_somebodys_brand(floor: House) -> None:
    makers = {unit.model.maker for unit in queries.present_units()}
    assert makers == {"Quillon", "Tessaro"}
    assert all(address.endswith(".example") for address in Customer.objects.values_list("email", flat=True))


def test_a_bag_scanned_at_a_bench_offers_at_most_two_moves(floor: House) -> None:
    bench = Place.objects.get(name="Bench 1")
    for unit in queries.present_units():
        found = found_unit(actor=floor.technician, unit=unit, bag=queries.tag_of(unit), bench=bench)
        assert len(found.offers) <= 2
        if unit.stage == "queue" and not unit.open_holds:  # type: ignore[attr-defined]
            assert found.offers
