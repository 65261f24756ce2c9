"""What arrives: two parts that say the same, headers that nobody can add to, words for each event."""

from datetime import timedelta
from email.message import EmailMessage
from html.parser import HTMLParser

import pytest
from hypothesis import given
from hypothesis import strategies as st
from pytest_django import Settings
from time_machine import Traveller

from shop.boards.models import DeviceModel
from shop.core.actor import SYSTEM
from shop.core.models import ShopProfile
from shop.notices import actions, steps, wording
from shop.notices.channels import CHANNELS, Message, PermanentFailure, one_line
from shop.notices.models import Event
from shop.notices.placeholders import names_in
from shop.notices.rendering import message_id, render
from shop.notices.short_wording import SHORT
from shop.notices.unsubscribing import address_for as address_for_stopping
from shop.notices.unsubscribing import group_of
from shop.people.models import Customer
from shop.units.links import address_for, revoke
from shop.units.models import Unit
from shop.units.queries import tag_of
from tests.conftest import NOW
from tests.notices.conftest import envelope_of, written_up
from tests.notices.mailserver import MailServer

FACTS: dict[str, object] = {
    "total_minor": 12345,
    "due_minor": 4500,
    "valid_until": "2026-03-24",
    "promised_on": "2026-03-30",
    "warranty_until": "2026-06-28",
    "carrier": "Heron Post",
    "tracking": "HP 42",
    "moved_from": "2026-03-27",
    "reason": "The capacitors come later.",
    "deposit_minor": 4000,
    "edition": 2,
    "changes": ["The inlet is replaced.", "One hour less of work."],
}
ALWAYS = {"shop", "model"}
OF_A_UNIT = {"number", "tag"}


def arrived(mail: MailServer, unit: Unit, event: Event, facts: dict[str, object] | None = None) -> EmailMessage:
    """Tell, send, and return the message as the server took it."""
    notice = steps.tell(event=event, unit=unit, key="k", facts=facts)
    actions.send_envelope(actor=SYSTEM, envelope_id=envelope_of(notice).id)
    return mail.messages[-1]


def part(message: EmailMessage, kind: str) -> str:
    body = message.get_body((kind,))
    assert body is not None
    return str(body.get_content())


class Seen(HTMLParser):
    """Gathers a page's text, its links, its elements and their attributes, and insists that elements are closed."""

    VOID = {"meta", "br"}

    def __init__(self, page: str) -> None:
        super().__init__()
        self.text = ""
        self.links: list[str | None] = []
        self.tags: set[str] = set()
        self.attributes: set[str] = set()
        self.open: list[str] = []
        self.feed(page)
        self.close()
        assert not self.open

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.tags.add(tag)
        self.attributes |= {name for name, _value in attrs}
        self.links += [value for name, value in attrs if name == "href"]
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_endtag(self, tag: str) -> None:
        assert self.open.pop() == tag

    def handle_data(self, data: str) -> None:
        self.text += data


@pytest.mark.parametrize("event", [event for event in Event if event != Event.ANNOUNCED])
def test_every_event_arrives_as_text_and_html_that_say_the_same(
    mail: MailServer, unit: Unit, ada: Customer, event: Event
) -> None:
    message = arrived(mail, unit, event, FACTS)
    assert message.get_content_type() == "multipart/alternative"
    assert [each.get_content_type() for each in message.iter_parts()] == ["text/plain", "text/html"]
    text, page = part(message, "plain").replace("\r\n", "\n"), Seen(part(message, "html"))
    said = [line for line in text.split("\n-- \n")[0].splitlines() if line.strip()]
    assert len(said) > 4
    for line in said:
        assert line.rstrip(":") in page.text + " ".join(str(link) for link in page.links)
    assert address_for(unit) in text
    stops = {address_for_stopping(ada.id, group)} if (group := group_of(event)) else set()
    assert set(page.links) == {address_for(unit)} | stops
    if event != Event.LINK_RENEWED:
        assert tag_of(unit).printed_code in page.text
        assert "Quillon Lantern" in str(message["Subject"])
    assert "{" not in text + page.text


