"""Bills: frozen, numbered without a gap, and posted."""

import json
import threading
from typing import Any

import pytest
from django.db import DatabaseError, connection, transaction

from shop.boards.models import DeviceModel
from shop.books import queries
from shop.books.models import Invoice
from shop.core.models import Counter, TrailEntry
from shop.core.reasons import Refused, sentence
from shop.ledger.queries import balance, postings_of, trial_balance
from shop.people.models import Customer
from shop.quotes.pricing import Line
from shop.units.models import Unit
from tests.books.conftest import bill, totals


def balances(currency: str = "USD") -> dict[str, int]:
    return {code: balance(code, currency) for code in trial_balance(currency)}


def test_it_copies_everything_in(unit: Unit, bao: Customer, frozen: object) -> None:
    bao.postal_address = "12 Harbour Lane\nSaltmarsh"
    bao.save()
    invoice = bill(unit)
    Customer.objects.filter(pk=bao.pk).update(name="Somebody Else")
    kept = Invoice.objects.get(pk=invoice.pk)
    assert kept.bill_to == "Trần Bảo\n12 Harbour Lane\nSaltmarsh"
    assert kept.from_shop == "Brandt & Daughter\n4 Ropewalk\nSaltmarsh\ndesk@brandt.example\n+12025550143"
    assert (kept.net_minor, kept.tax_minor, kept.total_minor, kept.currency) == (6900, 480, 7380, "USD")
    assert (kept.tax_name, kept.tax_rate_millipercent, str(kept.issued_on)) == ("Sales tax", 8000, "2026-03-10")
    lines = json.loads(kept.lines)
    assert lines[1] == {
        "kind": "part", "words": "Capacitor, 10 µF, 35 V", "quantity": 12, "unit_minor": 45, "net_minor": 540,
    }  # fmt: skip
    assert sum(line["net_minor"] for line in lines) == kept.net_minor
    assert kept.lines == json.dumps(lines, sort_keys=True, ensure_ascii=False, separators=(",", ":"))


def test_it_dates_by_the_shops_day(unit: Unit, frozen: Any) -> None:
    frozen.move_to("2026-03-11T02:00:00+00:00")
    assert str(bill(unit).issued_on) == "2026-03-10"


def test_it_posts_work_postage_and_tax_against_what_customers_owe(unit: Unit) -> None:
    invoice = bill(unit)
    assert balances() == {"receivable": 7380, "sales": 6000, "postage_income": 900, "tax_owed": 480}
    assert {row.source for row in postings_of(f"invoice:{invoice.id}")} == {f"invoice:{invoice.id}"}


def test_it_posts_a_discount_that_is_larger_than_the_work(unit: Unit) -> None:
    bill(unit, Line("Postage", "postage", 1, 900), Line("Sorry", "discount", 1, -400))
    assert balances() == {"receivable": 540, "sales": -400, "postage_income": 900, "tax_owed": 40}


def test_it_bills_nothing_without_a_posting(unit: Unit) -> None:
    invoice = bill(unit, Line("Free of charge", "labour", 1, 0))
    assert (invoice.total_minor, balances()) == (0, {})
    assert queries.amount_due(unit).billed


@pytest.mark.parametrize(
    ("currency", "unit_minor", "tax_minor"), [("JPY", 6666, 533), ("USD", 6666, 533), ("KWD", 66666, 5333)]
)
def test_it_bills_in_currencies_with_other_minor_units(
    unit: Unit, currency: str, unit_minor: int, tax_minor: int
) -> None:
    invoice = bill(unit, Line("Recap", "labour", 1, unit_minor), currency=currency)
    assert (invoice.currency, invoice.tax_minor, invoice.total_minor) == (currency, tax_minor, unit_minor + tax_minor)
    assert balances(currency)["receivable"] == unit_minor + tax_minor


def test_it_bills_a_sale_of_the_shops_own_unit(own_unit: Unit) -> None:
    assert bill(own_unit).bill_to == "Sold over the counter"


def test_it_bills_a_unit_once(unit: Unit) -> None:
    invoice = bill(unit)
    with pytest.raises(Refused) as refused:
        bill(unit)
    assert sentence(refused.value.reasons[0]) == "Unit 1042 was billed already, with invoice 1. Use that one."
    assert Invoice.objects.get() == invoice
    assert Counter.objects.get(series="invoice").value == 1


def test_it_writes_the_trail_with_figures_only(unit: Unit) -> None:
    invoice = bill(unit)
    entry = TrailEntry.objects.get(subject_id=unit.id, what="invoice_issued")
    assert json.loads(entry.facts) == {
        "invoice": str(invoice.id), "number": 1, "total_minor": 7380, "currency": "USD",
    }  # fmt: skip


def test_it_gives_the_number_back_when_the_transaction_fails(unit: Unit, own_unit: Unit) -> None:
    class Elsewhere(Exception):
        pass

    def bill_and_fail() -> None:
        with transaction.atomic():
            assert bill(unit).number == 1
            raise Elsewhere

    with pytest.raises(Elsewhere):
        bill_and_fail()
    assert bill(own_unit).number == 1
    assert not TrailEntry.objects.filter(subject_id=unit.id).exists()


@pytest.mark.django_db(transaction=True)
def test_it_numbers_without_a_gap_while_eight_write_at_once(lantern: DeviceModel, bao: Customer) -> None:
    units = [Unit.objects.create(number=n, customer=bao, model=lantern, stage="pickup") for n in range(1, 25)]
    start, failures = threading.Barrier(8), []

    def write(own: list[Unit]) -> None:
        try:
            start.wait()
            for number, unit in enumerate(own):
                if number == 1:  # one in three fails after it was numbered
                    with transaction.atomic():
                        bill(unit)
                        transaction.set_rollback(True)
                else:
                    bill(unit)
        except BaseException as failure:  # a thread's failure must reach the test
            failures.append(failure)
        finally:
            connection.close()

    threads = [threading.Thread(target=write, args=(units[n::8],)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert failures == []
    assert sorted(Invoice.objects.values_list("number", flat=True)) == list(range(1, 17))
    assert balance("receivable", "USD") == 16 * 7380
    assert sum(trial_balance("USD").values()) == 0


@pytest.mark.parametrize("act", ["update", "delete"])
def test_it_cannot_be_changed_behind_the_application(unit: Unit, act: str) -> None:
    bill(unit)
    rows = Invoice.objects.all()
    with pytest.raises(DatabaseError, match="only grows"), transaction.atomic():
        rows.update(bill_to="x") if act == "update" else rows._raw_delete(rows.db)
    assert Invoice.objects.get().bill_to == "Trần Bảo"


def test_it_adds_up_as_the_quote_did(unit: Unit) -> None:
    priced = totals()
    invoice = bill(unit)
    assert invoice.total_minor == priced.total_minor == priced.net_minor + priced.tax_minor
