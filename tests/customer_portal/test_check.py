"""The public page that checks papers: what it knows, what it says of the rest, and that it tells and keeps nothing."""

import html
import io
import re
from datetime import timedelta
from typing import Any

import pytest
import time_machine
from django.conf import settings
from django.core.files.uploadedfile import SimpleUploadedFile
from django.test import Client, RequestFactory
from django.urls import reverse
from pypdf import PdfReader

from customer_portal.check import LARGEST_BYTES, MOST_WRONG, check
from shop.core.actor import Actor
from shop.core.models import ShopProfile
from shop.floor.flows.pickup import revoke_link
from shop.floor.flows.quote import send_quote
from shop.people.models import Customer, User
from shop.quotes.actions import change_quote, draft_quote
from shop.quotes.models import Decision, DecisionPaper, QuoteVersion
from shop.quotes.operations import AddLine
from shop.units.models import Unit
from tests.customer_portal.conftest import phone_of
from tests.screens.browsing import forms, said
from tests.screens.conftest import At, browser_of

AGENT = "A phone 1.0"


@pytest.fixture
def asked(unit_at: At, helper: Actor) -> Unit:
    """A unit whose quote waits for an answer: options, a discount of a line's own, an untaxed line, and a reason."""
    unit = unit_at("diagnosed")
    draft = draft_quote(actor=helper, unit_id=unit.id)
    more = [
        AddLine(kind="labour", words="Polish the lid", unit_minor=1500, optional=True, why="Deep scratches."),
        AddLine(kind="part", words="Feet", unit_minor=115, quantity=4, discount_millipercent=12_500),
        AddLine(kind="postage", words="Parcel back", unit_minor=900, tax_class="none"),
        AddLine(kind="part", words="Spare cable", unit_minor=700, optional=True),
    ]
    draft = change_quote(actor=helper, quote_id=draft.id, version=draft.version, operations=more)
    send_quote(actor=helper, quote_id=draft.id, version=draft.version)
    return Unit.objects.get(pk=unit.pk)


def quote_of(unit: Unit) -> QuoteVersion:
    return QuoteVersion.objects.get(unit=unit)


def answer(unit: Unit, **more: str) -> Decision:
    """Answer on the page, with the first option taken."""
    phone, quote = phone_of(unit), quote_of(unit)
    option = quote.lines.get(words="Polish the lid")
    form = {"quote": str(quote.id), "shown": quote.content_sha256, "answer": "yes", "taken": str(option.id)} | more
    assert phone.post("/c/answer", form, headers={"User-Agent": AGENT}).status_code == 303
    return Decision.objects.get(quote=quote)


def paper_address(unit: Unit) -> str:
    return reverse("customer:paper", args=[unit.number, quote_of(unit).edition])


def paper(unit: Unit) -> bytes:
    content: bytes = phone_of(unit).get(paper_address(unit)).content
    return content


@pytest.fixture
def decided(asked: Unit) -> Decision:
    return answer(asked)


@pytest.fixture
def anybody(shop: ShopProfile) -> Client:
    return Client()


def given(who: Client, content: bytes, **more: str) -> Any:
    return who.post("/c/check", {"file": SimpleUploadedFile("paper.pdf", content)} | more)


def words_of(page: Any) -> str:
    """What a page says, in one line."""
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", page.content.decode())).split())


