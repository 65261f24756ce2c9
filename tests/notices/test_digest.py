"""Several things within minutes are one message; an answer to the customer's own act never waits for it."""

from datetime import timedelta
from email.message import EmailMessage
from threading import Barrier
from threading import Event as Signal

import pytest
from django.db import IntegrityError, transaction
from time_machine import Traveller

from shop.boards.models import DeviceModel
from shop.core.actor import SYSTEM
from shop.core.duework import State, claim, due
from shop.core.models import ShopProfile, TrailEntry
from shop.notices import actions, gathering, steps
from shop.notices.models import Envelope, Event, Notice
from shop.people.models import Customer
from shop.units.links import address_for
from shop.units.models import Unit
from tests.conftest import NOW
from tests.core.together import WAIT_S, side_by_side
from tests.notices import bell
from tests.notices.conftest import envelope_of, written_up
from tests.notices.mailserver import MailServer, Mode
from tests.notices.test_mail import Seen, part

TWO_MINUTES = timedelta(minutes=2)


@pytest.fixture
def other(ada: Customer, lantern: DeviceModel) -> Unit:
    """Ada's second Lantern."""
    return written_up(ada, lantern, number=2)


def send_due() -> None:
    """Do what the sweep and a worker do."""
    for pk in list(due(Envelope).values_list("pk", flat=True)):
        actions.send_envelope(actor=SYSTEM, envelope_id=pk)


def tell(event: Event, unit: Unit, **facts: object) -> Envelope:
    return envelope_of(steps.tell(event=event, unit=unit, key=str(unit.id), facts=facts))


def newest(mail: MailServer) -> EmailMessage:
    return mail.messages[-1]


def test_the_first_goes_at_once_and_what_follows_within_two_minutes_is_one_message(
    frozen: Traveller, mail: MailServer, unit: Unit
) -> None:
    tell(Event.RECEIVED, unit)
    send_due()
    assert len(mail.messages) == 1
    frozen.shift(timedelta(seconds=30))
    tell(Event.QUOTE_READY, unit, total_minor=12345)
    frozen.shift(timedelta(seconds=30))
    tell(Event.STARTED, unit)
    send_due()
    assert len(mail.messages) == 1
    frozen.move_to(NOW + TWO_MINUTES)
    send_due()
    assert len(mail.messages) == 2
    digest = newest(mail)
    assert digest["Subject"] == "Several things to tell about your Quillon Lantern"
    text, page = part(digest, "plain"), part(digest, "html")
    for heading in ("The quote for your Quillon Lantern is ready", "We have begun with your Quillon Lantern"):
        assert f"* {heading} *" in text
        assert page.count(f">{heading}</h2>") == 1
    assert text.count("Hello Ada Kowalczyk,") == 1
    assert text.count(address_for(unit)) == 1
    assert "$123.45" in text
    trail = TrailEntry.objects.filter(subject_id=unit.id, what="notice_done").order_by("seq").last()
    assert trail is not None
    assert '["quote_ready", "started"]' in trail.facts


def test_several_units_come_in_one_message_with_a_section_and_an_address_each(
    frozen: Traveller, mail: MailServer, unit: Unit, other: Unit
) -> None:
    tell(Event.RECEIVED, unit)
    send_due()
    tell(Event.STARTED, unit)
    tell(Event.RECEIVED, other)
    frozen.shift(TWO_MINUTES)
    send_due()
    digest = newest(mail)
    assert digest["Subject"] == "News about 2 of your units"
    assert set(Seen(part(digest, "html")).links) == {address_for(unit), address_for(other)}
    assert {entry.subject_id for entry in TrailEntry.objects.filter(what="notice_done")} == {unit.id, other.id}


def test_a_customer_gets_a_message_every_two_minutes_at_most(frozen: Traveller, mail: MailServer, unit: Unit) -> None:
    arrived = []
    for second in range(0, 600, 20):
        frozen.move_to(NOW + timedelta(seconds=second))
        steps.tell(event=Event.STARTED, unit=unit, key=str(second))
        before = len(mail.messages)
        send_due()
        arrived += [second] * (len(mail.messages) - before)
    assert arrived == [0, 120, 240, 360, 480]
    frozen.shift(TWO_MINUTES)
    send_due()
    assert Notice.objects.count() == 30
    assert sum(part(message, "plain").count("on the bench") for message in mail.messages) == 30


def test_after_two_quiet_minutes_the_next_one_goes_at_once(frozen: Traveller, mail: MailServer, unit: Unit) -> None:
    tell(Event.RECEIVED, unit)
    send_due()
    frozen.shift(TWO_MINUTES)
    assert tell(Event.STARTED, unit).due_at == NOW + TWO_MINUTES


@pytest.mark.parametrize("event", [Event.APPROVED, Event.DECLINED, Event.LINK_RENEWED])
def test_an_answer_is_never_gathered(frozen: Traveller, mail: MailServer, unit: Unit, event: Event) -> None:
    tell(Event.RECEIVED, unit)
    tell(Event.STARTED, unit)
    answer = tell(event, unit)
    assert answer.due_at == NOW
    assert answer.notices.count() == 1
    send_due()
    assert len(mail.messages) == 2


def test_a_shop_that_wants_no_digests_gets_none(frozen: Traveller, mail: MailServer, unit: Unit) -> None:
    ShopProfile.objects.update(digest_minutes=0)
    tell(Event.RECEIVED, unit)
    tell(Event.STARTED, unit)
    send_due()
    assert len(mail.messages) == 2


