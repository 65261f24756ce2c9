"""Sending, deciding, going ahead: what is frozen, what is evidence, and what is refused."""

import json
from datetime import date, timedelta
from typing import Any
from uuid import uuid4

import pytest
import time_machine
from django.db import DatabaseError, transaction

from shop.boards.models import DeviceModel
from shop.core.actor import Actor
from shop.core.models import ShopProfile, TrailEntry
from shop.core.reasons import Missing, Refused, Stale
from shop.people.models import Customer
from shop.quotes import actions, content, queries, steps
from shop.quotes.models import Decision, QuoteLine, QuoteVersion
from shop.quotes.operations import AddLine, ChangeLine, Operation, RemoveLine, SetNote
from shop.units.models import Unit
from tests.quotes.conftest import decide, evidence_holds, in_flow, line, optional_ids, send, trail_of

pytestmark = pytest.mark.usefixtures("frozen")


def _next_edition(unit: Unit, actor: Actor, *operations: Operation) -> QuoteVersion:
    quote = actions.draft_quote(actor=actor, unit_id=unit.id)
    actions.change_quote(actor=actor, quote_id=quote.id, version=1, operations=operations or [SetNote(text="More")])
    return send(quote, actor)


def _refusal(quote: QuoteVersion, actor: Actor, **facts: Any) -> str:
    with pytest.raises(Refused) as refused:
        decide(quote, actor, **facts)
    return refused.value.code


def test_it_freezes_what_is_sent_until_a_day_in_the_shops_zone(sent: QuoteVersion) -> None:
    shown = json.loads(sent.content)
    assert sent.valid_until == date(2026, 3, 24)
    assert sent.content_sha256 == content.sha256(sent.content)
    assert (shown["unit"], shown["model"], shown["shop"]["name"]) == ("0042", "Quillon Lantern", "Brandt & Daughter")
    assert shown["totals"] == {"net_minor": 6540, "taxable_minor": 6540, "tax_minor": 523, "total_minor": 7063}
    assert shown["terms"][0]["words"].startswith("Work that has begun")
    assert shown["fee_if_declined_total_minor"] == 2700
    assert "Kowalczyk" not in sent.content


def test_it_counts_the_days_from_the_shops_own_date(
    draft: QuoteVersion, helper: Actor, frozen: time_machine.Traveller
) -> None:
    frozen.shift(timedelta(hours=17))  # 02:00 UTC on the 11th, still the 10th in New York
    assert send(draft, helper).valid_until == date(2026, 3, 24)


def test_it_shows_what_was_frozen_whatever_the_shop_says_later(sent: QuoteVersion, helper: Actor) -> None:
    before = queries.shown(sent)
    ShopProfile.objects.update(terms_work="Other terms", tax_rate_millipercent=20_000)
    again = queries.present_quote(sent.unit_id)
    assert again is not None
    assert queries.shown(again) == before
    assert before.content_sha256 == sent.content_sha256


def test_it_sends_nothing_without_a_line(draft: QuoteVersion, helper: Actor) -> None:
    draft.lines.all().delete()
    with pytest.raises(Refused, match="quote_empty"):
        send(draft, helper)


def test_it_sends_no_draft_at_a_tax_that_has_changed(draft: QuoteVersion, helper: Actor) -> None:
    ShopProfile.objects.update(tax_rate_millipercent=8875)
    with pytest.raises(Refused, match="quote_tax_changed"):
        send(draft, helper)
    note = SetNote(text="At the new rate")
    actions.change_quote(actor=helper, quote_id=draft.id, version=1, operations=[note])
    assert json.loads(send(draft, helper).content)["totals"]["tax_minor"] == 580


def test_it_sends_only_the_version_that_was_looked_at(draft: QuoteVersion, helper: Actor) -> None:
    with pytest.raises(Stale):
        in_flow(steps.send, draft.unit_id, actor=helper, quote_id=draft.id, version=draft.version + 1)


