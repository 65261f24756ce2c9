"""Text messages: by a gateway that is a real server, with the wish of the customer, and what the gateway reports."""

from datetime import timedelta
from email.utils import format_datetime

import pytest
from pytest_django import Settings
from time_machine import Traveller

from shop.core.actor import STRANGER, SYSTEM
from shop.core.models import TrailEntry
from shop.core.reasons import Missing
from shop.notices import actions, queries, steps
from shop.notices.channels import CHANNELS, Message, PermanentFailure
from shop.notices.models import Envelope, Event, Report
from shop.notices.segments import measure
from shop.people.models import Customer
from shop.units.links import address_for
from shop.units.models import Unit
from tests.conftest import NOW
from tests.notices.conftest import envelope_of
from tests.notices.mailserver import MailServer
from tests.notices.smsgateway import Answer, Gateway


@pytest.fixture
def texting(unit: Unit, ada: Customer) -> Unit:
    """Ada's Lantern, of which she wants to hear by text message."""
    Customer.objects.filter(pk=ada.pk).update(channel="sms")
    unit.refresh_from_db()
    return unit


def send(unit: Unit, event: Event = Event.READY, **facts: object) -> Envelope:
    envelope = envelope_of(steps.tell(event=event, unit=unit, key="k", facts=facts))
    return again(envelope)


def again(envelope: Envelope) -> Envelope:
    sent = actions.send_envelope(actor=SYSTEM, envelope_id=envelope.id)
    assert sent is not None
    return sent


def words_of(envelope: Envelope) -> str:
    return envelope.tries.get().words


def test_it_posts_one_short_text_with_the_address_of_the_page(gateway: Gateway, texting: Unit) -> None:
    sent = send(texting, due_minor=4500)
    assert (sent.state, sent.channel, sent.address, sent.reference) == ("done", "sms", "+12025550177", "gw-1")
    (taken,) = gateway.requests
    assert taken.path == "/texts?line=1"
    assert taken.headers["Authorization"] == "Bearer word-from-the-gateway"
    assert taken.fields == {
        "to": "+12025550177",
        "text": "Brandt & Daughter: Your Quillon Lantern is ready. To pay: $45.00. Pickup code and details: "
        + address_for(texting),
        "sender": "Brandt",
        "reference": str(sent.id),
    }


@pytest.mark.parametrize("event", [event for event in Event if event not in (Event.ANNOUNCED, Event.LINK_RENEWED)])
def test_every_event_is_two_parts_at_most_and_speaks_plain_signs(gateway: Gateway, texting: Unit, event: Event) -> None:
    send(
        texting, event, total_minor=123456, due_minor=4500, deposit_minor=400, promised_on="2026-03-30",
        valid_until="2026-03-30", warranty_until="2026-06-30", carrier="Heron Post", tracking="HP 42",
    )  # fmt: skip
    (text,) = gateway.texts
    assert text.startswith("Brandt & Daughter: ")
    assert "{" not in text
    assert "Lantern" in text
    assert measure(text).encoding == "GSM 7-bit"
    assert measure(text).parts <= 2


def test_a_form_and_other_names_of_the_fields(settings: Settings, gateway: Gateway, texting: Unit) -> None:
    settings.SMS_FORM, settings.SMS_FIELDS, settings.SMS_NUMBER = "form", {"to": "recipient", "text": "body"}, "message"
    gateway.answer = Answer(200, body=b'{"message": 1234}')
    assert send(texting).reference == "1234"
    (taken,) = gateway.requests
    assert taken.headers["Content-Type"] == "application/x-www-form-urlencoded"
    assert set(taken.fields) == {"recipient", "body"}


@pytest.mark.parametrize("body", [b"", b"OK", b"[1]", b'{"id": null}', b"[" * 100_000, b"\xff\xfe"])
def test_an_answer_that_names_no_number_is_taken_all_the_same(gateway: Gateway, texting: Unit, body: bytes) -> None:
    gateway.answer = Answer(204 if not body else 200, body=body)
    sent = send(texting)
    assert (sent.state, sent.reference) == ("done", "")


