"""Writing notices: once, to whom, and without the secret."""

import logging
from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import date
from threading import Barrier, Thread

import pytest
from django.db import connection, transaction

from shop.boards.models import DeviceModel
from shop.notices import steps
from shop.notices.models import Envelope, Event, Notice
from shop.people.models import Customer
from shop.units.links import address_for, make_link, open_link, token_of
from shop.units.models import Unit
from shop.units.steps import give_tag
from tests.notices import bell
from tests.notices.conftest import envelope_of, written_up
from tests.notices.mailserver import MailServer


def test_it_tells_a_unit_s_customer_at_their_address_in_their_language(unit: Unit) -> None:
    notice = steps.tell(event=Event.RECEIVED, unit=unit, key=str(unit.id))
    assert notice is not None
    envelope = envelope_of(notice)
    assert (envelope.address, envelope.language, envelope.channel, envelope.state) == (
        "ada@post.example", "en", "email", "due",
    )  # fmt: skip


def test_it_writes_a_notice_once_for_event_key_and_recipient(unit: Unit) -> None:
    first = steps.tell(event=Event.RECEIVED, unit=unit, key="k")
    again = steps.tell(event=Event.RECEIVED, unit=unit, key="k", facts={"total_minor": 5})
    assert first == again
    assert Envelope.objects.count() == Notice.objects.count() == 1


def test_another_key_or_event_is_another_notice(unit: Unit) -> None:
    steps.tell(event=Event.QUOTE_READY, unit=unit, key="version 1")
    steps.tell(event=Event.QUOTE_READY, unit=unit, key="version 2")
    steps.tell(event=Event.QUOTE_REMINDER, unit=unit, key="version 1")
    assert Notice.objects.count() == 3


def test_a_repeat_rings_nobody(
    unit: Unit, django_capture_on_commit_callbacks: Callable[[], AbstractContextManager[list[object]]]
) -> None:
    with django_capture_on_commit_callbacks() as rings:
        steps.tell(event=Event.RECEIVED, unit=unit, key="k")
        steps.tell(event=Event.RECEIVED, unit=unit, key="k")
    assert len(rings) == 1


@pytest.mark.parametrize("change", [{"channel": "none"}, {"email": ""}])
def test_it_tells_nobody_who_does_not_want_to_hear_or_cannot(unit: Unit, ada: Customer, change: dict[str, str]) -> None:
    Customer.objects.filter(pk=ada.pk).update(**change)
    unit.refresh_from_db()
    assert steps.tell(event=Event.RECEIVED, unit=unit, key="k") is None
    assert not Envelope.objects.exists()


def test_it_tells_nobody_about_the_shop_s_own_unit(lantern: DeviceModel) -> None:
    assert steps.tell(event=Event.READY, unit=written_up(None, lantern), key="k") is None


def test_it_tells_an_address_before_there_is_a_customer(shop: object) -> None:
    first = steps.tell_address(event="announced", address="New@Post.example", language="en", key="a", facts={})
    again = steps.tell_address(event="announced", address="new@post.example", language="en", key="a", facts={})
    assert first == again
    assert envelope_of(first).address == "New@Post.example"


def test_an_action_that_rolls_back_leaves_no_notice(unit: Unit) -> None:
    with transaction.atomic():
        steps.tell(event=Event.RECEIVED, unit=unit, key="k")
        transaction.set_rollback(True)
    assert not Envelope.objects.exists()


def test_facts_may_be_dates(unit: Unit) -> None:
    notice = steps.tell(event=Event.QUOTE_READY, unit=unit, key="k", facts={"valid_until": date(2026, 3, 24)})
    assert notice is not None
    assert Notice.objects.get(pk=notice.pk).facts == {"valid_until": "2026-03-24"}


@pytest.mark.parametrize("key", ["", "x" * 61])
def test_a_key_must_fit_its_column(unit: Unit, key: str) -> None:
    with pytest.raises(ValueError, match="key"):
        steps.tell(event=Event.RECEIVED, unit=unit, key=key)


def test_an_unknown_event_is_refused(unit: Unit) -> None:
    with pytest.raises(ValueError, match="lost"):
        steps.tell(event="lost", unit=unit, key="k")


def test_the_message_id_is_the_envelope_s_own_at_the_shop_s_host(unit: Unit) -> None:
    envelope = envelope_of(steps.tell(event=Event.RECEIVED, unit=unit, key="k"))
    assert envelope.message_id == f"<{envelope.id}@shop.test>"


@pytest.mark.django_db(transaction=True)
def test_two_writers_at_once_write_one_notice(ada: Customer, lantern: DeviceModel) -> None:
    unit = written_up(ada, lantern)
    gate, told = Barrier(2), []

    def tell() -> None:
        try:
            gate.wait()
            told.append(steps.tell(event=Event.RECEIVED, unit=unit, key="k"))
        finally:
            connection.close()

    with bell.broker(bell.IN_MEMORY):
        threads = [Thread(target=tell) for _ in range(2)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
    assert told[0] == told[1]
    assert Envelope.objects.count() == Notice.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_the_secret_of_the_link_is_in_no_column_of_the_database(unit: Unit, mail: MailServer) -> None:
    with bell.worker(), transaction.atomic():
        steps.tell(event=Event.RECEIVED, unit=unit, key="k")
        transaction.on_commit(lambda: bell.wait_until(lambda: bool(mail.messages)))
    link = open_link(unit)
    assert link is not None
    secret = token_of(link)
    assert secret in str(mail.messages[0])
    tables = connection.introspection.table_names()
    assert "notices_envelope" in tables
    assert "units_customerlink" in tables
    with connection.cursor() as cursor:
        for table in tables:
            cursor.execute(f'SELECT * FROM "{table}"')
            for row in cursor.fetchall():
                assert secret not in " ".join(str(value) for value in row), table


@pytest.mark.django_db(transaction=True)
def test_a_broker_that_is_away_spoils_no_action(unit: Unit, caplog: pytest.LogCaptureFixture) -> None:
    logging.getLogger("wickline").addHandler(caplog.handler)
    try:
        with bell.broker("redis://127.0.0.1:1/0"), transaction.atomic():
            notice = steps.tell(event=Event.RECEIVED, unit=unit, key="k")
    finally:
        logging.getLogger("wickline").removeHandler(caplog.handler)
    assert envelope_of(notice).state == "due"
    assert "the next sweep asks again" in caplog.text


def test_the_address_in_a_message_is_the_present_link_s(ada: Customer, lantern: DeviceModel) -> None:
    unit = Unit.objects.create(number=9, customer=ada, model=lantern)
    give_tag(unit)
    old = make_link(unit)
    make_link(unit)
    assert token_of(old) not in address_for(unit)
