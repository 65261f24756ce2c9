"""The customer's page: the three questions, the answer to the quote, and what it does on a poor phone."""

import re

import pytest
from django.conf import settings
from django.test import Client

from shop.core.actor import Actor
from shop.floor.flows.quote import send_quote
from shop.people.models import Customer
from shop.quotes.actions import change_quote, draft_quote
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.quotes.operations import AddLine
from shop.units import links
from shop.units.models import Unit
from tests.customer_portal.conftest import of, phone_of
from tests.screens.browsing import forms, said
from tests.screens.conftest import At, trail_of

AGENT = "A phone 1.0"


@pytest.fixture
def asked(unit_at: At, helper: Actor) -> Unit:
    """A unit whose quote, with an option in it, waits for an answer."""
    unit = unit_at("diagnosed")
    draft = draft_quote(actor=helper, unit_id=unit.id)
    polish = AddLine(kind="labour", words="Polish the lid", unit_minor=1500, optional=True)
    draft = change_quote(actor=helper, quote_id=draft.id, version=draft.version, operations=[polish])
    send_quote(actor=helper, quote_id=draft.id, version=draft.version)
    return Unit.objects.get(pk=unit.pk)


def quote_of(unit: Unit) -> QuoteVersion:
    return QuoteVersion.objects.filter(unit=unit).order_by("-edition")[0]


def form_of(phone: Client, unit: Unit) -> dict[str, str]:
    """The form as the page fills it; the option is left unless it is ticked."""
    found = forms(phone.get(of(unit)))[of(unit, "answer")]
    return {name: value for name, value in found.items() if name in ("quote", "shown")}


@pytest.mark.parametrize(
    ("where", "words"),
    [
        ("intake", "being written up"), ("queue", "in the queue for a bench"), ("diagnosis", "being looked at"),
        ("quoted", "waiting for your answer"), ("work", "being worked on"), ("testing", "being tested"),
        ("pickup", "Ready to go back to you"), ("left", "It has left the shop: collected."),
    ],
)  # fmt: skip
def test_it_says_where_the_unit_is(unit_at: At, where: str, words: str) -> None:
    page = phone_of(unit_at(where)).get("/c/").content.decode()
    assert words in page
    for question in ("Where is it?", "When is it done?", "What does it cost?"):
        assert question in page


def test_it_shows_the_code_for_the_counter_only_when_the_unit_is_ready(unit_at: At) -> None:
    early, ready = unit_at("queue"), unit_at("pickup")
    assert links.pickup_code(early) not in phone_of(early).get("/c/").content.decode()
    assert links.pickup_code(ready) in phone_of(ready).get("/c/").content.decode()


def test_it_needs_no_script_and_takes_nothing_from_elsewhere(asked: Unit) -> None:
    page = phone_of(asked).get("/c/").content.decode()
    assert not re.findall(r"<script(?![^>]*\bsrc=\"/)|<style|\bstyle=|\bon\w+=|javascript:", page)
    assert not [
        a for a in re.findall(r'(?:src|href|action)="([^"]+)"', page) if not a.startswith(("/", "#", "mailto:", "tel:"))
    ]
    assert "noindex" in page


def test_it_takes_a_yes_with_its_evidence(asked: Unit) -> None:
    phone = phone_of(asked)
    answer = phone.post(of(asked, "answer"), form_of(phone, asked) | {"answer": "yes"}, headers={"User-Agent": AGENT})
    assert (answer.status_code, answer.headers["Location"]) == (303, f"{of(asked)}?answered=1")
    decision = Decision.objects.get()
    assert (decision.kind, decision.by_role, decision.address, decision.agent) == (
        "approved", "customer", "127.0.0.1", AGENT
    )  # fmt: skip
    assert decision.by_id == str(links.open_link(asked).id)  # type: ignore[union-attr]
    page = phone.get(answer.headers["Location"]).content.decode()
    assert "Thank you. Your answer is recorded." in page
    assert f'action="{of(asked, "answer")}"' not in page


def test_it_takes_the_options_that_were_ticked(asked: Unit) -> None:
    phone = phone_of(asked)
    option = QuoteLine.objects.get(quote=quote_of(asked), optional=True)
    before = Decision.objects.count()
    phone.post(of(asked, "answer"), form_of(phone, asked) | {"answer": "yes", "taken": str(option.id)})
    assert Decision.objects.count() == before + 1
    option.refresh_from_db()
    assert option.taken


def test_it_takes_a_no_with_its_reason(asked: Unit) -> None:
    phone = phone_of(asked)
    phone.post(of(asked, "answer"), form_of(phone, asked) | {"answer": "no", "reason": "Quá đắt 😿 <b>"})
    decision = Decision.objects.get()
    assert decision.kind == "declined"
    assert decision.words is not None
    assert decision.words.text == "Quá đắt 😿 <b>"
    assert Unit.objects.get(pk=asked.pk).ending == "declined"


def test_it_counts_a_double_tap_once(asked: Unit) -> None:
    phone = phone_of(asked)
    form = form_of(phone, asked) | {"answer": "yes"}
    answers = [phone.post(of(asked, "answer"), form) for _ in range(3)]
    assert {answer.status_code for answer in answers} == {303}
    assert Decision.objects.count() == 1
    assert trail_of(asked).count("hold_lifted") == 1


def test_it_tells_who_changed_their_mind_that_the_answer_stands(asked: Unit) -> None:
    phone = phone_of(asked)
    form = form_of(phone, asked)
    phone.post(of(asked, "answer"), form | {"answer": "yes"})
    answer = phone.post(of(asked, "answer"), form | {"answer": "no"})
    assert answer.status_code == 409
    assert said(answer)
    assert Decision.objects.get().kind == "approved"