def test_it_sends_an_edition_once(sent: QuoteVersion, helper: Actor) -> None:
    with pytest.raises(Refused, match="quote_not_draft"):
        send(sent, helper)


def test_it_knows_no_quote_of_another_unit(
    draft: QuoteVersion, helper: Actor, bao: Customer, lantern: DeviceModel
) -> None:
    other = Unit.objects.create(number=43, customer=bao, model=lantern)
    with pytest.raises(Missing):
        in_flow(steps.send, other.id, actor=helper, quote_id=draft.id, version=1)


def test_it_keeps_an_approval_as_evidence(sent: QuoteVersion, unit: Unit, customer: Actor) -> None:
    decision = decide(sent, customer, agent="Browser 1.0\x00")
    kept = json.loads(decision.content)
    sent.refresh_from_db()
    assert sent.state == "approved"
    assert evidence_holds(decision)
    assert kept["shown"] == json.loads(sent.content)
    assert (kept["shown_sha256"], kept["answer"], kept["taken"]) == (sent.content_sha256, "approved", [])
    assert (kept["totals"]["total_minor"], decision.total_minor) == (7063, 7063)
    assert (decision.by_role, decision.by_id, decision.address) == ("customer", "link-of-ada", "198.51.100.9")
    assert decision.agent == "Browser 1.0"
    assert trail_of(unit) == ["quote_drafted", "quote_sent", "quote_approved"]


def test_it_adds_up_an_option_that_was_taken(sent: QuoteVersion, unit: Unit, customer: Actor) -> None:
    decision = decide(sent, customer, taken=optional_ids(sent))
    assert decision.total_minor == 7063 + 8964
    totals = queries.owed(unit).totals
    assert (totals.net_minor, totals.tax_minor, totals.total_minor) == (14840, 1187, 16027)
    assert sorted(json.loads(decision.content)["taken"]) == sorted(map(str, optional_ids(sent)))


@pytest.mark.parametrize("tamper", ["foreign", "always counted", "half", "another edition"])
def test_it_refuses_a_tampered_set_of_options(
    sent: QuoteVersion, unit: Unit, helper: Actor, customer: Actor, tamper: str
) -> None:
    taken = {
        "foreign": [uuid4()],
        "always counted": [line(sent, words="Recap").id],
        "half": optional_ids(sent)[:1],
        "another edition": optional_ids(actions.draft_quote(actor=helper, unit_id=unit.id)),
    }[tamper]
    code = "option_incomplete" if tamper == "half" else "option_unknown"
    assert _refusal(sent, customer, taken=taken) == code
    sent.refresh_from_db()
    assert sent.state == "sent"
    assert not Decision.objects.exists()
    assert not QuoteLine.objects.filter(optional=True, taken=True).exists()


def test_it_reckons_by_what_was_frozen_and_by_nothing_that_a_client_sends(sent: QuoteVersion, customer: Actor) -> None:
    with pytest.raises(TypeError):
        decide(sent, customer, total_minor=1)
    assert decide(sent, customer).total_minor == 7063


def test_it_refuses_an_approval_of_what_was_not_shown(sent: QuoteVersion, customer: Actor) -> None:
    for other in ("", "0" * 64, sent.content_sha256.upper()):
        with pytest.raises(Stale):
            decide(sent, customer, shown_sha256=other)
    assert not Decision.objects.exists()


def test_it_answers_a_double_tap_with_the_same_decision(sent: QuoteVersion, unit: Unit, customer: Actor) -> None:
    taken = optional_ids(sent)
    first = decide(sent, customer, taken=taken)
    assert decide(sent, customer, taken=list(reversed(taken))) == first
    assert trail_of(unit).count("quote_approved") == 1


