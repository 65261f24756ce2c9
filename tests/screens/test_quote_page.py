"""A draft being written: lines changed, sent, gone ahead with, and answered at the counter."""

from typing import Any
from uuid import uuid4

import pytest

from shop.core.actor import Actor
from shop.quotes.actions import draft_quote
from shop.quotes.models import QuoteVersion
from shop.units.models import Unit
from tests.screens.browsing import Browser, forms, said
from tests.screens.conftest import At, text_of


@pytest.fixture
def draft(unit_at: At, helper: Actor) -> QuoteVersion:
    return draft_quote(actor=helper, unit_id=unit_at("diagnosed").id)


def change(browser: Browser, draft: QuoteVersion, verb: str, **fields: Any) -> Any:
    version = QuoteVersion.objects.get(pk=draft.pk).version
    return browser.send("quote-do", draft.id, verb, **{"version": str(version), **fields})


def test_it_changes_a_draft_line_by_line(as_counter: Browser, draft: QuoteVersion) -> None:
    change(as_counter, draft, "add", kind="part", words="Fuse <2 A>", quantity="2", price="1.25")
    change(as_counter, draft, "add", kind="labour", words="Polish", quantity="1", price="10", optional="on")
    line = draft.lines.get(words="Fuse <2 A>")
    change(as_counter, draft, "change", line=str(line.id), words="Fuse, 2 A", quantity="3", price="1.50")
    change(as_counter, draft, "note", note="Thank you, Ada")
    page = text_of(as_counter.see("quote", draft.id))
    assert "Fuse, 2 A" in page
    assert "$4.50" in page
    assert "Thank you, Ada</textarea>" in page
    assert "option, not taken" in page
    change(as_counter, draft, "remove", line=str(line.id))
    assert "Fuse" not in text_of(as_counter.see("quote", draft.id))


@pytest.mark.parametrize(
    ("verb", "fields"),
    [
        ("add", {"kind": "part", "words": "", "quantity": "1", "price": "1"}),
        ("add", {"kind": "gift", "words": "x", "quantity": "1", "price": "1"}),
        ("add", {"kind": "part", "words": "x", "quantity": "0", "price": "1"}),
        ("add", {"kind": "part", "words": "x", "quantity": "999999", "price": "9999999999"}),
        ("add", {"kind": "part", "words": "x", "quantity": "1", "price": "-1"}),
        ("add", {"kind": "discount", "words": "x", "quantity": "1", "price": "9999"}),
        ("change", {"line": str(uuid4()), "words": "x", "quantity": "1", "price": "1"}),
        ("remove", {"line": "nonsense"}),
        ("remove", {}),
        ("note", {"note": "x" * 2001}),
        ("no-such-verb", {}),
        ("send", {"version": "1000"}),
        ("send", {"version": ""}),
    ],
)
def test_it_keeps_a_draft_as_it_was_when_something_is_wrong(
    as_counter: Browser, draft: QuoteVersion, verb: str, fields: dict[str, str]
) -> None:
    before = QuoteVersion.objects.values().get(pk=draft.pk), list(draft.lines.values())
    answer = change(as_counter, draft, verb, **fields)
    assert answer.status_code == 422
    assert said(answer)
    assert (QuoteVersion.objects.values().get(pk=draft.pk), list(draft.lines.values())) == before


def test_it_keeps_a_new_line_as_typed_after_a_refusal(as_counter: Browser, draft: QuoteVersion) -> None:
    page = text_of(change(as_counter, draft, "add", kind="part", words='Fuse "slow"', quantity="7", price="one"))
    for kept in ('value="Fuse &quot;slow&quot;"', 'value="7"', 'value="one"', 'value="part" selected'):
        assert kept in page


def test_it_tells_a_stale_draft(as_counter: Browser, as_owner: Browser, draft: QuoteVersion) -> None:
    assert change(as_owner, draft, "note", note="First").status_code == 303
    answer = as_counter.send("quote-do", draft.id, "note", note="Second", version=str(draft.version))
    assert "Somebody changed this in the meantime" in said(answer)
    assert QuoteVersion.objects.get(pk=draft.pk).note == "First"


def test_it_sends_a_draft_once_and_lets_nobody_change_it_then(as_counter: Browser, draft: QuoteVersion) -> None:
    key = uuid4().hex
    sent = [as_counter.send("quote-do", draft.id, "send", version=str(draft.version), once=key) for _ in range(2)]
    assert [answer.url for answer in sent] == [f"/units/{draft.unit.number}"] * 2
    assert QuoteVersion.objects.get(pk=draft.pk).state == "sent"
    assert change(as_counter, draft, "note", note="Late").status_code == 422
    left = [address for address in forms(as_counter.see("quote", draft.id)) if "/do/" in address]
    assert left == [f"/quotes/{draft.id}/do/keep"]  # as a template: that changes nothing of the quote


def test_it_does_not_let_a_technician_send_a_quote(as_technician: Browser, draft: QuoteVersion) -> None:
    assert change(as_technician, draft, "send").status_code == 403
    assert QuoteVersion.objects.get(pk=draft.pk).state == "draft"


def test_it_goes_ahead_within_the_limit_and_not_beyond(as_counter: Browser, draft: QuoteVersion) -> None:
    Unit.objects.filter(pk=draft.unit_id).update(agreed="limit", spending_limit_minor=100)
    assert change(as_counter, draft, "go-ahead").status_code == 422
    Unit.objects.filter(pk=draft.unit_id).update(spending_limit_minor=100_000)
    assert change(as_counter, draft, "go-ahead").status_code == 303
    assert QuoteVersion.objects.get(pk=draft.pk).state == "approved"


def test_it_knows_no_quote_of_an_unknown_id(as_counter: Browser, shop: object) -> None:
    answer = as_counter.get(f"/quotes/{uuid4()}")
    assert answer.status_code == 404
    assert "There is no quote" in said(answer)


def test_it_takes_an_answer_over_the_telephone_for_what_was_shown_only(as_counter: Browser, unit_at: At) -> None:
    unit = unit_at("quoted")
    quote = QuoteVersion.objects.get(unit=unit)
    other = as_counter.do(unit, "answer", quote=str(quote.id), answer="yes", shown="0" * 64)
    assert other.status_code == 422
    assert QuoteVersion.objects.get(pk=quote.pk).state == "sent"
    form = forms(as_counter.see("unit", unit.number))[f"/units/{unit.number}/do/answer"]
    assert as_counter.post(f"/units/{unit.number}/do/answer", form | {"answer": "yes"}).status_code == 303
    assert QuoteVersion.objects.get(pk=quote.pk).state == "approved"