def test_another_customer_s_message_does_not_wait(
    frozen: Traveller, mail: MailServer, unit: Unit, bao: Customer, lantern: DeviceModel
) -> None:
    tell(Event.RECEIVED, unit)
    assert tell(Event.RECEIVED, written_up(bao, lantern, number=5)).due_at == NOW


def test_what_is_said_already_is_not_said_again_in_a_digest(frozen: Traveller, unit: Unit) -> None:
    tell(Event.RECEIVED, unit)
    first, again = tell(Event.STARTED, unit), tell(Event.STARTED, unit)
    assert first == again
    assert Notice.objects.count() == 2


def test_after_one_that_failed_the_next_does_not_wait(frozen: Traveller, mail: MailServer, unit: Unit) -> None:
    Envelope.objects.filter(pk=tell(Event.RECEIVED, unit).pk).update(state=State.FAILED)
    assert tell(Event.STARTED, unit).due_at == NOW


def test_an_envelope_that_is_claimed_takes_no_more(frozen: Traveller, mail: MailServer, unit: Unit) -> None:
    tell(Event.RECEIVED, unit)
    gathered = tell(Event.STARTED, unit)
    frozen.shift(TWO_MINUTES)
    assert claim(Envelope, gathered.id, lease=actions.LEASE) is not None
    assert tell(Event.QUOTE_READY, unit) != gathered


def test_a_digest_that_must_be_tried_again_takes_no_more(frozen: Traveller, mail: MailServer, unit: Unit) -> None:
    tell(Event.RECEIVED, unit)
    gathered = tell(Event.STARTED, unit)
    frozen.shift(TWO_MINUTES)
    mail.mode = Mode.HANG_UP
    actions.send_envelope(actor=SYSTEM, envelope_id=gathered.id)
    gathered.refresh_from_db()
    assert (gathered.state, gathered.open_until) == ("due", None)
    assert tell(Event.QUOTE_READY, unit) != gathered


def test_the_database_lets_one_envelope_of_a_recipient_be_open(frozen: Traveller, unit: Unit) -> None:
    tell(Event.RECEIVED, unit)
    gathered = tell(Event.STARTED, unit)
    gathered.pk, gathered.message_id = unit.pk, "<another@shop.test>"
    with pytest.raises(IntegrityError), transaction.atomic():
        gathered.save(force_insert=True)


@pytest.fixture
def gathered(transactional_db: None, unit: Unit) -> Envelope:
    """An open envelope whose time has come."""
    with bell.broker(bell.IN_MEMORY):
        tell(Event.RECEIVED, unit)
        envelope = tell(Event.STARTED, unit)
    Envelope.objects.filter(pk=envelope.pk).update(due_at=NOW)
    return envelope


def test_a_worker_waits_for_the_notice_that_is_being_put_in(gathered: Envelope, unit: Unit, mail: MailServer) -> None:
    put_in, worker_comes = Signal(), Signal()

    def writer() -> None:
        with bell.broker(bell.IN_MEMORY), transaction.atomic():
            tell(Event.QUOTE_READY, unit)
            put_in.set()
            assert worker_comes.wait(WAIT_S)
            # Room for the worker to claim it, if it could.
            Signal().wait(0.3)

    def worker() -> None:
        assert put_in.wait(WAIT_S)
        worker_comes.set()
        actions.send_envelope(actor=SYSTEM, envelope_id=gathered.id)

    side_by_side(writer, worker)
    assert {notice.event for notice in gathered.notices.all()} == {"started", "quote_ready"}
    assert "The quote for your Quillon Lantern is ready" in part(newest(mail), "plain")


def test_without_the_lock_a_notice_would_be_put_in_a_message_that_has_gone(
    gathered: Envelope, unit: Unit, mail: MailServer
) -> None:
    """The control: the same look and the same write, with nothing held in between."""
    looked, gone = Signal(), Signal()

    def unlocked() -> None:
        found = Envelope.objects.filter(recipient=gathered.recipient, state="due", open_until__isnull=False).get()
        looked.set()
        assert gone.wait(WAIT_S)
        with transaction.atomic():
            Notice.objects.create(event="quote_ready", key="k", recipient=found.recipient, unit=unit, envelope=found)

    def worker() -> None:
        assert looked.wait(WAIT_S)
        actions.send_envelope(actor=SYSTEM, envelope_id=gathered.id)
        gone.set()

    side_by_side(unlocked, worker)
    assert {notice.event for notice in gathered.notices.all()} == {"started", "quote_ready"}
    assert len(mail.messages) == 1
    assert "quote" not in part(newest(mail), "plain")
    gathered.refresh_from_db()
    assert gathered.state == "done"


def test_two_writers_at_once_open_one_envelope(transactional_db: None, unit: Unit, other: Unit) -> None:
    with bell.broker(bell.IN_MEMORY):
        tell(Event.RECEIVED, unit)
        gate = Barrier(2)

        def write(about: Unit) -> None:
            gate.wait(WAIT_S)
            tell(Event.STARTED, about)

        side_by_side(lambda: write(unit), lambda: write(other))
    assert Notice.objects.count() == 3
    assert Envelope.objects.count() == 2
    assert Envelope.objects.get(open_until__isnull=False).notices.count() == 2


def test_whoever_finds_an_envelope_open_and_then_taken_opens_another(
    frozen: Traveller, mail: MailServer, unit: Unit
) -> None:
    tell(Event.RECEIVED, unit)
    gathered = tell(Event.STARTED, unit)
    frozen.shift(TWO_MINUTES)
    send_due()
    with transaction.atomic():
        assert gathering.open_envelope(gathered.recipient) is None
    assert tell(Event.QUOTE_READY, unit).due_at == NOW + 2 * TWO_MINUTES