def test_it_tells_a_stale_page_that_there_is_a_newer_quote(asked: Unit, helper: Actor) -> None:
    phone = phone_of(asked)
    old = form_of(phone, asked)
    newer = draft_quote(actor=helper, unit_id=asked.id)
    newer = change_quote(
        actor=helper, quote_id=newer.id, version=newer.version,
        operations=[AddLine(kind="labour", words="One thing more", unit_minor=900)],
    )  # fmt: skip
    send_quote(actor=helper, quote_id=newer.id, version=newer.version)
    answer = phone.post(of(asked, "answer"), old | {"answer": "yes"})
    assert answer.status_code == 409
    assert said(answer)
    assert "One thing more" in answer.content.decode()
    assert not Decision.objects.exists()
    assert phone.post(of(asked, "answer"), form_of(phone, asked) | {"answer": "yes"}).status_code == 303


def test_it_takes_no_answer_to_what_was_not_shown(asked: Unit) -> None:
    phone = phone_of(asked)
    for wrong in ({"shown": "0" * 64}, {"shown": ""}):
        answer = phone.post(of(asked, "answer"), form_of(phone, asked) | wrong | {"answer": "yes"})
        assert answer.status_code == 409
        assert said(answer)
    assert not Decision.objects.exists()


@pytest.mark.parametrize("taken", ["7c9e6679-7425-40de-944b-e07fc1f90ae7", "nonsense", "' OR 1=1 --"])
def test_it_takes_no_option_that_is_not_on_the_quote(asked: Unit, taken: str) -> None:
    phone = phone_of(asked)
    answer = phone.post(of(asked, "answer"), form_of(phone, asked) | {"answer": "yes", "taken": taken})
    assert answer.status_code == 409
    assert said(answer)
    assert not Decision.objects.exists()


def test_it_answers_for_no_other_unit(asked: Unit, unit_at: At) -> None:
    """The quote of somebody else, sent through one's own link."""
    theirs = quote_of(unit_at("quoted"))
    phone = phone_of(asked)
    form = {"quote": str(theirs.id), "shown": theirs.content_sha256, "answer": "yes"}
    assert phone.post(of(asked, "answer"), form).status_code == 409
    for odd, status in (("nonsense", 404), ("", 404), ("7c9e6679-7425-40de-944b-e07fc1f90ae7", 409)):
        assert phone.post(of(asked, "answer"), form | {"quote": odd}).status_code == status
    assert not Decision.objects.exists()


def test_it_takes_no_answer_after_the_last_day(asked: Unit) -> None:
    phone = phone_of(asked)
    form = form_of(phone, asked)
    QuoteVersion.objects.filter(unit=asked).update(valid_until="2020-01-01")
    answer = phone.post(of(asked, "answer"), form | {"answer": "yes"})
    assert answer.status_code == 409
    assert said(answer)
    assert f'action="{of(asked, "answer")}"' not in answer.content.decode()
    assert not Decision.objects.exists()


def test_it_refuses_an_answer_that_its_own_page_did_not_send(asked: Unit) -> None:
    phone = Client(enforce_csrf_checks=True)
    plain = phone_of(asked)
    phone.cookies = plain.cookies
    form = form_of(plain, asked) | {"answer": "yes"}
    assert phone.post(of(asked, "answer"), form).status_code == 403
    token = re.search(r'name="csrfmiddlewaretoken" value="(\w+)"', phone.get("/c/").content.decode())
    assert token is not None
    assert phone.post(of(asked, "answer"), form | {"csrfmiddlewaretoken": token[1]}).status_code == 303


def test_it_gives_a_receipt_once_there_is_one(asked: Unit, unit_at: At) -> None:
    early = phone_of(asked).get(of(asked, "receipt"))
    assert early.status_code == 409
    assert said(early)
    left = unit_at("left")
    gone = phone_of(left).get(of(left, "receipt"))
    assert gone.content.startswith(b"%PDF")
    assert "sandbox" in gone.headers["Content-Security-Policy"]
    assert "no-store" in gone.headers["Cache-Control"]


def test_it_stays_as_a_record_when_the_unit_has_left(unit_at: At) -> None:
    unit = unit_at("left")
    page = phone_of(unit).get("/c/").content.decode()
    assert "Keep this page: it is your record of the work." in page
    assert "Bill and receipt (PDF)" in page
    assert f'action="{of(unit, "answer")}"' not in page


@pytest.mark.parametrize("name", ["Trần Thị Bảo Ngọc", "ليلى منصور", "Ziggy 🎛️", "<b>Bold</b>"])
def test_it_shows_nobody_their_own_name_and_breaks_on_none(asked: Unit, ada: Customer, name: str) -> None:
    """Whoever finds the phone learns what is being mended, and not whose it is."""
    Customer.objects.filter(pk=ada.pk).update(name=name)
    page = phone_of(asked).get("/c/").content.decode()
    assert name not in page
    assert ada.email not in page
    assert ada.phone not in page


def test_it_gives_the_script_the_middle_of_the_page_alone(asked: Unit) -> None:
    part = phone_of(asked).get(of(asked, "part")).content.decode()
    assert "Where is it?" in part
    assert "<html" not in part


def test_it_looks_only_where_looking_changes_nothing(asked: Unit) -> None:
    phone = phone_of(asked)
    assert phone.get(of(asked, "answer")).status_code == 405
    assert phone.post("/c/").status_code == 405
    assert phone.cookies[settings.CUSTOMER_COOKIE_NAME].value
