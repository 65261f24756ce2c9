"""What pages, the API and the bill read."""

from uuid import UUID

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext

from shop.core.actor import Actor
from shop.core.reasons import Refused
from shop.quotes import actions, queries
from shop.quotes.models import QuoteVersion
from shop.quotes.operations import AddLine, SetNote
from shop.units.models import Unit
from tests.quotes.conftest import decide, optional_ids, send

pytestmark = pytest.mark.usefixtures("frozen")


def test_it_shows_each_line_option_and_sum_ready_for_a_page_without_script(sent: QuoteVersion) -> None:
    found = queries.shown(sent)
    assert [(line.kind, line.quantity, line.net_minor, line.taken) for line in found.lines] == [
        ("labour", 1, 6000, True),
        ("part", 12, 540, True),
        ("labour", 1, 4500, False),
        ("part", 1, 3800, False),
    ]
    (option,) = found.options
    assert (option.net_minor, option.change_minor) == (8300, 8964)
    assert (option.total_without_minor, option.total_with_minor) == (7063, 16027)
    assert (found.net_minor, found.tax_minor, found.total_minor) == (6540, 523, 7063)
    assert (found.tax_name, found.tax_rate_words, found.explained.total) == ("Sales tax", "8", "65.40 + 5.23 = 70.63")
    assert found.open


def test_it_shows_the_sums_for_a_choice_before_it_is_sent(sent: QuoteVersion) -> None:
    (option,) = queries.shown(sent).options
    tried = queries.shown(sent, taken=option.line_ids)
    assert (tried.total_minor, tried.options[0].taken, tried.not_allowed) == (16027, True, ())
    assert tried.content_sha256 == sent.content_sha256
    with pytest.raises(Refused, match="option_unknown"):
        queries.shown(sent, taken=[UUID(int=404)])
    with pytest.raises(Refused, match="option_incomplete"):
        queries.shown(sent, taken=option.line_ids[:1])


def test_it_shows_the_choice_that_was_made(sent: QuoteVersion, unit: Unit, customer: Actor) -> None:
    decide(sent, customer, taken=queries.read_taken([queries.shown(sent).options[0].value]))
    found = queries.present_quote(unit.id)
    assert found is not None
    assert queries.shown(found).total_minor == 16027
    assert queries.shown(found).content_sha256 == sent.content_sha256
    assert not queries.shown(found).open


def test_it_reads_the_options_of_a_form(sent: QuoteVersion) -> None:
    (option,) = queries.shown(sent).options
    assert queries.read_taken([option.value]) == set(optional_ids(sent))
    assert queries.read_taken([]) == frozenset()
    with pytest.raises(Refused, match="option_unknown"):
        queries.read_taken(["1 OR 1=1"])


def test_it_presents_the_sent_edition_before_the_approved_one(
    sent: QuoteVersion, unit: Unit, helper: Actor, customer: Actor
) -> None:
    assert queries.present_quote(unit.id) == sent
    decide(sent, customer)
    assert queries.present_quote(unit.id) == sent
    draft = actions.draft_quote(actor=helper, unit_id=unit.id)
    assert (queries.present_quote(unit.id), queries.draft_of(unit.id)) == (sent, draft)
    second = send(draft, helper)
    assert (queries.present_quote(unit.id), queries.draft_of(unit.id)) == (second, None)
    decide(second, customer, approve=False)
    assert queries.present_quote(unit.id) == sent
    assert queries.latest_shown(unit.id) == second
    assert [quote.edition for quote in queries.editions(unit.id)] == [2, 1]


def _queries_to_show(unit: Unit) -> int:
    with CaptureQueriesContext(
        connection,
    ) as captured:
        found = queries.present_quote(unit.id)
        assert found is not None
        queries.shown(found)
    return len(captured)


def test_it_needs_three_queries_to_show_a_quote_of_any_length(draft: QuoteVersion, unit: Unit, helper: Actor) -> None:
    first = send(draft, helper)
    assert _queries_to_show(unit) == 3
    longer = actions.draft_quote(actor=helper, unit_id=first.unit_id)
    more = [AddLine(kind="part", words=f"Part {n}", unit_minor=5, optional=True) for n in range(40)]
    actions.change_quote(actor=helper, quote_id=longer.id, version=1, operations=more)
    send(longer, helper)
    assert _queries_to_show(unit) == 3


def test_it_bills_the_approved_lines_that_were_taken_and_credits_the_fee(
    sent: QuoteVersion, unit: Unit, customer: Actor
) -> None:
    decide(sent, customer)
    owed = queries.owed(unit, diagnosed=True)
    assert [line.words for line in owed.lines] == ["Recap", "Capacitor 100 µF 16 V"]
    assert (owed.totals.total_minor, owed.tax_name) == (7063, "Sales tax")


@pytest.mark.parametrize(
    ("changes", "diagnosed", "total"),
    [
        ({}, True, 2700),
        ({"opened": True}, False, 2700),
        ({}, False, 0),
        ({"agreed": "limit"}, True, 0),
        ({"agreed_fee_minor": 0}, True, 0),
        ({"free_of_charge": True}, True, 0),
    ],
)
def test_it_bills_the_agreed_fee_after_a_decline_of_a_diagnosed_unit(
    sent: QuoteVersion, unit: Unit, customer: Actor, changes: dict[str, object], diagnosed: bool, total: int
) -> None:
    decide(sent, customer, approve=False)
    Unit.objects.update(**changes)
    unit.refresh_from_db()
    assert queries.owed(unit, diagnosed=diagnosed).totals.total_minor == total


def test_it_bills_nothing_before_anything_was_decided_and_nothing_for_the_shops_own(
    sent: QuoteVersion, unit: Unit
) -> None:
    assert queries.owed(unit, diagnosed=True).lines == ()
    Unit.objects.update(customer=None, ending="declined")
    unit.refresh_from_db()
    assert queries.owed(unit, diagnosed=True).totals.total_minor == 0


def test_it_says_of_a_draft_what_it_would_say_when_it_is_sent(draft: QuoteVersion, helper: Actor) -> None:
    actions.change_quote(actor=helper, quote_id=draft.id, version=1, operations=[SetNote(text="Hello Ada")])
    found = queries.draft_of(draft.unit_id)
    assert found is not None
    shown = queries.shown(found)
    assert (shown.note, shown.open, shown.valid_until) == ("Hello Ada", False, None)
    assert shown.content_sha256
