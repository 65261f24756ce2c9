"""Sending an envelope: once, again after a while, and never for nothing."""

from collections.abc import Callable
from contextlib import AbstractContextManager
from datetime import timedelta
from threading import Barrier, Thread

import pytest
from django.db import connection, transaction
from pytest_django import Settings
from time_machine import Traveller

from shop.boards.models import DeviceModel
from shop.core.actor import SYSTEM, Actor
from shop.core.duework import claim, due
from shop.core.models import ShopProfile, TrailEntry
from shop.core.reasons import Missing, Refused
from shop.notices import actions, queries, steps, tasks
from shop.notices.models import Attempt, Envelope, Event
from shop.people.models import Customer
from shop.units.links import make_link, revoke
from shop.units.models import Unit
from tests.notices import bell
from tests.notices.conftest import envelope_of, written_up
from tests.notices.mailserver import MailServer, Mode


@pytest.fixture
def envelope(unit: Unit) -> Envelope:
    """A notice that Ada's unit has arrived, waiting to be sent."""
    return envelope_of(steps.tell(event=Event.RECEIVED, unit=unit, key=str(unit.id)))


def send(envelope: Envelope) -> Envelope:
    actions.send_envelope(actor=SYSTEM, envelope_id=envelope.id)
    return Envelope.objects.get(pk=envelope.pk)


def words_of(envelope: Envelope) -> list[str]:
    return list(envelope.tries.values_list("words", flat=True))


def test_it_sends_and_records_it(frozen: Traveller, mail: MailServer, envelope: Envelope, unit: Unit) -> None:
    sent = send(envelope)
    assert (sent.state, sent.claim, sent.attempts) == ("done", None, 1)
    assert sent.done_at is not None
    assert mail.recipients == ["ada@post.example"]
    assert mail.message_ids == {envelope.message_id: 1}
    assert [(t.ok, t.words) for t in Attempt.objects.all()] == [(True, "")]
    assert TrailEntry.objects.get(subject_id=unit.id).what == "notice_done"


def test_a_task_that_comes_again_does_nothing(mail: MailServer, envelope: Envelope) -> None:
    for _ in range(3):
        tasks.send(str(envelope.id))
    assert mail.message_ids == {envelope.message_id: 1}
    assert Attempt.objects.count() == 1


