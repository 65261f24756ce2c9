"""Contents and answers frozen in the first form are read, shown and answered as they were."""

import json

import pytest

from shop.core.actor import Actor
from shop.quotes import content, queries
from shop.quotes.models import Decision, QuoteVersion
from shop.quotes.old_forms import today
from tests.quotes.conftest import decide, evidence_holds

_NEW = (
    "tax_reduced_millipercent", "prices_include_tax", "tax_basis", "tax_rounding", "why_changed", "deposit",
)  # fmt: skip
_NEW_IN_LINES = (
    "key", "discount_millipercent", "percent_millipercent", "one_of", "may_skip", "needs", "why", "source", "donor",
    "tax_class",
)  # fmt: skip


@pytest.fixture
def old(sent: QuoteVersion) -> QuoteVersion:
    """The sent edition as the first release would have frozen it."""
    said = json.loads(sent.content)
    lines = [
        {name: value for name, value in line.items() if name not in _NEW_IN_LINES} | {"taxed": True}
        for line in said["lines"]
    ]
    first = {name: value for name, value in said.items() if name not in _NEW}
    text = content.canonical(first | {"form": 1, "lines": lines, "terms": "Work that has begun cannot be undone."})
    QuoteVersion.objects.filter(pk=sent.pk).update(content=text, content_sha256=content.sha256(text))
    sent.refresh_from_db()
    return sent


def test_it_shows_an_old_edition_with_its_own_hash(old: QuoteVersion) -> None:
    shown = queries.shown(old)
    assert (shown.total_minor, shown.deposit_minor) == (7063, 0)
    assert [term.words for term in shown.terms] == ["Work that has begun cannot be undone."]
    assert shown.content_sha256 == content.sha256(old.content)


def test_it_takes_the_answer_to_an_old_edition_and_bills_it(old: QuoteVersion, customer: Actor) -> None:
    decision = decide(old, customer)
    assert json.loads(decision.content)["shown"]["form"] == 1
    assert evidence_holds(decision)
    assert queries.owed(old.unit).totals.total_minor == Decision.objects.get().total_minor == 7063


def test_it_leaves_todays_form_as_it_is(sent: QuoteVersion) -> None:
    said = json.loads(sent.content)
    assert today(said) is said
