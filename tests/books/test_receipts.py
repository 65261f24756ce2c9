"""Receipts on paper: frozen content, payments, what is due, in any script."""

import io
from typing import Any

import pytest
from pypdf import PdfReader

from shop.books.actions import give_back, take_payment
from shop.books.paper import page_size
from shop.books.receipts import receipt_pdf
from shop.core.actor import Actor
from shop.core.models import ShopProfile
from shop.core.profile import one_reading
from shop.core.reasons import Refused, sentence
from shop.people.models import Customer
from shop.quotes.pricing import Line
from shop.units.models import Unit
from tests.books.conftest import approve, bill


def reader(unit: Unit) -> PdfReader:
    return PdfReader(io.BytesIO(receipt_pdf(unit)), strict=True)


def text(unit: Unit) -> str:
    """Return all text of the receipt, each run of blanks and line ends as one blank."""
    return " ".join(" ".join(page.extract_text() for page in reader(unit).pages).split())


def pay(actor: Actor, unit: Unit, amount_minor: int, method: str = "cash") -> None:
    take_payment(actor=actor, unit_id=unit.id, amount_minor=amount_minor, method=method)


def test_it_shows_the_bill_the_payments_and_what_is_still_due(helper: Actor, unit: Unit, frozen: object) -> None:
    bill(unit)
    pay(helper, unit, 2380, "card")
    found = text(unit)
    for words in (
        "Brandt & Daughter", "4 Ropewalk", "Trần Bảo", "Invoice 1", "Unit 1042, issued on March 10, 2026",
        "Recap", "Capacitor, 10 µF, 35 V", "12", "$0.45", "$5.40", "-$5.40", "Return postage", "$9.00",
        "$69.00", "Sales tax 8%", "$4.80", "Total", "$73.80", "card terminal", "Paid", "$23.80", "Still due", "$50.00",
    ):  # fmt: skip
        assert words in found, words


def test_it_says_how_to_pay_only_while_something_is_due(helper: Actor, shop: ShopProfile, unit: Unit) -> None:
    ShopProfile.objects.update(payment_words="Pay by transfer within a week.")
    bill(unit)
    assert "Pay by transfer within a week." in text(unit)
    pay(helper, unit, 7380)
    found = text(unit)
    assert "Pay by transfer" not in found
    assert "Still due $0.00" in found


def test_it_shows_what_was_frozen_and_not_what_is_known_now(unit: Unit, bao: Customer) -> None:
    bill(unit)
    Customer.objects.filter(pk=bao.pk).update(name="Somebody Else")
    ShopProfile.objects.update(name="Another Name", tax_rate_millipercent=9999)
    found = text(unit)
    assert "Trần Bảo" in found
    assert "Somebody Else" not in found
    assert "Another Name" not in found
    assert "8%" in found


def test_it_shows_money_given_back_and_money_to_be_given_back(helper: Actor, owner: Actor, unit: Unit) -> None:
    approve(unit, 9000)
    pay(helper, unit, 9000)
    bill(unit)
    assert "To be given back $16.20" in text(unit)
    give_back(actor=owner, unit_id=unit.id, amount_minor=1620, method="cash", reason="Paid ahead.")
    found = text(unit)
    assert "given back, cash" in found
    assert "-$16.20" in found
    assert "Paid ahead." not in found
    assert "Still due $0.00" in found


def test_it_makes_a_receipt_for_a_deposit_before_the_bill(helper: Actor, unit: Unit) -> None:
    approve(unit, 7380)
    pay(helper, unit, 3000)
    found = text(unit)
    for words in ("Receipt for a deposit", "Trần Bảo", "Agreed in the quote", "$73.80", "$30.00", "$43.80"):
        assert words in found, words


@pytest.mark.parametrize(
    ("name", "shown"),
    [
        ("Nguyễn Thị Hằng", "Nguyễn Thị Hằng"),
        ("Nguye\u0302\u0303n", "Nguy\u1ec5n"),
        ("Żółć Gęślą", "Żółć Gęślą"),
        ("Zoë 🦊😀 Moss", "Zoë □□ Moss"),
        ("Fox & Sons <b>Ltd</b>", "Fox & Sons <b>Ltd</b>"),
        ("漢字", "□□"),
    ],
)
def test_it_writes_any_name_and_never_fails_over_one(unit: Unit, bao: Customer, name: str, shown: str) -> None:
    Customer.objects.filter(pk=bao.pk).update(name=name)
    unit.refresh_from_db()
    bill(unit)
    assert shown in text(unit)


@pytest.mark.parametrize(
    ("locale", "width_mm", "height_mm"),
    [("en-US", 216, 279), ("es_MX", 216, 279), ("en-GB", 210, 297), ("de-DE", 210, 297), ("en", 210, 297)],
)
def test_it_prints_on_the_paper_that_is_usual_there(unit: Unit, locale: str, width_mm: int, height_mm: int) -> None:
    ShopProfile.objects.update(locale=locale)
    bill(unit)
    box = reader(unit).pages[0].mediabox
    assert (round(float(box.width) * 25.4 / 72), round(float(box.height) * 25.4 / 72)) == (width_mm, height_mm)
    assert page_size(locale) == pytest.approx((float(box.width), float(box.height)))


def test_it_writes_amounts_and_days_as_the_shop_does(unit: Unit, frozen: object) -> None:
    ShopProfile.objects.update(locale="de-DE", currency="EUR")
    bill(unit, Line("Elkos", "labour", 1, 123456), currency="EUR")
    found = text(unit)
    assert "1.234,56 €" in found
    assert "10. März 2026" in found


def test_it_breaks_a_long_bill_over_pages_with_its_head_repeated(unit: Unit) -> None:
    bill(unit, *(Line(f"Part {number}", "part", 1, 100) for number in range(90)))
    pages = [page.extract_text() for page in reader(unit).pages]
    assert len(pages) >= 3
    assert all("Quantity" in page for page in pages[:3])
    assert all(f"Page {number}" in page for number, page in enumerate(pages, start=1))
    assert all(f"Part {number}\n" in "".join(pages) for number in range(90))


def test_it_wraps_words_that_are_longer_than_the_column(unit: Unit) -> None:
    bill(unit, Line("x" * 160, "labour", 1, 100))
    assert text(unit).count("x") >= 160


def test_it_has_nothing_to_print_before_money_or_a_bill(unit: Unit) -> None:
    with pytest.raises(Refused) as refused:
        receipt_pdf(unit)
    assert "neither an invoice nor a payment" in sentence(refused.value.reasons[0])


def test_it_asks_a_fixed_number_of_queries(helper: Actor, unit: Unit, django_assert_num_queries: Any) -> None:
    bill(unit)
    for _turn in range(6):
        pay(helper, unit, 100)
    unit = Unit.objects.get(pk=unit.pk)
    with one_reading(), django_assert_num_queries(6):
        receipt_pdf(unit)