@pytest.mark.django_db(transaction=True)
def test_a_task_delivered_five_times_at_once_sends_once(mail: MailServer, unit: Unit) -> None:
    with bell.broker(bell.IN_MEMORY):
        envelope = envelope_of(steps.tell(event=Event.RECEIVED, unit=unit, key="k"))
    gate = Barrier(5)

    def deliver() -> None:
        try:
            gate.wait()
            tasks.send(str(envelope.id))
        finally:
            connection.close()

    threads = [Thread(target=deliver) for _ in range(5)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert mail.message_ids == {envelope.message_id: 1}
    envelope.refresh_from_db()
    assert (envelope.state, envelope.attempts) == ("done", 1)


@pytest.mark.django_db(transaction=True)
def test_a_ring_after_the_commit_reaches_a_worker_and_the_sweep_finds_what_was_not_rung(
    mail: MailServer, unit: Unit
) -> None:
    ShopProfile.objects.update(digest_minutes=0)
    with bell.broker("redis://127.0.0.1:1/0"):
        unheard = envelope_of(steps.tell(event=Event.RECEIVED, unit=unit, key="k"))
    with bell.worker():
        with transaction.atomic():
            rung = envelope_of(steps.tell(event=Event.STARTED, unit=unit, key="k"))
            assert not mail.messages
        bell.wait_until(lambda: Envelope.objects.get(pk=rung.pk).state == "done")
        assert mail.message_ids == {rung.message_id: 1}
        tasks.sweep()
        bell.wait_until(lambda: not due(Envelope).exists() and not Envelope.objects.filter(state="claimed").exists())
    assert mail.message_ids == {rung.message_id: 1, unheard.message_id: 1}


def test_it_tries_again_after_1_5_30_120_and_720_minutes_and_then_gives_up(
    frozen: Traveller, mail: MailServer, envelope: Envelope
) -> None:
    mail.mode = Mode.REFUSE_FOR_NOW
    for minutes in (1, 5, 30, 120, 720):
        assert send(envelope).state == "due"
        frozen.shift(timedelta(minutes=minutes, seconds=-1))
        assert not due(Envelope).exists()
        assert actions.send_envelope(actor=SYSTEM, envelope_id=envelope.id) is None
        frozen.shift(timedelta(seconds=1))
        assert due(Envelope).get() == envelope
    assert send(envelope).state == "failed"
    assert Attempt.objects.filter(ok=False, words__contains="451 too busy").count() == 6
    assert not due(Envelope).exists()


def test_it_gets_through_when_the_server_is_back(frozen: Traveller, mail: MailServer, envelope: Envelope) -> None:
    mail.mode = Mode.HANG_UP
    assert send(envelope).state == "due"
    mail.mode = Mode.ACCEPT
    frozen.shift(timedelta(minutes=1))
    assert send(envelope).state == "done"
    assert [t.ok for t in Attempt.objects.order_by("created_at")] == [False, True]
    assert mail.message_ids == {envelope.message_id: 1}


def test_a_server_that_is_not_there_is_tried_again(settings: Settings, mail: MailServer, envelope: Envelope) -> None:
    settings.EMAIL_PORT = 1
    assert send(envelope).state == "due"
    assert "cannot be used" in words_of(envelope)[0]


def test_a_refusal_for_good_fails_at_once_and_is_seen(mail: MailServer, envelope: Envelope, unit: Unit) -> None:
    mail.mode = Mode.REFUSE_FOR_GOOD
    assert send(envelope).state == "failed"
    (seen,) = queries.failed()
    assert (seen.id, seen.unit_ids, seen.failed) == (envelope.id, (unit.id,), True)
    assert "550 no such mailbox here" in seen.tries[0].words
    assert TrailEntry.objects.get(subject_id=unit.id).what == "notice_failed"


def test_what_failed_is_sent_again_to_where_the_customer_is_reached_now(
    mail: MailServer, envelope: Envelope, ada: Customer, helper: Actor, unit: Unit
) -> None:
    mail.mode = Mode.REFUSE_FOR_GOOD
    send(envelope)
    Customer.objects.filter(pk=ada.pk).update(email="ada@new.example")
    again = actions.send_again(actor=helper, envelope_id=envelope.id)
    assert (again.state, again.attempts, again.done_at) == ("due", 0, None)
    mail.mode = Mode.ACCEPT
    assert send(envelope).state == "done"
    assert mail.recipients == ["ada@new.example"]
    assert Envelope.objects.get().address == "ada@new.example"
    trail = TrailEntry.objects.filter(subject_id=unit.id).order_by("seq").values_list("what", flat=True)
    assert list(trail) == ["notice_failed", "notice_sent_again", "notice_done"]


def test_sending_again_rings(
    mail: MailServer,
    envelope: Envelope,
    helper: Actor,
    django_capture_on_commit_callbacks: Callable[[], AbstractContextManager[list[object]]],
) -> None:
    mail.mode = Mode.REFUSE_FOR_GOOD
    send(envelope)
    with django_capture_on_commit_callbacks() as rings:
        actions.send_again(actor=helper, envelope_id=envelope.id)
    assert len(rings) == 1


def test_only_what_failed_can_be_sent_again(mail: MailServer, envelope: Envelope, helper: Actor) -> None:
    send(envelope)
    with pytest.raises(Refused) as refusal:
        actions.send_again(actor=helper, envelope_id=envelope.id)
    assert refusal.value.code == "notice_not_failed"
    assert mail.message_ids == {envelope.message_id: 1}


def test_sending_again_asks_who_and_what(technician: Actor, helper: Actor, unit: Unit, envelope: Envelope) -> None:
    with pytest.raises(Refused) as refusal:
        actions.send_again(actor=technician, envelope_id=envelope.id)
    assert refusal.value.code == "not_permitted"
    with pytest.raises(Missing):
        actions.send_again(actor=helper, envelope_id=unit.id)
    with pytest.raises(Refused) as refusal:
        actions.send_envelope(actor=helper, envelope_id=envelope.id)
    assert refusal.value.code == "not_permitted"


def test_a_customer_who_wants_no_messages_by_now_gets_none(mail: MailServer, envelope: Envelope, ada: Customer) -> None:
    Customer.objects.filter(pk=ada.pk).update(channel="none")
    assert send(envelope).state == "cancelled"
    assert words_of(envelope) == ["unwanted"]
    assert not mail.messages


def test_a_withdrawn_link_cancels_what_tells_little_without_it(
    mail: MailServer, envelope: Envelope, unit: Unit
) -> None:
    revoke(unit)
    assert send(envelope).state == "cancelled"
    assert words_of(envelope) == ["link_withdrawn"]
    assert not mail.messages


def test_a_new_link_is_the_one_that_is_sent(mail: MailServer, envelope: Envelope, unit: Unit) -> None:
    make_link(unit)
    assert send(envelope).state == "done"
    assert "http://shop.test/c/" in str(mail.messages[0])


@pytest.mark.parametrize("event", [Event.QUOTE_READY, Event.APPROVED, Event.READY, Event.SHIPPED, Event.COLLECTED])
def test_what_the_contract_needs_goes_out_all_the_same(
    mail: MailServer, unit: Unit, ada: Customer, event: Event
) -> None:
    envelope = envelope_of(steps.tell(event=event, unit=unit, key="k"))
    Customer.objects.filter(pk=ada.pk).update(channel="none")
    revoke(unit)
    assert send(envelope).state == "done"
    assert "/c/" not in str(mail.messages[0])
    assert "Ask us for a new one" in str(mail.messages[0])


def test_a_customer_without_an_address_by_now_is_not_written_to(
    mail: MailServer, envelope: Envelope, ada: Customer
) -> None:
    Customer.objects.filter(pk=ada.pk).update(email="")
    assert send(envelope).state == "cancelled"
    assert words_of(envelope) == ["no_address"]


def test_a_worker_that_was_stopped_in_mid_sending_is_counted_and_its_message_sent_with_the_same_id(
    frozen: Traveller, mail: MailServer, envelope: Envelope
) -> None:
    claim(Envelope, envelope.id, lease=actions.LEASE)
    assert actions.send_envelope(actor=SYSTEM, envelope_id=envelope.id) is None
    frozen.shift(actions.LEASE)
    assert send(envelope).state == "done"
    assert mail.message_ids == {envelope.message_id: 1}
    assert queries.interrupted_count() == 1


def test_a_message_that_stops_every_worker_is_given_up(frozen: Traveller, mail: MailServer, envelope: Envelope) -> None:
    for _ in range(actions.TRIES):
        assert claim(Envelope, envelope.id, lease=actions.LEASE) is not None
        frozen.shift(actions.LEASE)
    assert send(envelope).state == "failed"
    assert not mail.messages


def test_a_message_that_cannot_be_made_is_tried_again_and_does_not_stay_claimed(
    mail: MailServer, ada: Customer, lantern: DeviceModel
) -> None:
    untagged = Unit.objects.create(number=77, customer=ada, model=lantern)
    envelope = envelope_of(steps.tell(event=Event.RECEIVED, unit=untagged, key="k"))
    assert send(envelope).state == "due"
    assert words_of(envelope) == ["The message could not be made: DoesNotExist"]


def test_an_announcement_goes_to_the_address_it_gave(mail: MailServer, shop: object) -> None:
    notice = steps.tell_address(
        event="announced", address="new@post.example", language="en", key="a",
        facts={"code": "K7Q2M9F", "device": "Tessaro Prism", "name": "Nia"},
    )  # fmt: skip
    assert send(envelope_of(notice)).state == "done"
    assert mail.recipients == ["new@post.example"]


def test_an_unknown_envelope_is_nothing_to_do(unit: Unit) -> None:
    assert actions.send_envelope(actor=SYSTEM, envelope_id=unit.id) is None


def test_two_units_messages_do_not_meet(
    mail: MailServer, bao: Customer, envelope: Envelope, lantern: DeviceModel
) -> None:
    other = written_up(bao, lantern, number=2)
    theirs = envelope_of(steps.tell(event=Event.RECEIVED, unit=other, key=str(other.id)))
    send(envelope)
    send(theirs)
    assert mail.recipients == ["ada@post.example", "bao@post.example"]
    assert [len(queries.for_unit(other.id)), len(queries.recent())] == [1, 2]