@pytest.mark.parametrize("status", [400, 401, 402, 403, 404, 410, 422, 301, 302])
def test_a_refusal_is_final(gateway: Gateway, texting: Unit, status: int) -> None:
    gateway.answer = Answer(status, {"Location": "http://127.0.0.1:1/"}, b"no such number")
    sent = send(texting)
    assert sent.state == "failed"
    assert words_of(sent) == f"The gateway answered {status} no such number"
    assert len(gateway.requests) == 1


@pytest.mark.parametrize("status", [408, 425, 429, 500, 502, 503, 504])
def test_what_may_work_later_is_tried_again_after_a_minute(
    frozen: Traveller, gateway: Gateway, texting: Unit, status: int
) -> None:
    gateway.answer = Answer(status)
    sent = send(texting)
    assert (sent.state, sent.due_at) == ("due", NOW + timedelta(minutes=1))


@pytest.mark.parametrize(
    ("said", "minutes"),
    [
        ("600", 10),
        ("5", 1),
        (format_datetime(NOW + timedelta(minutes=20), usegmt=True), 20),
        (format_datetime(NOW - timedelta(minutes=20), usegmt=True), 1),
        ("99999999", 24 * 60),
        ("soon", 1),
        ("-600", 1),
        ("٣", 1),
    ],
)
def test_it_waits_as_long_as_the_gateway_says(
    frozen: Traveller, gateway: Gateway, texting: Unit, said: str, minutes: int
) -> None:
    gateway.answer = Answer(429, {"Retry-After": said.encode().decode("latin-1")})
    assert send(texting).due_at == NOW + timedelta(minutes=minutes)


def test_a_gateway_that_hangs_up_or_is_not_there_is_tried_again(
    settings: Settings, frozen: Traveller, gateway: Gateway, texting: Unit
) -> None:
    gateway.answer = Answer(hang_up=True)
    sent = send(texting)
    assert sent.state == "due"
    settings.SMS_URL = "http://127.0.0.1:1/"
    frozen.shift(timedelta(minutes=1))
    assert again(sent).state == "due"
    assert all("cannot be used" in words for words in sent.tries.values_list("words", flat=True))


def test_a_gateway_that_talks_on_and_on_is_hung_up_on(settings: Settings, gateway: Gateway, texting: Unit) -> None:
    settings.SMS_DEADLINE, gateway.answer = 0.4, Answer(drip_s=0.1)
    sent = send(texting)
    assert (sent.state, sent.reference) == ("due", "")


def test_without_a_gateway_an_e_mail_goes(mail: MailServer, texting: Unit) -> None:
    assert (send(texting).channel, mail.recipients) == ("email", ["ada@post.example"])


def test_a_gateway_that_is_set_up_meanwhile_is_used(
    settings: Settings, mail: MailServer, gateway: Gateway, texting: Unit
) -> None:
    url, settings.SMS_URL = settings.SMS_URL, ""
    envelope = envelope_of(steps.tell(event=Event.READY, unit=texting, key="k"))
    assert envelope.channel == "email"
    settings.SMS_URL = url
    assert again(envelope).channel == "sms"
    assert not mail.messages


def test_without_a_phone_number_an_e_mail_goes(
    mail: MailServer, gateway: Gateway, texting: Unit, ada: Customer
) -> None:
    Customer.objects.filter(pk=ada.pk).update(phone="")
    texting.refresh_from_db()
    assert send(texting).channel == "email"


@pytest.mark.parametrize("phone", ["", "+12025550177"])
def test_whoever_cannot_be_reached_is_shown_as_failed(texting: Unit, ada: Customer, phone: str) -> None:
    Customer.objects.filter(pk=ada.pk).update(email="", phone=phone, postal_address="4 Ropewalk")
    texting.refresh_from_db()
    assert send(texting).state == "failed"
    (seen,) = queries.failed()
    assert "wants text messages, and there is no gateway or no phone number" in seen.tries[0].words
    assert TrailEntry.objects.get(subject_id=texting.id).what == "notice_failed"


def test_what_could_not_be_reached_goes_once_there_is_a_gateway(
    settings: Settings, gateway: Gateway, texting: Unit, ada: Customer, helper: object
) -> None:
    url, settings.SMS_URL = settings.SMS_URL, ""
    Customer.objects.filter(pk=ada.pk).update(email="")
    texting.refresh_from_db()
    failed = send(texting)
    settings.SMS_URL = url
    actions.send_again(actor=helper, envelope_id=failed.id)  # type: ignore[arg-type]
    assert again(failed).state == "done"


