"""Terms that matter are shown, asked for one by one, and kept in the evidence in the customer's own language."""

import json

import pytest
from django.utils import translation

from shop.boards.models import Service
from shop.core.actor import Actor
from shop.core.models import ShopProfile
from shop.core.reasons import Refused
from shop.floor.flows.quote import go_ahead
from shop.people.models import Customer
from shop.quotes.actions import draft_quote
from shop.quotes.content import canonical, sha256
from shop.quotes.models import Decision, QuoteVersion
from shop.quotes.operations import AddLine
from shop.units.models import Finding, Unit
from tests.api.conftest import Device
from tests.customer_portal.conftest import filled, of, offer, phone_of, token_for
from tests.screens.browsing import Browser, forms, said
from tests.screens.conftest import At


@pytest.fixture
def risky(unit_at: At, helper: Actor) -> QuoteVersion:
    """A quote for work that cuts legs, on a board that somebody worked on before."""
    unit = unit_at("intake")
    Service.objects.filter(code="recap").update(nature=Service.Nature.MODIFICATION)
    Finding.objects.create(unit=unit, kind=Finding.Kind.EARLIER_WORK, words="Flux everywhere")
    ShopProfile.objects.update(terms_work="We mend with care.", terms_save_data="Saves may be lost.")
    return offer(helper, unit, AddLine(kind="part", words="Own tube", source="customer"))


def terms_on(quote: QuoteVersion) -> dict[str, bool]:
    return {term["code"]: term["asks"] for term in json.loads(quote.content)["terms"]}


def test_it_shows_the_terms_that_the_work_calls_for(risky: QuoteVersion) -> None:
    assert terms_on(risky) == {
        "work": False, "no_way_back": True, "fragile": True, "save_data": False, "removed_parts": False,
        "brought_parts": False, "liability": False,
    }  # fmt: skip
    page = phone_of(risky.unit).get(of(risky.unit)).content.decode()
    for words in ("We mend with care.", "Saves may be lost.", "cannot be undone", "the law of your place"):
        assert words in page
    assert page.count('name="agreed"') == 2


def test_it_asks_for_nothing_where_nothing_is_at_stake(unit_at: At, helper: Actor) -> None:
    quote = offer(helper, unit_at("intake"))
    assert not any(terms_on(quote).values())
    assert 'name="agreed"' not in phone_of(quote.unit).get(of(quote.unit)).content.decode()


def test_it_asks_for_a_yes_to_work_on_a_board_that_may_not_stand_it(unit_at: At, helper: Actor) -> None:
    unit = unit_at("intake")
    asked = {}
    for kind in Finding.Kind.values:
        finding = Finding.objects.create(unit=unit, kind=kind, words="Seen on arrival")
        asked[kind] = terms_on(offer(helper, unit)).get("fragile", False)
        finding.delete()
    assert {kind for kind, asks in asked.items() if asks} == {
        "earlier_work", "lifted_pad", "broken_trace", "corrosion", "liquid", "leak"
    }  # fmt: skip


def test_it_takes_no_yes_without_each_of_its_own(risky: QuoteVersion) -> None:
    phone, unit = phone_of(risky.unit), risky.unit
    form = filled(phone.get(of(unit)), unit) | {"answer": "yes"}
    for agreed in ([], ["fragile"], ["no_way_back"], ["liability", "work", "everything"]):
        answer = phone.post(of(unit, "answer"), form | {"agreed": agreed})
        assert answer.status_code == 409
        assert "Some of this work needs your yes by itself." in said(answer)
        assert filled(answer, unit).get("agreed", []) == [code for code in agreed if code in ("fragile", "no_way_back")]
    assert not Decision.objects.exists()
    assert phone.post(of(unit, "answer"), form | {"agreed": ["fragile", "no_way_back"]}).status_code == 303


def test_it_needs_no_yes_to_terms_for_a_no(risky: QuoteVersion) -> None:
    phone, unit = phone_of(risky.unit), risky.unit
    form = filled(phone.get(of(unit)), unit) | {"answer": "no", "reason": "Too risky"}
    assert phone.post(of(unit, "answer"), form).status_code == 303
    assert json.loads(Decision.objects.get().content)["agreed"] == []