def test_it_refuses_another_answer_after_the_first(sent: QuoteVersion, customer: Actor, helper: Actor) -> None:
    decide(sent, customer)
    assert _refusal(sent, customer, approve=False) == "quote_already_decided"
    assert _refusal(sent, customer, taken=optional_ids(sent)) == "quote_already_decided"
    assert Decision.objects.get().kind == "approved"


def test_it_keeps_a_decline_with_its_reason_where_it_can_be_erased(
    sent: QuoteVersion, unit: Unit, customer: Actor
) -> None:
    decision = decide(sent, customer, approve=False, reason=" Too dear for me ", taken=[uuid4()])
    sent.refresh_from_db()
    assert (sent.state, decision.kind, decision.reason) == ("declined", "declined", "Too dear for me")
    assert evidence_holds(decision)
    entry = TrailEntry.objects.get(subject_id=unit.id, what="quote_declined")
    assert entry.note == decision.words
    assert "dear" not in entry.facts + decision.content
    assert decide(sent, customer, approve=False) == decision


def test_it_refuses_a_reason_without_end(sent: QuoteVersion, customer: Actor) -> None:
    assert _refusal(sent, customer, approve=False, reason="x" * 1001) == "too_long"


def test_it_replaces_a_waiting_edition_and_says_so_to_who_still_sees_it(
    sent: QuoteVersion, unit: Unit, helper: Actor, customer: Actor
) -> None:
    second = _next_edition(unit, helper)
    sent.refresh_from_db()
    assert (sent.state, second.state) == ("replaced", "sent")
    assert _refusal(sent, customer) == "quote_replaced"
    assert decide(second, customer).quote == second


def test_it_keeps_an_approval_until_the_newer_edition_is_approved(
    sent: QuoteVersion, unit: Unit, helper: Actor, customer: Actor
) -> None:
    decide(sent, customer)
    second = _next_edition(unit, helper, AddLine(kind="labour", words="Regulator", unit_minor=2000))
    sent.refresh_from_db()
    assert (sent.state, queries.cleared(unit.id)) == ("approved", "quote")
    decide(second, customer)
    sent.refresh_from_db()
    assert (sent.state, queries.owed(unit).totals.net_minor) == ("replaced", 8540)
    assert _refusal(sent, customer) == "quote_replaced"


def test_it_keeps_the_first_approval_when_an_extra_is_declined(
    sent: QuoteVersion, unit: Unit, helper: Actor, customer: Actor
) -> None:
    decide(sent, customer)
    extra = _next_edition(unit, helper, AddLine(kind="labour", words="Regulator", unit_minor=2000))
    assert json.loads(extra.content)["fee_if_declined_total_minor"] == 0
    decide(extra, customer, approve=False)
    assert (queries.cleared(unit.id), queries.present_quote(unit.id)) == ("quote", sent)
    assert queries.owed(unit, diagnosed=True).totals.total_minor == 7063


def test_it_clears_nothing_when_the_only_edition_was_declined(sent: QuoteVersion, unit: Unit, customer: Actor) -> None:
    assert queries.cleared(unit.id) == ""
    decide(sent, customer, approve=False)
    assert queries.cleared(unit.id) == ""


def test_it_decides_nothing_about_a_draft(draft: QuoteVersion, customer: Actor) -> None:
    assert _refusal(draft, customer) == "quote_not_sent"


def test_it_holds_through_its_last_day_in_the_shops_zone(
    sent: QuoteVersion, customer: Actor, frozen: time_machine.Traveller
) -> None:
    frozen.shift(timedelta(days=14, hours=18))  # 03:00 UTC on the 25th: 23:00 on the 24th in New York
    assert queries.shown(sent).open
    assert decide(sent, customer).kind == "approved"


def test_it_is_over_the_day_after(sent: QuoteVersion, customer: Actor, frozen: time_machine.Traveller) -> None:
    frozen.shift(timedelta(days=14, hours=19, minutes=1))  # past midnight in New York
    assert not queries.shown(sent).open
    assert _refusal(sent, customer) == "quote_expired"
    assert _refusal(sent, customer, approve=False) == "quote_expired"


