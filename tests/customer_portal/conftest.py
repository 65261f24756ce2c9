"""A customer with a link on a phone, and what their unit is doing meanwhile."""

from collections.abc import Iterator, Mapping
from typing import Any

import pytest
from django.core.cache import cache
from django.test import Client

from shop.core.actor import Actor
from shop.floor.flows.quote import send_quote
from shop.floor.walkthrough.client import Page
from shop.quotes.actions import change_quote, draft_quote
from shop.quotes.models import QuoteVersion
from shop.quotes.operations import ChangeLine, Operation
from shop.units import links
from shop.units.models import Unit

# The staff's side is the one that the tests of the staff's pages have.
from tests.screens.conftest import as_counter, house, unit_at  # noqa: F401 - fixtures


@pytest.fixture(autouse=True)
def _nobody_tried_before() -> Iterator[None]:
    cache.clear()
    yield
    cache.clear()


def token_for(unit: Unit) -> str:
    link = links.open_link(unit)
    assert link is not None
    return links.token_of(link)


def phone_of(unit: Unit) -> Client:
    """A phone on which the link in the message was opened."""
    phone = Client()
    assert phone.get(f"/c/{token_for(unit)}").status_code == 303
    return phone


def of(unit: Unit, what: str = "") -> str:
    """The address of a unit's page, or of something on it."""
    return f"/c/unit/{unit.number}/{what}".rstrip("/")


Fields = dict[str, list[str]]


def filled(answer: Any, unit: Unit, what: str = "answer") -> Fields:
    """A form of the page as it comes: a tick or a radio button counts when it is set."""
    page = Page("", answer.status_code, answer.content, "text/html")
    fields: Fields = {}
    for name, value in page.form(of(unit, what)).fields:
        fields.setdefault(name, []).append(value)
    return fields


def offer(actor: Actor, unit: Unit, *operations: Operation, needs: Mapping[str, str] | None = None) -> QuoteVersion:
    """Draft a quote or its next edition, change it, and send it; needs says which line's words need which other's."""
    draft = draft_quote(actor=actor, unit_id=unit.id)
    draft = change_quote(actor=actor, quote_id=draft.id, version=draft.version, operations=operations)
    by_words = {line.words: line for line in draft.lines.all()}
    tied = [ChangeLine(line_id=by_words[one].id, needs=str(by_words[other].id)) for one, other in (needs or {}).items()]
    draft = change_quote(actor=actor, quote_id=draft.id, version=draft.version, operations=tied)
    return send_quote(actor=actor, quote_id=draft.id, version=draft.version)