@pytest.mark.parametrize("event", list(Event))
def test_every_event_can_be_said_with_no_facts_at_all(unit: Unit, event: Event) -> None:
    message = render(envelope_of(steps.tell(event=event, unit=unit, key="k")))
    assert len(message.text) > 100
    assert "None" not in message.text
    assert "{" not in message.text


@pytest.mark.parametrize("event", list(Event))
def test_a_line_names_only_facts_that_it_needs(event: Event) -> None:
    free = ALWAYS if event == Event.ANNOUNCED else ALWAYS | OF_A_UNIT
    for line in (*wording.LINES[event], *SHORT[event], *wording.CLOSING):
        assert set(names_in(line.text)) <= free | set(line.needs)
    assert set(names_in(wording.SUBJECTS[event])) <= free


def test_the_page_has_no_pictures_no_scripts_and_no_style_sheet(mail: MailServer, unit: Unit) -> None:
    page = Seen(part(arrived(mail, unit, Event.READY, FACTS), "html"))
    assert not page.tags & {"img", "script", "style", "link", "iframe", "form", "svg"}
    assert page.attributes <= {"lang", "charset", "name", "content", "style", "href"}


def test_the_headers_say_who_wrote_and_that_no_robot_should_answer(mail: MailServer, unit: Unit) -> None:
    message = arrived(mail, unit, Event.RECEIVED)
    assert message["Auto-Submitted"] == "auto-generated"
    assert message["From"] == "Brandt & Daughter <shop@localhost>"
    assert message["Reply-To"] == "desk@brandt.example"
    assert message["To"] == "ada@post.example"
    assert len(message.get_all("Message-ID", [])) == 1


def test_a_moved_promise_says_both_days_and_why(mail: MailServer, unit: Unit) -> None:
    text = part(arrived(mail, unit, Event.PROMISE_MOVED, FACTS), "plain")
    assert "We now expect to have it ready on March 30, 2026." in text
    assert "Before we had said March 27, 2026." in text
    assert "Why: The capacitors come later." in text


def test_a_persons_words_are_told_as_plain_words(mail: MailServer, unit: Unit) -> None:
    facts = FACTS | {"reason": "<script>alert(1)</script> {shop}, no & never.\nReally {x.y}."}
    message = arrived(mail, unit, Event.PROMISE_MOVED, facts)
    plain = part(message, "plain").replace("\r\n", "\n")
    assert "<script>alert(1)</script> {shop}, no & never.\nReally {x.y}." in plain
    assert "&lt;script&gt;alert(1)&lt;/script&gt; {shop}, no &amp; never.<br>Really {x.y}." in part(message, "html")


def test_an_answered_question_points_to_the_page_and_quotes_nobody(mail: MailServer, unit: Unit) -> None:
    text = part(arrived(mail, unit, Event.QUESTION_ANSWERED), "plain")
    assert "Our answer to your question about your Quillon Lantern is on its page." in text


def test_a_deposit_says_how_much_of_what_and_how_to_pay(mail: MailServer, unit: Unit) -> None:
    ShopProfile.objects.update(payment_words="By transfer.", payment_link="https://pay.example/brandt")
    text = part(arrived(mail, unit, Event.DEPOSIT_ASKED, FACTS), "plain")
    assert "The deposit is $40.00." in text
    assert "part of the total of $123.45" in text
    assert "By transfer." in text
    assert "https://pay.example/brandt" in text


def test_a_new_edition_says_what_has_changed(mail: MailServer, unit: Unit) -> None:
    text = part(arrived(mail, unit, Event.QUOTE_READY, FACTS), "plain").replace("\r\n", "\n")
    assert "This is version 2." in text
    assert "What has changed:\n– The inlet is replaced.\n– One hour less of work." in text


def test_a_first_edition_says_nothing_of_versions(mail: MailServer, unit: Unit) -> None:
    text = part(arrived(mail, unit, Event.QUOTE_READY, {"edition": 1}), "plain")
    assert "changed" not in text
    assert "version" not in text


