"""Reminders and expiry, as the worker does them."""

import logging
from datetime import timedelta
from uuid import UUID

import pytest
import time_machine

from shop.core.actor import SYSTEM, Actor
from shop.core.reasons import Refused
from shop.notices.models import Notice
from shop.quotes import actions, queries
from shop.quotes.models import QuoteVersion
from shop.quotes.tasks import each, remind_and_expire
from shop.units.models import Unit
from tests.quotes.conftest import decide, trail_of

pytestmark = pytest.mark.usefixtures("frozen")


def test_it_reminds_once_after_the_shops_days(sent: QuoteVersion, frozen: time_machine.Traveller) -> None:
    frozen.shift(timedelta(days=4) - timedelta(minutes=1))
    remind_and_expire()
    assert not Notice.objects.exists()
    frozen.shift(timedelta(minutes=1))
    remind_and_expire()
    frozen.shift(timedelta(days=2))
    remind_and_expire()
    notice = Notice.objects.get()
    assert (notice.event, notice.key, notice.unit) == ("quote_reminder", str(sent.id), sent.unit)
    assert notice.facts["valid_until"] == "2026-03-24"


def test_it_reminds_without_making_the_customers_page_stale(
    sent: QuoteVersion, customer: Actor, frozen: time_machine.Traveller
) -> None:
    frozen.shift(timedelta(days=5))
    remind_and_expire()
    before = sent.version
    sent.refresh_from_db()
    assert sent.version == before
    assert decide(sent, customer).kind == "approved"


def test_it_reminds_nobody_who_answered(sent: QuoteVersion, customer: Actor, frozen: time_machine.Traveller) -> None:
    decide(sent, customer)
    frozen.shift(timedelta(days=5))
    remind_and_expire()
    assert not Notice.objects.exists()
    assert not actions.remind(actor=SYSTEM, quote_id=sent.id)


def test_it_tries_nobody_twice_who_wants_no_messages(sent: QuoteVersion, frozen: time_machine.Traveller) -> None:
    assert sent.unit.customer is not None
    sent.unit.customer.channel = "none"
    sent.unit.customer.save()
    frozen.shift(timedelta(days=5))
    remind_and_expire()
    assert not Notice.objects.exists()
    assert not queries.due_for_reminder().exists()


def test_it_expires_what_nobody_answered(sent: QuoteVersion, unit: Unit, frozen: time_machine.Traveller) -> None:
    frozen.shift(timedelta(days=14))
    remind_and_expire()
    sent.refresh_from_db()
    assert sent.state == "sent"
    frozen.shift(timedelta(days=1))
    remind_and_expire()
    remind_and_expire()
    sent.refresh_from_db()
    assert sent.state == "expired"
    assert trail_of(unit).count("quote_expired") == 1
    assert not actions.expire_quote(actor=SYSTEM, quote_id=sent.id)


def test_it_starts_the_next_edition_from_the_expired_one(
    sent: QuoteVersion, unit: Unit, helper: Actor, frozen: time_machine.Traveller
) -> None:
    frozen.shift(timedelta(days=15))
    remind_and_expire()
    second = actions.draft_quote(actor=helper, unit_id=unit.id)
    assert (second.edition, second.lines.count()) == (2, 4)


def test_it_lets_one_quote_that_fails_not_keep_the_others_waiting(
    sent: QuoteVersion, unit: Unit, helper: Actor, caplog: pytest.LogCaptureFixture, monkeypatch: pytest.MonkeyPatch
) -> None:
    second = actions.draft_quote(actor=helper, unit_id=unit.id)
    handled: list[UUID] = []

    def act(*, actor: Actor, quote_id: UUID) -> bool:
        if quote_id == sent.id:
            raise OSError("the disk is full")
        handled.append(quote_id)
        return True

    monkeypatch.setattr(logging.getLogger("wickline"), "propagate", True)
    each(act, QuoteVersion.objects.order_by("edition"))
    assert handled == [second.id]
    assert f"{sent.id} was left for the next run" in caplog.text


def test_it_lets_only_the_system_watch(sent: QuoteVersion, owner: Actor) -> None:
    for act in (actions.remind, actions.expire_quote):
        with pytest.raises(Refused, match="not_permitted"):
            act(actor=owner, quote_id=sent.id)