@pytest.mark.parametrize("number", ["", "12025550177", "+1202555017x", "+12025550177\r\nX: y"])
def test_what_is_no_number_is_never_posted(gateway: Gateway, number: str) -> None:
    with pytest.raises(PermanentFailure) as failure:
        CHANNELS["sms"].send(Message(number, "s", "t", "<p>t</p>", "<1@shop.test>", "Brandt", short="Hello"))
    assert failure.value.address
    assert not gateway.requests


def test_a_text_that_may_be_stopped_says_where(gateway: Gateway, texting: Unit) -> None:
    send(texting, Event.STARTED)
    assert "No more of these: http://shop.test/c/stop/" in gateway.texts[0]


def report(envelope: Envelope, status: str, **by: str) -> Envelope:
    said = {"secret": "a-secret-of-the-reports", "reference": str(envelope.id), "number": ""} | by
    return actions.take_sms_report(actor=STRANGER, status=status, **said)


def test_a_report_says_that_it_arrived(gateway: Gateway, texting: Unit) -> None:
    sent = send(texting)
    assert report(sent, "Delivered").delivery == "delivered"
    assert report(sent, "delivered").delivery == "delivered"
    assert Report.objects.count() == 1
    assert queries.one(sent.id).delivery_words == "delivered"  # type: ignore[union-attr]


def test_a_report_by_the_gateway_s_own_number_says_that_it_did_not(gateway: Gateway, texting: Unit) -> None:
    sent = send(texting)
    failed = report(sent, "undelivered", reference="", number="gw-1")
    assert (failed.state, failed.delivery) == ("failed", "bounced")
    (seen,) = queries.failed()
    assert seen.heard[0].words == "The gateway said undelivered"
    assert seen.came_back == 0


def test_a_report_in_words_that_nobody_knows_changes_nothing(gateway: Gateway, texting: Unit) -> None:
    sent = report(send(texting), "accepted")
    assert (sent.state, sent.delivery) == ("done", "")
    assert not Report.objects.exists()


@pytest.mark.parametrize(
    "wrong", [{"secret": "guessed"}, {"secret": ""}, {"reference": "1"}, {"reference": "", "number": "gw-2"}]
)
def test_a_wrong_secret_and_an_unknown_message_are_answered_alike(
    gateway: Gateway, texting: Unit, wrong: dict[str, str]
) -> None:
    sent = send(texting)
    with pytest.raises(Missing):
        report(sent, "failed", **wrong)
    assert Envelope.objects.get().state == "done"


def test_without_a_secret_in_the_settings_no_report_is_taken(
    settings: Settings, gateway: Gateway, texting: Unit
) -> None:
    sent = send(texting)
    settings.SMS_REPORT_SECRET = ""
    with pytest.raises(Missing):
        report(sent, "failed", secret="")


def test_an_e_mail_is_not_reported_on_by_a_gateway(settings: Settings, mail: MailServer, unit: Unit) -> None:
    settings.SMS_REPORT_SECRET = "a-secret-of-the-reports"
    sent = send(unit)
    with pytest.raises(Missing):
        report(sent, "failed")


def test_a_digest_is_one_text_that_gives_an_address_after_the_last_thing_about_a_unit(
    frozen: Traveller, gateway: Gateway, texting: Unit
) -> None:
    send(texting, Event.RECEIVED)
    gathered = envelope_of(steps.tell(event=Event.QUOTE_READY, unit=texting, key="k", facts={"total_minor": 12345}))
    frozen.shift(timedelta(seconds=1))  # what happens at the very same moment has no order
    assert envelope_of(steps.tell(event=Event.READY, unit=texting, key="k")) == gathered
    frozen.shift(timedelta(minutes=2))
    again(gathered)
    assert gateway.texts[-1] == (
        "Brandt & Daughter: The quote for your Quillon Lantern is ready: $123.45 with tax. "
        f"Your Quillon Lantern is ready. {address_for(texting)}"
    )