def test_a_renewed_link_lists_every_unit_that_has_one_and_goes_by_e_mail_whatever_the_wish(
    mail: MailServer, unit: Unit, ada: Customer, bao: Customer, lantern: DeviceModel
) -> None:
    second, withdrawn, strange = (written_up(who, lantern, n) for who, n in ((ada, 2), (ada, 3), (bao, 4)))
    revoke(withdrawn)
    Customer.objects.filter(pk=ada.pk).update(channel="none")
    unit.refresh_from_db()
    message = arrived(mail, unit, Event.LINK_RENEWED)
    text, page = part(message, "plain"), Seen(part(message, "html"))
    assert page.links == [address_for(unit), address_for(second)]
    assert "Quillon Lantern, 0001:" in text
    assert address_for(second) in text
    assert "0003" not in text
    assert address_for(strange) not in text
    assert str(message["Subject"]) == "The way to your page at Brandt & Daughter"


def test_without_any_open_link_there_is_nothing_to_renew(mail: MailServer, unit: Unit) -> None:
    envelope = envelope_of(steps.tell(event=Event.LINK_RENEWED, unit=unit, key="k"))
    revoke(unit)
    sent = actions.send_envelope(actor=SYSTEM, envelope_id=envelope.id)
    assert sent is not None
    assert sent.state == "cancelled"
    assert not mail.messages


def test_a_name_cannot_begin_a_header(mail: MailServer, ada: Customer, shop: ShopProfile) -> None:
    evil = DeviceModel.objects.create(maker="Quillon\r\nBcc: thief@post.example\r\n", name="Lantern")
    ShopProfile.objects.update(name="Brandt\r\nBcc: thief@post.example")
    message = arrived(mail, written_up(ada, evil), Event.RECEIVED)
    assert message["Bcc"] is None
    assert mail.recipients == ["ada@post.example"]
    assert "Quillon Bcc: thief@post.example Lantern" in str(message["Subject"])


@pytest.mark.parametrize(
    "address", ["a@post.example\r\nBcc: b@post.example", "a@post.example, b@post.example", "", "nobody"]
)
def test_what_is_no_single_address_is_never_sent_to(mail: MailServer, unit: Unit, address: str) -> None:
    with pytest.raises(PermanentFailure):
        CHANNELS["email"].send(Message(address, "s", "t", "<p>t</p>", "<1@shop.test>", "Brandt"))
    assert not mail.messages


def test_a_reply_address_cannot_begin_a_header(mail: MailServer) -> None:
    message = Message("a@post.example", "s", "t", "<p>t</p>", "<1@shop.test>", "B", "x@post.example\nBcc: b@c.example")
    with pytest.raises(PermanentFailure):
        CHANNELS["email"].send(message)
    assert not mail.messages


@given(st.text())
def test_a_line_is_one_line_whatever_is_put_in(text: str) -> None:
    assert len(one_line(text).splitlines()) <= 1


def test_words_of_people_are_escaped_in_html_and_plain_in_text(mail: MailServer, lantern: DeviceModel) -> None:
    customer = Customer.objects.create(name="<b>Ada</b> & Co {link}", email="ada@post.example")
    message = arrived(mail, written_up(customer, lantern), Event.RECEIVED)
    assert "Hello <b>Ada</b> & Co {link}," in part(message, "plain")
    assert "Hello &lt;b&gt;Ada&lt;/b&gt; &amp; Co {link}," in part(message, "html")


def test_names_beyond_ascii_arrive_whole(mail: MailServer, bao: Customer, lantern: DeviceModel) -> None:
    message = arrived(mail, written_up(bao, lantern), Event.RECEIVED)
    assert "Hello Trần Bảo," in part(message, "plain")
    assert "Trần Bảo" in part(message, "html")


def test_the_quote_says_its_total_and_until_when(mail: MailServer, unit: Unit) -> None:
    text = part(arrived(mail, unit, Event.QUOTE_READY, FACTS), "plain")
    assert "The total comes to $123.45, tax included." in text
    assert "valid until March 24, 2026" in text


def test_ready_says_what_to_do_at_the_counter(mail: MailServer, unit: Unit) -> None:
    ShopProfile.objects.update(payment_words="Cash or card.")
    text = part(arrived(mail, unit, Event.READY, {"due_minor": 4500}), "plain")
    assert "There is $45.00 to pay." in text
    assert "Cash or card." in text
    assert "show us the pickup code" in text
    assert "4 Ropewalk, Saltmarsh" in text
    assert "tracking" not in text


