"""What a customer's link opens: one unit, and nothing else."""

from collections.abc import Callable

import pytest
from django.test import Client

from shop.core.actor import Actor
from shop.floor.flows.quote import send_quote
from shop.people.models import Customer, Place
from shop.quotes.actions import draft_quote
from shop.quotes.models import QuoteVersion
from shop.units import links
from shop.units.models import Unit
from tests.api.conftest import Device


def linked(unit: Unit) -> Device:
    link = links.open_link(unit)
    assert link is not None
    return Device(f"Link {links.token_of(link)}")


@pytest.fixture
def quoted(queued: Unit, helper: Actor) -> QuoteVersion:
    draft = draft_quote(actor=helper, unit_id=queued.id)
    return send_quote(actor=helper, quote_id=draft.id, version=draft.version)


def test_it_shows_where_the_unit_is_and_what_it_costs(quoted: QuoteVersion) -> None:
    progress = linked(quoted.unit).get("link/progress").json()
    assert progress["where"] == "With us, waiting for your answer to the quote."
    assert progress["quote"]["total_minor"] == 6480
    assert [(stop["kind"], stop["now"]) for stop in progress["stops"]] == [
        ("pad", False), ("pad", False), ("gap", True)
    ]  # fmt: skip


def test_it_takes_the_answer_once(quoted: QuoteVersion) -> None:
    device = linked(quoted.unit)
    shown = device.get("link/progress").json()["quote"]
    body = {"approve": True, "shown_sha256": shown["content_sha256"]}
    first = device.post(f"link/quotes/{shown['id']}/decision", body)
    again = device.post(f"link/quotes/{shown['id']}/decision", body)
    assert (first.status_code, first.json()["kind"]) == (200, "approved")
    assert first.json() == again.json()


def test_it_refuses_what_was_not_shown(quoted: QuoteVersion) -> None:
    body = {"approve": True, "shown_sha256": "0" * 64}
    assert linked(quoted.unit).post(f"link/quotes/{quoted.id}/decision", body).status_code == 412


def test_it_does_not_answer_for_another_unit(
    quoted: QuoteVersion, write: Callable[..., Unit], bao: Customer, shelf: Place
) -> None:
    other = linked(write(bao))
    body = {"approve": True, "shown_sha256": quoted.content_sha256}
    assert other.post(f"link/quotes/{quoted.id}/decision", body).status_code == 404
    quoted.refresh_from_db()
    assert quoted.state == "sent"


def test_a_withdrawn_link_opens_nothing(queued: Unit) -> None:
    device = linked(queued)
    links.revoke(queued)
    assert device.get("link/progress").status_code == 401


def test_the_cookie_of_the_page_opens_it_too_but_not_from_another_site(quoted: QuoteVersion) -> None:
    link = links.open_link(quoted.unit)
    assert link is not None
    client = Client(SERVER_NAME="shop.test")
    client.get(f"/c/{links.token_of(link)}")
    assert client.get("/api/v1/link/progress").status_code == 200
    foreign = client.post(
        f"/api/v1/link/quotes/{quoted.id}/decision",
        {"approve": True, "shown_sha256": quoted.content_sha256},
        content_type="application/json",
        headers={"Origin": "http://elsewhere.example"},
    )
    assert foreign.status_code == 403