def text_of(pdf: bytes) -> str:
    return " ".join(" ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf), strict=True).pages).split())


def test_its_paper_says_the_same_lines_sums_taxes_and_total_as_the_page(asked: Unit) -> None:
    answer(asked)
    page, text = phone_of(asked).get("/c/").content.decode(), text_of(paper(asked))
    table = re.search(r'<table class="wraps">(.*?)</table>', page, re.DOTALL)
    assert table
    rows = re.findall(r"<tr><td>(.*?)</td><td class=\"n\">(.*?)</td></tr>", table[1], re.DOTALL)
    told = [(" ".join(html.unescape(re.sub("<[^>]+>", "|", name)).split()), amount) for name, amount in rows]
    assert [name.split("|")[0].split(" × ")[0] for name, _amount in told] == [
        "Recap", "Polish the lid", "Feet", "Parcel back", "Sales tax 8%", "Total"
    ]  # fmt: skip
    agreed, left = text.split("Offered and left")
    for name, amount in told[:-2]:
        words = name.split("|")[0].split(" × ")[0]
        assert re.search(rf"{re.escape(words)} .*?{re.escape(amount)}", agreed), (words, amount)
    (_tax, tax), (_total, total) = told[-2:]
    assert f"Sales tax {tax} Total {total}" in text
    assert f"standard rate 8% $79.02 {tax} no tax 0% $9.00 $0.00" in text
    assert "Polish the lid Deep scratches. an option, taken 1 $15.00 standard rate $15.00" in agreed
    assert "Feet 4 $1.15 12.5% -$0.58 standard rate $4.02" in agreed
    assert "Spare cable" in left
    assert "Spare cable" not in table[1]


def test_it_gives_the_paper_to_the_units_own_link_only(asked: Unit, unit_at: At, bao: Customer, owner: Actor) -> None:
    answer(asked)
    phone, others = phone_of(asked), unit_at("quoted")
    Unit.objects.filter(pk=others.pk).update(customer=bao)
    file = phone.get(paper_address(asked))
    assert (file.status_code, file.headers["Content-Type"]) == (200, "application/pdf")
    assert file.headers["Content-Security-Policy"] == "default-src 'none'; sandbox"
    assert phone_of(others).get(paper_address(asked)).status_code == 404
    assert Client().get(paper_address(asked)).status_code == 404
    revoke_link(actor=owner, unit_id=asked.id)
    gone = phone.get(paper_address(asked))
    assert (gone.status_code, b"%PDF" in gone.content) == (404, False)


def test_it_gives_no_paper_before_the_answer(asked: Unit) -> None:
    assert phone_of(asked).get(paper_address(asked)).status_code == 404
    assert not DecisionPaper.objects.exists()


def test_the_shop_gives_the_very_file_that_the_customer_gets(
    asked: Unit, decided: Decision, pim: User, jun: User
) -> None:
    address = reverse("screens:quote-paper", args=[decided.quote_id])
    file = browser_of(pim).get(address)
    assert (file.status_code, file.content) == (200, paper(asked))
    assert file.headers["Content-Disposition"] == f'inline; filename="quote-{asked}-1.pdf"'
    assert browser_of(jun).get(address).status_code == 403


def test_it_shows_a_form_that_needs_no_script(anybody: Client) -> None:
    page = anybody.get("/c/check")
    assert page.status_code == 200
    assert set(forms(page)["/c/check"]) == {"csrfmiddlewaretoken", "file", "hash"}
    assert 'enctype="multipart/form-data"' in page.content.decode()
    assert "<script" not in page.content.decode()
    assert "Wrong tries count: after 20 of them within ten minutes you have to wait." in words_of(page)
    assert "no-store" in page.headers["Cache-Control"]
    assert anybody.head("/c/check").status_code == 200
    assert anybody.put("/c/check").status_code == 405


def test_it_knows_its_own_paper(asked: Unit, anybody: Client, frozen: time_machine.Traveller) -> None:
    answer(asked)
    page = given(anybody, paper(asked))
    assert page.status_code == 200
    assert (
        "This is our paper, and nothing in it was changed. It is about edition 1 of the quote for unit "
        f"{asked}: approved on Mar 10, 2026, total $94.34."
    ) in words_of(page)


def test_it_says_how_else_an_answer_was(asked: Unit, anybody: Client, frozen: time_machine.Traveller) -> None:
    answer(asked, answer="no")
    assert f"unit {asked}: declined on Mar 10, 2026, total $78.14." in words_of(given(anybody, paper(asked)))


@pytest.mark.parametrize("way", ["GET", "POST"])
def test_it_knows_each_hash_however_it_is_typed(decided: Decision, asked: Unit, anybody: Client, way: str) -> None:
    paper(asked)
    told = {
        DecisionPaper.objects.get().pdf_sha256: "This is our paper",
        decided.content_sha256: "that of the evidence of an answer",
        decided.quote.content_sha256: "that of what was shown before an answer",
    }
    for sha256, words in told.items():
        upper = sha256.upper()
        for typed in (sha256, upper, f"  {upper[:32]}\r\n{sha256[32:]}\t", " ".join(re.findall("....", sha256))):
            page = (anybody.get if way == "GET" else anybody.post)("/c/check", {"hash": typed})
            assert (page.status_code, words in words_of(page)) == (200, True), typed


def test_it_knows_the_hashes_as_they_are_printed_and_the_code_beside_them(asked: Unit, anybody: Client) -> None:
    decided = answer(asked)
    text = text_of(paper(asked))
    assert f"open {settings.SHOP_ADDRESS}{reverse('customer:check')}, and" in text
    printed = re.findall(r"(?:[0-9a-f]{4} ){15}[0-9a-f]{4}", text)
    assert len(printed) == 2
    assert ["of the evidence" in words_of(anybody.get("/c/check", {"hash": each})) for each in printed] == [False, True]
    assert anybody.get(f"/c/check?hash={decided.content_sha256}").status_code == 200


def test_it_tells_nothing_personal(asked: Unit, decided: Decision, anybody: Client, ada: Customer) -> None:
    told = words_of(given(anybody, paper(asked))) + words_of(anybody.get("/c/check", {"hash": decided.content_sha256}))
    for personal in ("Kowalczyk", ada.email, ada.phone, AGENT, decided.address, decided.by_id, "Recap"):
        assert personal not in told


@pytest.mark.parametrize("change", ["a bit at its end", "a bit inside", "more behind it", "less of it"])
def test_it_finds_the_least_change_of_a_file(asked: Unit, decided: Decision, anybody: Client, change: str) -> None:
    pdf = paper(asked)
    inside = len(pdf) // 2
    changed = {
        "a bit at its end": pdf[:-1] + bytes([pdf[-1] ^ 1]),
        "a bit inside": pdf[:inside] + bytes([pdf[inside] ^ 1]) + pdf[inside + 1 :],
        "more behind it": pdf + b"\n",
        "less of it": pdf[:-1],
    }[change]
    page = given(anybody, changed)
    assert page.status_code == 404
    assert said(page).startswith("This is not a paper of ours, or it was changed.")


def test_it_knows_no_hash_with_a_digit_wrong(decided: Decision, anybody: Client) -> None:
    sha256 = decided.content_sha256
    wrong = ("0" if sha256[0] != "0" else "1") + sha256[1:]
    page = anybody.get("/c/check", {"hash": wrong})
    assert page.status_code == 404
    assert said(page).startswith("This is not the hash of a paper of ours, or a digit of it is wrong.")
    assert wrong in page.content.decode()


@pytest.mark.parametrize(
    ("typed", "words"),
    [
        ("", "Type a hash or choose a file first."), (" \n", "Type a hash or choose a file first."),
        ("abc", "A hash has 64 digits"), ("0" * 65, "A hash has 64 digits"), ("g" * 64, "A hash has 64 digits"),
        ("٣" * 64, "A hash has 64 digits"), ("\0" * 64, "A hash has 64 digits"), ("f" * 9000, "A hash has 64 digits"),
        ("<script>alert(1)</script>", "A hash has 64 digits"), ("' OR 1=1 --", "A hash has 64 digits"),
    ],
)  # fmt: skip
def test_it_says_what_is_wrong_with_what_was_typed(anybody: Client, typed: str, words: str) -> None:
    for page in (anybody.get("/c/check", {"hash": typed}), anybody.post("/c/check", {"hash": typed})):
        assert page.status_code == 422
        assert said(page).startswith(words)
        assert "<script" not in page.content.decode()


@pytest.mark.parametrize("content", [b"", b"%PD", b"PK\x03\x04 a parcel of files", b"\x89PNG\r\n\x1a\n", b" %PDF-1.4"])
def test_it_refuses_what_is_no_pdf(anybody: Client, content: bytes) -> None:
    page = given(anybody, content)
    assert (page.status_code, said(page)) == (422, "This is no PDF file. Give the file that you got from us.")


def test_it_takes_files_up_to_its_limit_and_none_above(anybody: Client) -> None:
    largest = b"%PDF-".ljust(LARGEST_BYTES, b"x")
    assert given(anybody, largest).status_code == 404
    page = given(anybody, largest + b"x")
    assert page.status_code == 413
    assert said(page).startswith("This file has more than 2 MB")
    assert given(anybody, largest * 4).status_code == 413


def test_it_keeps_nothing_of_a_file(shop: ShopProfile) -> None:
    request = RequestFactory().post("/c/check", {"file": SimpleUploadedFile("paper.pdf", b"%PDF-" + b"x" * 300_000)})
    request._dont_enforce_csrf_checks = True  # type: ignore[attr-defined]
    assert check(request).status_code == 404
    assert not request.FILES


def test_a_file_counts_whatever_was_typed_beside_it_and_the_first_of_two(
    asked: Unit, decided: Decision, anybody: Client
) -> None:
    pdf = paper(asked)
    assert given(anybody, pdf, hash="0" * 64).status_code == 200
    for contents, status in (((pdf, b"%PDF-"), 200), ((b"%PDF-", pdf), 404)):
        files = [SimpleUploadedFile("paper.pdf", content) for content in contents]
        assert anybody.post("/c/check", {"file": files}).status_code == status


def test_it_slows_who_guesses_and_nobody_who_checks(
    decided: Decision, anybody: Client, frozen: time_machine.Traveller
) -> None:
    right = {"hash": decided.content_sha256}
    assert {anybody.get("/c/check", right).status_code for _ in range(MOST_WRONG + 5)} == {200}
    wrong = [anybody.get("/c/check", {"hash": f"{number:064x}"}).status_code for number in range(MOST_WRONG + 2)]
    assert wrong == [404] * MOST_WRONG + [429] * 2
    late = anybody.post("/c/check", right)
    assert late.status_code == 429
    assert said(late).startswith("There were more than 20 wrong tries from your network. Wait ten minutes")
    assert Client(REMOTE_ADDR="198.51.100.20").get("/c/check", right).status_code == 200
    frozen.shift(timedelta(minutes=11))
    assert anybody.get("/c/check", right).status_code == 200


def test_it_counts_what_cannot_be_right_as_well(anybody: Client) -> None:
    for _ in range(MOST_WRONG // 2):
        assert anybody.get("/c/check", {"hash": "abc"}).status_code == 422
        assert given(anybody, b"no file").status_code == 422
    assert anybody.get("/c/check", {"hash": "0" * 64}).status_code == 429


def test_it_takes_a_form_of_its_own_page_only(asked: Unit, decided: Decision) -> None:
    pdf, browser = paper(asked), Client(enforce_csrf_checks=True)
    for form in ({"hash": decided.content_sha256}, {"file": SimpleUploadedFile("paper.pdf", pdf)}):
        assert browser.post("/c/check", form).status_code == 403
    token = forms(browser.get("/c/check"))["/c/check"]["csrfmiddlewaretoken"]
    assert given(browser, pdf, csrfmiddlewaretoken=token).status_code == 200
    assert given(browser, pdf, csrfmiddlewaretoken="x" * 64).status_code == 403
