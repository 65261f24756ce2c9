"""Messages that come back: read by the standard library, recorded once, and the address looked at."""

import io
from contextlib import suppress
from typing import Any

import pytest
from django.core.management import CommandError, call_command
from hypothesis import given
from hypothesis import strategies as st

from shop.core.actor import SYSTEM, Actor
from shop.core.duework import claim
from shop.core.models import TrailEntry
from shop.core.reasons import Refused
from shop.notices import actions, queries, steps
from shop.notices.bounces import read_report
from shop.notices.models import Envelope, Event, Report
from shop.people.models import Customer
from shop.units.models import Unit
from tests.notices.conftest import envelope_of
from tests.notices.dsn import dsn
from tests.notices.mailserver import MailServer, Mode


def send(unit: Unit, key: str = "k", event: Event = Event.READY) -> Envelope:
    envelope = envelope_of(steps.tell(event=event, unit=unit, key=key))
    Envelope.objects.filter(pk=envelope.pk).update(due_at=envelope.created_at, open_until=None)
    sent = actions.send_envelope(actor=SYSTEM, envelope_id=envelope.id)
    assert sent is not None
    return sent


def back(envelope: Envelope, **how: str) -> Envelope:
    return actions.take_bounce(actor=SYSTEM, raw=dsn(envelope.message_id, **how))


@pytest.mark.parametrize("returned", ["whole", "headers", "nothing"])
def test_it_finds_the_message_by_what_came_back_or_by_what_the_report_answers(
    mail: MailServer, unit: Unit, returned: str
) -> None:
    sent = send(unit)
    bounced = back(sent, returned=returned)
    assert (bounced.id, bounced.state, bounced.delivery) == (sent.id, "failed", "bounced")
    (seen,) = queries.failed()
    assert seen.heard[0].words == "failed: smtp; 550 5.1.1 no such mailbox here"
    assert (seen.came_back, seen.dead) == (1, False)
    assert queries.for_unit(unit.id)[0].came_back == 1
    trail = TrailEntry.objects.filter(subject_id=unit.id).order_by("seq").values_list("what", flat=True)
    assert list(trail) == ["notice_done", "notice_failed"]


def test_the_same_report_again_changes_nothing(mail: MailServer, unit: Unit) -> None:
    sent = send(unit)
    for _ in range(3):
        back(sent)
    assert Report.objects.count() == 1
    assert TrailEntry.objects.filter(what="notice_failed").count() == 1


def test_a_message_after_one_that_came_back_is_still_tried(mail: MailServer, unit: Unit) -> None:
    back(send(unit))
    assert send(unit, "other").state == "done"


def test_after_two_that_came_back_for_good_nothing_goes_there_until_staff_have_looked(
    mail: MailServer, unit: Unit, helper: Actor
) -> None:
    back(send(unit, "1"))
    back(send(unit, "2"))
    third = send(unit, "3")
    assert third.state == "failed"
    seen = next(message for message in queries.failed() if message.id == third.id)
    assert "two messages to this address came back for good" in seen.tries[0].words
    assert seen.dead
    assert len(mail.messages) == 2
    actions.send_again(actor=helper, envelope_id=third.id)
    assert actions.send_envelope(actor=SYSTEM, envelope_id=third.id).state == "done"  # type: ignore[union-attr]
    assert len(mail.messages) == 3
    assert not queries.one(third.id).came_back  # type: ignore[union-attr]


def test_another_address_is_not_failing(mail: MailServer, unit: Unit, ada: Customer) -> None:
    back(send(unit, "1"))
    back(send(unit, "2"))
    Customer.objects.filter(pk=ada.pk).update(email="ada@new.example")
    unit.refresh_from_db()
    assert send(unit, "3").state == "done"


def test_one_that_arrived_in_between_says_that_the_address_works(mail: MailServer, unit: Unit) -> None:
    back(send(unit, "1"))
    back(send(unit, "2"), action="delivered", status="2.0.0")
    back(send(unit, "3"))
    assert send(unit, "4").state == "done"


def test_a_refusal_while_sending_counts_like_one_that_came_back(mail: MailServer, unit: Unit) -> None:
    mail.mode = Mode.REFUSE_FOR_GOOD
    assert [send(unit, key).state for key in "12"] == ["failed", "failed"]
    mail.mode = Mode.ACCEPT
    assert send(unit, "3").state == "failed"
    assert not mail.messages


@pytest.mark.parametrize(
    ("status", "final"),
    [
        ("5.1.1", True), ("5.1.10", True), ("5.2.1", True), ("5.0.0", True), ("5.7.1", False), ("5.3.4", False),
        ("4.4.7", False), ("4.2.2", False), ("nonsense", False),
    ],
)  # fmt: skip
def test_only_what_is_about_the_address_and_for_good_counts_against_it(
    mail: MailServer, unit: Unit, status: str, final: bool
) -> None:
    bounced = back(send(unit), status=status)
    assert bounced.state == "failed"
    assert Report.objects.get().final is final


