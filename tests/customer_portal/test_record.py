"""What stays of a visit: the receipt with its rates, the warranty, the pictures before and after, the deposit."""

import html
import io
import re

import pytest
import time_machine
from django.core.cache import cache
from pypdf import PdfReader

from shop.books.deposits import open_request
from shop.books.models import Invoice, PaymentRequest
from shop.core.actor import Actor
from shop.core.models import ShopProfile
from shop.core.reasons import Refused, sentence
from shop.floor.demo.pictures import photo
from shop.floor.flows import bench
from shop.floor.flows.money import take_payment, waive_deposit
from shop.floor.flows.pickup import bill
from shop.floor.stages import Move
from shop.notices.models import Notice
from shop.people.models import Place
from shop.quotes.operations import AddLine
from shop.units import actions as units
from shop.units.models import Unit
from tests.customer_portal.conftest import filled, of, offer, phone_of
from tests.screens.conftest import At, trail_of


def approve(unit: Unit) -> None:
    phone = phone_of(unit)
    form = filled(phone.get(of(unit)), unit) | {"answer": "yes"}
    assert phone.post(of(unit, "answer"), form).status_code == 303


def words_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages).split())


def test_its_receipt_has_a_line_for_each_rate(unit_at: At, helper: Actor) -> None:
    """60.00 at 8 % is 4.80; 25.00 at 4 % is 1.00; 3.00 bears none: 93.80 in all."""
    ShopProfile.objects.update(tax_reduced_millipercent=4000)
    unit = unit_at("intake")
    offer(
        helper, unit,
        AddLine(kind="part", words="Handbook", unit_minor=2500, tax_class="reduced"),
        AddLine(kind="part", words="Stamps", unit_minor=300, tax_class="none"),
    )  # fmt: skip
    approve(unit)
    Unit.objects.filter(pk=unit.pk).update(stage="pickup")
    bill(actor=helper, unit_id=unit.id)
    answer = phone_of(unit).get(of(unit, "receipt"))
    assert answer.headers["Content-Type"] == "application/pdf"
    found = words_of(answer.content)
    for words in ("Handbook", "Stamps", "Sales tax 8% $4.80", "Sales tax 4% $1.00", "Total $93.80"):
        assert words in found, found
    assert Invoice.objects.get(unit=unit).total_minor == 9380


def test_it_says_until_when_the_shop_stands_by_its_work(unit_at: At, frozen: time_machine.Traveller) -> None:
    ShopProfile.objects.update(warranty_days=90)
    unit = unit_at("pickup")
    phone = phone_of(unit)
    assert "We stand by our work" not in phone.get(of(unit)).content.decode()
    Unit.objects.filter(pk=unit.pk).update(outcome="collected", left_at="2026-03-11T03:30Z", stage="pickup")
    cache.clear()  # no action wrote that, so no row of the story says that a kept page is old
    # 03:30 UTC on the 11th is the evening of the 10th in New York; 90 days on it is the 8th of June.
    page = phone.get(of(unit)).content.decode()
    assert "We stand by our work until Jun 8, 2026." in page
    assert "Rights that the law of your place gives you are yours besides." in page
    Unit.objects.filter(pk=unit.pk).update(outcome="returned_unrepaired")
    cache.clear()
    assert "We stand by our work" not in phone.get(of(unit)).content.decode()


def test_it_lays_before_and_after_side_by_side_once_there_are_both(unit_at: At, technician: Actor) -> None:
    unit = unit_at("intake")
    phone = phone_of(unit)
    taken = {}
    for seed, purpose in enumerate(("before", "after")):
        assert "data-pair" not in phone.get(of(unit)).content.decode()
        kept = photo(technician, "case", seed)
        units.add_unit_photo(actor=technician, unit_id=unit.id, photo_id=kept.id, purpose=purpose)
        taken[purpose] = kept
    page = phone.get(of(unit)).content.decode()
    pair = re.search(r"data-pair>(.*?)</div>", page, re.DOTALL)
    assert pair is not None
    pictures = re.findall(r'<img src="([^"]+)" width="(\d+)" height="(\d+)"[^>]* alt="(\w+)', pair[1])
    assert [(source.rsplit("/", 1)[1], words) for source, _w, _h, words in pictures] == [
        (str(taken["before"].id), "before"), (str(taken["after"].id), "after")
    ]  # fmt: skip
    assert all(int(width) and int(height) for _source, width, height, _words in pictures)
    for source, *_rest in pictures:
        assert phone.get(source).status_code == 200