def test_ready_says_what_to_do_by_mail(mail: MailServer, unit: Unit) -> None:
    Unit.objects.filter(pk=unit.pk).update(by_mail=True)
    text = part(arrived(mail, unit, Event.READY, {"due_minor": 4500}), "plain")
    assert "We send it as soon as it is paid" in text
    assert "pickup code" not in text


def test_ready_asks_for_nothing_when_all_is_paid(mail: MailServer, unit: Unit) -> None:
    Unit.objects.filter(pk=unit.pk).update(by_mail=True)
    text = part(arrived(mail, unit, Event.READY, {"due_minor": 0}), "plain")
    assert "to pay" not in text
    assert "We send it now" in text


@pytest.mark.parametrize("by_mail", [True, False])
def test_ready_claims_nothing_about_money_that_it_was_not_told(mail: MailServer, unit: Unit, by_mail: bool) -> None:
    Unit.objects.filter(pk=unit.pk).update(by_mail=by_mail)
    text = part(arrived(mail, unit, Event.READY), "plain")
    assert "Its page shows whether there is anything to pay." in text
    assert "We send it now" not in text
    assert ("We send it as soon as it is paid" in text) is by_mail


def test_ready_names_what_the_customer_gets_back(mail: MailServer, unit: Unit) -> None:
    text = part(arrived(mail, unit, Event.READY, {"due_minor": -1000}), "plain")
    assert "You have $10.00 to get back." in text
    assert "to pay" not in text


def test_a_renewed_link_is_said_to_be_new(mail: MailServer, unit: Unit) -> None:
    text = part(arrived(mail, unit, Event.RECEIVED, {"renewed": True}), "plain")
    assert "The one you had before no longer works." in text
    assert "Next we look at it" not in text


def test_a_diagnosis_is_not_told_like_the_work(mail: MailServer, unit: Unit) -> None:
    text = part(arrived(mail, unit, Event.STARTED, {"diagnosis": True}), "plain")
    assert "we open it, look and measure" in text
    assert "we have begun with it" not in text


def test_shipped_names_carrier_and_tracking(mail: MailServer, unit: Unit) -> None:
    text = part(arrived(mail, unit, Event.SHIPPED, FACTS), "plain")
    assert "Heron Post carries it, tracking number HP 42." in text


def test_announced_gives_packing_advice_address_and_code_with_its_check_symbol(shop: ShopProfile) -> None:
    ShopProfile.objects.update(packing_words="Ring the lower bell.")
    notice = steps.tell_address(
        event="announced", address="new@post.example", language="en", key="a",
        facts={"code": "K7Q2M9F", "device": "Tessaro Prism", "name": "Nia"},
    )  # fmt: skip
    message = render(envelope_of(notice))
    assert message.subject == "How to send us your Tessaro Prism"
    assert "Hello Nia," in message.text
    assert "Write the code K7Q-2M9F" in message.text
    assert "Ring the lower bell." in message.text
    assert "lithium battery must not travel by post" in message.text
    assert "Send it to: Brandt & Daughter, 4 Ropewalk, Saltmarsh" in message.text
    assert "/c/" not in message.text


def test_the_message_id_fits_its_column_whatever_the_host(settings: Settings, unit: Unit) -> None:
    settings.SHOP_ADDRESS = f"https://{'a' * 60}.{'b' * 60}.example"
    assert len(message_id(unit.id)) <= 120


def test_a_day_that_was_promised_and_has_passed_is_not_promised_again(
    mail: MailServer, unit: Unit, frozen: Traveller
) -> None:
    unit.promised_on, unit.promise_percent = (NOW + timedelta(days=1)).date(), 80
    unit.save(update_fields=["promised_on", "promise_percent"])
    assert "We expect" in part(arrived(mail, unit, Event.STARTED), "plain")
    frozen.shift(timedelta(days=3))
    notice = steps.tell(event=Event.STARTED, unit=unit, key="later")
    actions.send_envelope(actor=SYSTEM, envelope_id=envelope_of(notice).id)
    assert "We expect" not in part(mail.messages[-1], "plain")