def test_what_came_back_from_where_it_was_forwarded_does_not_count_against_the_address(
    mail: MailServer, unit: Unit
) -> None:
    bounced = back(send(unit), recipient="ada@elsewhere.example")
    assert bounced.state == "failed"
    assert not queries.one(bounced.id).came_back  # type: ignore[union-attr]


def test_a_delay_is_shown_and_overtaken_by_what_follows(mail: MailServer, unit: Unit) -> None:
    sent = send(unit)
    assert back(sent, action="delayed", status="4.4.1").delivery == "delayed"
    assert Envelope.objects.get().state == "done"
    assert back(sent, action="delivered", status="2.0.0").delivery == "delivered"
    assert back(sent, action="delayed", status="4.4.1").delivery == "delivered"
    assert back(sent, action="relayed", status="2.0.0").delivery == "delivered"
    assert back(sent).delivery == "bounced"
    assert back(sent, action="delivered", status="2.0.0").delivery == "bounced"


def test_what_came_back_twice_after_being_sent_again_is_recorded_twice(
    mail: MailServer, unit: Unit, helper: Actor
) -> None:
    sent = send(unit)
    back(sent)
    actions.send_again(actor=helper, envelope_id=sent.id)
    actions.send_envelope(actor=SYSTEM, envelope_id=sent.id)
    assert back(sent).state == "failed"
    assert Report.objects.filter(delivery="bounced").count() == 2


def test_a_report_that_comes_before_the_sending_is_recorded_is_asked_to_come_again(
    mail: MailServer, unit: Unit
) -> None:
    envelope = envelope_of(steps.tell(event=Event.READY, unit=unit, key="k"))
    claim(Envelope, envelope.id, lease=actions.LEASE)
    with pytest.raises(Refused) as refusal:
        back(envelope)
    assert refusal.value.code == "bounce_too_early"


@pytest.mark.parametrize(
    "raw",
    [
        b"",
        b"Subject: I am on holiday\r\n\r\nBack on Monday.",
        dsn("no message id at all"),
        dsn("<1@shop.test>").replace(b"Action: failed", b"Acting: failed"),
        b"Content-Type: multipart/report; boundary=x\n\n--x\nContent-Type: message/delivery-status\n\n\xff\xfe",
    ],
)
def test_what_is_no_report_is_refused(db: None, raw: bytes) -> None:
    with pytest.raises(Refused) as refusal:
        actions.take_bounce(actor=SYSTEM, raw=raw)
    assert refusal.value.code == "bounce_unreadable"


def test_a_report_about_another_s_message_is_refused(db: None) -> None:
    with pytest.raises(Refused) as refusal:
        actions.take_bounce(actor=SYSTEM, raw=dsn("<1@elsewhere.example>"))
    assert refusal.value.code == "bounce_not_ours"


@given(st.binary(max_size=400), st.integers(0, 1200))
def test_whatever_comes_is_read_or_refused(noise: bytes, where: int) -> None:
    whole = dsn("<1@shop.test>")
    for raw in (noise, whole[:where] + noise, whole[:where] + noise + whole[where:]):
        with suppress(Refused):
            found = read_report(raw)
            assert found.message_id.startswith("<")
            assert found.delivery in ("", "delivered", "delayed", "bounced")


def test_of_several_recipients_the_gravest_counts() -> None:
    two = dsn("<1@shop.test>", action="delivered", status="2.1.5").replace(
        b"Action: delivered",
        b"Action: delivered\r\nStatus: 2.1.5\r\n\r\nFinal-Recipient: rfc822; Bo@Post.example\r\nAction: failed",
    )
    found = read_report(two)
    assert found.delivery == "bounced"
    assert found.recipients == {"ada@post.example", "bo@post.example"}


def test_only_the_desk_and_the_system_take_reports(mail: MailServer, unit: Unit, technician: Actor) -> None:
    with pytest.raises(Refused) as refusal:
        actions.take_bounce(actor=technician, raw=dsn(send(unit).message_id))
    assert refusal.value.code == "not_permitted"


def command(monkeypatch: pytest.MonkeyPatch, raw: bytes) -> str:
    said = io.StringIO()
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(raw)))
    call_command("notices_bounced", stdout=said)
    return said.getvalue()


def test_the_command_reads_a_report_from_standard_input(
    monkeypatch: pytest.MonkeyPatch, mail: MailServer, unit: Unit
) -> None:
    sent = send(unit)
    assert command(monkeypatch, dsn(sent.message_id)) == f"{sent.message_id} came back\n"
    assert Envelope.objects.get().delivery == "bounced"


def test_the_command_tells_the_mail_server_whether_to_come_again(
    monkeypatch: pytest.MonkeyPatch, mail: MailServer, unit: Unit
) -> None:
    envelope: Any = envelope_of(steps.tell(event=Event.READY, unit=unit, key="k"))
    claim(Envelope, envelope.id, lease=actions.LEASE)
    for raw, code in ((dsn(envelope.message_id), 75), (b"Hello", 65), (dsn("<1@elsewhere.example>"), 65)):
        with pytest.raises(CommandError) as problem:
            command(monkeypatch, raw)
        assert problem.value.returncode == code