def test_it_keeps_what_was_agreed_with_the_words_that_were_shown(risky: QuoteVersion) -> None:
    phone, unit = phone_of(risky.unit), risky.unit
    form = filled(phone.get(of(unit)), unit) | {"answer": "yes", "agreed": ["no_way_back", "fragile", "made-up"]}
    phone.post(of(unit, "answer"), form, headers={"User-Agent": "A phone 1.0"})
    decision = Decision.objects.get()
    kept = json.loads(decision.content)
    assert kept["agreed"] == ["fragile", "no_way_back"]
    assert kept["shown"] == json.loads(risky.content)
    assert kept["shown_sha256"] == sha256(canonical(kept["shown"])) == risky.content_sha256
    assert decision.content_sha256 == sha256(decision.content)
    assert (decision.address, decision.agent, decision.by_role) == ("127.0.0.1", "A phone 1.0", "customer")
    # What the shop writes into its terms afterwards changes nothing of it.
    ShopProfile.objects.update(terms_work="All care is excluded.")
    assert "All care" not in Decision.objects.get().content
    assert "All care" not in phone.get(of(unit)).content.decode()


def test_it_words_the_terms_in_the_language_of_the_customer(unit_at: At, ada: Customer, helper: Actor) -> None:
    """Whoever writes the quote speaks another language than who reads it."""
    Customer.objects.filter(pk=ada.pk).update(language="de")
    quote = offer(helper, unit_at("intake"))
    with translation.override("de"):
        wanted = translation.gettext(
            "What we owe you if something goes wrong is a matter of the law of your place. Nothing here takes away a "
            "right that it gives you."
        )
    words = {term["code"]: term["words"] for term in json.loads(quote.content)["terms"]}
    assert words["liability"] == wanted
    # Read in French, a quote that was sent in German still says what was sent: that is what its hash covers.
    phone = phone_of(quote.unit)
    page = phone.get(of(quote.unit), headers={"Accept-Language": "fr"}).content.decode()
    assert wanted in page
    form = filled(phone.get(of(quote.unit)), quote.unit) | {"answer": "yes"}
    assert phone.post(of(quote.unit, "answer"), form).status_code == 303
    assert wanted in Decision.objects.get().content


def test_the_counter_asks_for_the_same(risky: QuoteVersion, as_counter: Browser) -> None:
    unit = risky.unit
    told = {"quote": str(risky.id), "shown": risky.content_sha256, "answer": "yes"}
    refused = as_counter.do(unit, "answer", **told)
    assert (refused.status_code, "needs your yes" in said(refused)) == (422, True)
    assert "agreed" in forms(as_counter.see("unit", unit.number))[f"/units/{unit.number}/do/answer"]
    assert as_counter.do(unit, "answer", **told, agreed=["fragile", "no_way_back"]).status_code == 303
    assert json.loads(Decision.objects.get().content)["agreed"] == ["fragile", "no_way_back"]


def test_the_api_asks_for_the_same(risky: QuoteVersion) -> None:
    device = Device(f"Link {token_for(risky.unit)}")
    shown = device.get("link/progress").json()["quote"]
    asked = [term["code"] for term in shown["terms"] if term["asks"]]
    body = {"approve": True, "shown_sha256": shown["content_sha256"]}
    path = f"link/quotes/{risky.id}/decision"
    refused = device.post(path, body)
    assert [reason["code"] for reason in refused.json()["reasons"]] == ["terms_not_agreed"]
    assert device.post(path, body | {"agreed": asked}).status_code == 200


def test_nobody_goes_ahead_within_the_limit_where_a_yes_is_needed(unit_at: At, helper: Actor) -> None:
    unit = unit_at("intake")
    Unit.objects.filter(pk=unit.pk).update(agreed="limit", spending_limit_minor=100_000)
    Service.objects.filter(code="recap").update(nature=Service.Nature.MODIFICATION)
    draft = draft_quote(actor=helper, unit_id=unit.id)
    with pytest.raises(Refused, match="limit_needs_yes"):
        go_ahead(actor=helper, quote_id=draft.id)
    assert QuoteVersion.objects.get(pk=draft.pk).state == "draft"
    Service.objects.filter(code="recap").update(nature=Service.Nature.REPLACE)
    decision = go_ahead(actor=helper, quote_id=draft.id)
    assert (decision.kind, decision.quote.within_limit) == ("within_limit", True)
    kept = json.loads(decision.content)
    assert (kept["answer"], kept["agreed"]) == ("within_limit", [])