def test_it_never_changes_or_loses_a_decision(sent: QuoteVersion, customer: Actor) -> None:
    decision = decide(sent, customer)
    for attempt in (lambda: Decision.objects.update(total_minor=1), decision.delete):
        with pytest.raises(DatabaseError), transaction.atomic():
            attempt()
    assert Decision.objects.get().total_minor == 7063


@pytest.mark.parametrize(("limit", "code"), [(7063, ""), (7062, "limit_exceeded"), (0, "limit_exceeded")])
def test_it_goes_ahead_when_the_total_with_tax_is_within_the_limit(
    draft: QuoteVersion, unit: Unit, helper: Actor, limit: int, code: str
) -> None:
    Unit.objects.update(spending_limit_minor=limit)
    if code:
        with pytest.raises(Refused) as refused:
            in_flow(steps.go_ahead_within_limit, unit.id, actor=helper, quote_id=draft.id)
        assert refused.value.code == code
        assert refused.value.reasons[0].facts["total"] == "$70.63"
        assert queries.cleared(unit.id) == ""
        return
    decision = in_flow(steps.go_ahead_within_limit, unit.id, actor=helper, quote_id=draft.id)
    draft.refresh_from_db()
    assert (decision.kind, decision.total_minor, decision.by_role) == ("within_limit", 7063, "counter")
    assert (draft.state, draft.within_limit, queries.cleared(unit.id)) == ("approved", True, "limit")
    assert evidence_holds(decision)
    assert trail_of(unit)[-1] == "went_ahead_within_limit"


def test_it_counts_what_already_went_ahead_against_the_limit(draft: QuoteVersion, unit: Unit, helper: Actor) -> None:
    Unit.objects.update(spending_limit_minor=8000)
    in_flow(steps.go_ahead_within_limit, unit.id, actor=helper, quote_id=draft.id)
    second = actions.draft_quote(actor=helper, unit_id=unit.id)
    more = AddLine(kind="labour", words="Regulator", unit_minor=2000)
    actions.change_quote(actor=helper, quote_id=second.id, version=1, operations=[more])
    with pytest.raises(Refused, match="limit_exceeded"):
        in_flow(steps.go_ahead_within_limit, unit.id, actor=helper, quote_id=second.id)
    assert queries.cleared(unit.id) == "limit"


def test_it_puts_no_option_on_the_bill_that_nobody_was_asked_about(
    draft: QuoteVersion, unit: Unit, helper: Actor
) -> None:
    Unit.objects.update(spending_limit_minor=100_000)
    assert in_flow(steps.go_ahead_within_limit, unit.id, actor=helper, quote_id=draft.id).total_minor == 7063


def test_it_takes_back_a_waiting_edition_when_a_smaller_one_goes_ahead(
    sent: QuoteVersion, unit: Unit, helper: Actor, customer: Actor
) -> None:
    Unit.objects.update(spending_limit_minor=1000)
    smaller = actions.draft_quote(actor=helper, unit_id=unit.id)
    recap = ChangeLine(line_id=line(smaller, words="Recap").id, unit_minor=300)
    parts = RemoveLine(line_id=line(smaller, words="Capacitor 100 µF 16 V").id)
    actions.change_quote(actor=helper, quote_id=smaller.id, version=1, operations=[recap, parts])
    in_flow(steps.go_ahead_within_limit, unit.id, actor=helper, quote_id=smaller.id)
    assert _refusal(sent, customer) == "quote_replaced"


def test_it_goes_ahead_only_from_a_draft(sent: QuoteVersion, unit: Unit, helper: Actor) -> None:
    Unit.objects.update(spending_limit_minor=100_000)
    with pytest.raises(Refused, match="quote_not_draft"):
        in_flow(steps.go_ahead_within_limit, unit.id, actor=helper, quote_id=sent.id)