@pytest.fixture
def deposit_asked(unit_at: At, helper: Actor) -> Unit:
    """A unit whose approved quote of 64.80 asks for half as a deposit."""
    ShopProfile.objects.update(
        deposit_percent=50, deposit_from_minor=5000, payment_words="By transfer to the shop's account.",
        payment_link="https://pay.example/?unit={number}&amount={amount}",
    )  # fmt: skip
    unit = unit_at("queue")
    offer(helper, unit)
    page = phone_of(unit).get(of(unit)).content.decode()
    assert re.search(r"of that as a deposit before we begin</td><td class=\"n\">\$32\.40<", page)
    approve(unit)
    return Unit.objects.get(pk=unit.pk)


def begin(unit: Unit, technician: Actor, place: Place) -> Unit:
    return bench.start(actor=technician, unit_id=unit.id, move=Move.START_WORK, bench_id=place.id)


def test_it_asks_for_the_deposit_and_work_waits_for_it(
    deposit_asked: Unit, technician: Actor, helper: Actor, bench_one: Place
) -> None:
    unit = deposit_asked
    asked = open_request(unit.id)
    assert asked is not None
    assert (asked.amount_minor, asked.currency) == (3240, "USD")
    assert Notice.objects.get(unit=unit, event="deposit_asked").facts["deposit_minor"] == 3240
    page = html.unescape(phone_of(unit).get(of(unit)).content.decode())
    assert "Please pay the deposit of $32.40; we begin when it has arrived." in page
    assert "By transfer to the shop's account." in page
    assert f'href="https://pay.example/?unit={unit}&amount=32.40"' in page
    with pytest.raises(Refused) as refused:
        begin(unit, technician, bench_one)
    assert [reason.code for reason in refused.value.reasons] == ["deposit_open"]
    assert "$32.40" in sentence(refused.value.reasons[0])
    take_payment(actor=helper, unit_id=unit.id, amount_minor=3239, method="transfer")
    with pytest.raises(Refused, match="deposit_open"):
        begin(unit, technician, bench_one)
    take_payment(actor=helper, unit_id=unit.id, amount_minor=1, method="cash")
    assert open_request(unit.id) is None
    assert "deposit_paid" in trail_of(unit)
    assert begin(unit, technician, bench_one).stage == "bench"
    page = phone_of(unit).get(of(unit)).content.decode()
    assert "Please pay the deposit" not in page
    assert "$64.80 in all; $32.40 is open." in page


def test_the_shop_can_do_without_the_deposit_and_says_why(
    deposit_asked: Unit, technician: Actor, helper: Actor, bench_one: Place
) -> None:
    with pytest.raises(Refused, match="blank"):
        waive_deposit(actor=helper, unit_id=deposit_asked.id, reason="  ")
    waive_deposit(actor=helper, unit_id=deposit_asked.id, reason="A regular")
    with pytest.raises(Refused, match="no_deposit_open"):
        waive_deposit(actor=helper, unit_id=deposit_asked.id, reason="Once more")
    assert trail_of(deposit_asked).count("deposit_waived") == 1
    assert begin(deposit_asked, technician, bench_one).stage == "bench"


def test_a_newer_approval_asks_for_its_own_deposit_less_what_was_paid(deposit_asked: Unit, helper: Actor) -> None:
    take_payment(actor=helper, unit_id=deposit_asked.id, amount_minor=3240, method="card")
    offer(helper, deposit_asked, AddLine(kind="part", words="Tube", unit_minor=4000))
    approve(deposit_asked)
    # 100.00 and 8 % tax: half of 108.00 is asked for in all, and 32.40 of it is there.
    asked = open_request(deposit_asked.id)
    assert asked is not None
    assert (asked.amount_minor, asked.left_minor) == (5400, 2160)
    told = Notice.objects.filter(unit=deposit_asked, event="deposit_asked").order_by("created_at").last()
    assert told is not None
    assert told.facts["deposit_minor"] == 2160
    assert PaymentRequest.objects.filter(unit=deposit_asked).count() == 2
    page = phone_of(deposit_asked).get(of(deposit_asked)).content.decode()
    assert "Please pay the deposit of $21.60" in page


def test_it_asks_for_none_below_the_shops_least(unit_at: At, helper: Actor) -> None:
    ShopProfile.objects.update(deposit_percent=50, deposit_from_minor=6481)
    unit = unit_at("intake")
    offer(helper, unit)
    assert "deposit" not in phone_of(unit).get(of(unit)).content.decode()
    approve(unit)
    assert open_request(unit.id) is None
    assert not Notice.objects.filter(event="deposit_asked").exists()


def test_a_tampered_number_of_an_edition_gives_no_paper(unit_at: At, helper: Actor) -> None:
    unit = unit_at("intake")
    offer(helper, unit)
    phone = phone_of(unit)
    approve(unit)
    assert phone.get(of(unit, "quote/1.pdf")).content.startswith(b"%PDF")
    assert [phone.get(of(unit, f"quote/{edition}.pdf")).status_code for edition in ("0", "2", "99999")] == [404] * 3
