"""Messages against the standards of mail and of pages, read by the standard library and by an HTML parser.

Sources: RFC 5322 (2.1.1: at most 998 octets in a line, should be 78; 3.6: which fields once; 3.6.4 Message-ID), RFC
2045 and 2046 (parts; 7-bit octets need no extension of a server), RFC 2369 and 8058 (stopping a list), RFC 3834
(Auto-Submitted). HTML: html5lib 1.1, the parser of the HTML standard, in its strict mode, where any parse error of
the standard raises. Contrast: WCAG 2.2, 1.4.3, with its own formula for relative luminance.
"""

import email
import re
from email.headerregistry import Address
from email.message import EmailMessage
from email.policy import default, strict
from typing import Any

import html5lib
import pytest
from django.core import mail as outbox
from pytest_django import Settings

from shop.boards.models import DeviceModel
from shop.core.actor import SYSTEM
from shop.core.models import ShopProfile
from shop.notices import actions, steps
from shop.notices.models import Envelope, Event
from shop.people.models import Customer
from tests.notices.conftest import envelope_of, written_up
from tests.notices.test_mail import FACTS

NAMES = {
    "plain": "Ada Kowalczyk",
    "vietnamese": "Trần Bảo",
    "arabic": "عائشة بنت سعيد",
    "chinese": "王小明",
    "emoji": "Ada 🎮🕹️",
    "family": "👩‍👩‍👧‍👦",
    "long": "Wolfeschlegelsteinhausenbergerdorff " * 3,
    "one word": "W" * 120,
    "markup": "</title><script>alert(1)</script>",
    "quotes": "\"Ada\" <b@c.example>, 'x'",
}
AMP = re.compile(r"color:(#[0-9a-f]{6})")


def sent_as(settings: Settings, customer: Customer, model: DeviceModel, *events: Event) -> bytes:
    """Send events in one message through Django's own mail backend for tests, and return its bytes as on the wire."""
    settings.EMAIL_BACKEND, settings.SHOP_ADDRESS = (
        "django.core.mail.backends.locmem.EmailBackend",
        "https://shop.example",
    )
    unit = written_up(customer, model)
    notices = [steps.tell(event=event, unit=unit, key="k", facts=FACTS) for event in events]
    first = envelope_of(notices[0])
    for notice in notices[1:]:
        assert notice is not None
        type(notice).objects.filter(pk=notice.pk).update(envelope=first)
    Envelope.objects.filter(pk=first.pk).update(due_at=first.created_at)
    done = actions.send_envelope(actor=SYSTEM, envelope_id=first.id)
    assert done is not None
    assert done.state == "done", list(done.tries.values_list("words", flat=True))
    raw: bytes = outbox.outbox[-1].message().as_bytes(linesep="\r\n")
    return raw


def read(raw: bytes) -> EmailMessage:
    message: EmailMessage = email.message_from_bytes(raw, policy=default)
    return message


def body(message: EmailMessage, kind: str) -> str:
    part = message.get_body((kind,))
    assert part is not None
    return str(part.get_content())


def examined(raw: bytes) -> EmailMessage:
    """Hold a message against what is said of every one."""
    message = read(raw)
    email.message_from_bytes(raw, policy=strict)  # raises for any defect of the structure
    for part in message.walk():
        assert part.defects == []
        for name, value in part.items():
            assert getattr(value, "defects", ()) == (), (name, value)
    for name in ("From", "To", "Subject", "Date", "Message-ID", "MIME-Version", "Auto-Submitted", "Reply-To"):
        assert len(message.get_all(name, [])) == 1, name
    assert message.get_content_type() == "multipart/alternative"
    assert [part.get_content_type() for part in message.iter_parts()] == ["text/plain", "text/html"]
    assert max(raw) < 128
    assert b"\n" not in raw.replace(b"\r\n", b"")
    assert max(map(len, raw.split(b"\r\n"))) <= 120  # one long address may stand in a header's line
    assert max(len(line) for line in raw.partition(b"\r\n\r\n")[2].split(b"\r\n")) <= 78
    html5lib.HTMLParser(strict=True).parse(body(message, "html"))
    return message


@pytest.mark.parametrize("event", [event for event in Event if event != Event.ANNOUNCED])
def test_every_event_is_a_sound_message_and_a_sound_page(
    settings: Settings, ada: Customer, lantern: DeviceModel, event: Event
) -> None:
    message = examined(sent_as(settings, ada, lantern, event))
    assert message["Message-ID"].count("@shop.example>") == 1
    assert message["Auto-Submitted"] == "auto-generated"


def test_a_digest_is_a_sound_message_and_a_sound_page(settings: Settings, ada: Customer, lantern: DeviceModel) -> None:
    message = examined(sent_as(settings, ada, lantern, Event.RECEIVED, Event.QUOTE_READY, Event.STARTED))
    assert body(message, "html").count("<h2") == 3


@pytest.mark.parametrize("name", NAMES.values(), ids=list(NAMES))
def test_names_in_any_script_arrive_whole_and_harm_nothing(
    settings: Settings, lantern: DeviceModel, shop: ShopProfile, name: str
) -> None:
    kept = " ".join(name.split())
    ShopProfile.objects.update(name=kept[:80])
    lantern.name = kept[:60]
    lantern.save()
    customer = Customer.objects.create(name=kept[:120], email="ada@post.example")
    message = examined(sent_as(settings, customer, lantern, Event.STARTED))
    assert f"Hello {kept[:120].strip()}," in body(message, "plain")
    # A header may be folded before its first word; the library leaves that blank where it was.
    assert str(message["Subject"]).strip() == f"We have begun with your Quillon {kept[:60].strip()}"
    (sender,) = message["From"].addresses
    assert (sender.display_name, sender.addr_spec) == (kept[:80].strip(), "shop@localhost")
    page = html5lib.parse(body(message, "html"), namespaceHTMLElements=False)
    assert page.find("head/title").text == str(message["Subject"]).strip()
    assert page.findall(".//script") == []


@pytest.mark.parametrize("breaking", ["\r\n", "\n", "\r", "\u2028", "\x0b"])
def test_no_name_begins_a_header(settings: Settings, lantern: DeviceModel, shop: ShopProfile, breaking: str) -> None:
    evil = f"Ada{breaking}Bcc: thief@post.example{breaking}{breaking}Hello"
    ShopProfile.objects.update(name=evil, email="desk@brandt.example")
    lantern.name = evil
    lantern.save()
    message = examined(sent_as(settings, Customer.objects.create(name=evil, email="a@b.example"), lantern, Event.READY))
    assert message["Bcc"] is None
    assert message["To"].addresses == (Address(addr_spec="a@b.example"),)


def test_what_may_be_stopped_says_so_as_rfc_2369_and_8058_ask(
    settings: Settings, ada: Customer, lantern: DeviceModel
) -> None:
    message = examined(sent_as(settings, ada, lantern, Event.STARTED))
    assert re.fullmatch(r"<https://shop\.example/c/stop/[\w-]{43}/progress>", message["List-Unsubscribe"].strip())
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"


def luminance(colour: str) -> float:
    """Relative luminance (WCAG 2.2)."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    darker, lighter = sorted((luminance(one), luminance(other)))
    return (lighter + 0.05) / (darker + 0.05)


def test_the_formula_gives_the_known_contrast_of_black_on_white() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)
    assert contrast("#767676", "#ffffff") == pytest.approx(4.54, abs=0.01)


def test_every_text_can_be_read_on_its_ground(settings: Settings, ada: Customer, lantern: DeviceModel) -> None:
    """1.4.3 asks for 4.5; each colour is held against the ground that is nearest above it."""
    page = html5lib.parse(
        body(read(sent_as(settings, ada, lantern, Event.RECEIVED, Event.STARTED)), "html"), namespaceHTMLElements=False
    )
    seen = 0

    def walk(element: Any, ink: str, ground: str) -> None:
        nonlocal seen
        style = dict(rule.split(":", 1) for rule in element.get("style", "").split(";") if ":" in rule)
        ink, ground = style.get("color", ink), style.get("background", ground)
        if (element.text or "").strip():
            assert contrast(ink, ground) >= 4.5, (element.tag, ink, ground)
            seen += 1
        for child in element:
            walk(child, ink, ground)

    walk(page.find("body"), "", "")
    assert seen > 12


def test_the_page_needs_no_picture_no_table_no_style_sheet_and_nothing_from_elsewhere(
    settings: Settings, ada: Customer, lantern: DeviceModel
) -> None:
    html = body(read(sent_as(settings, ada, lantern, Event.RECEIVED, Event.STARTED)), "html")
    page = html5lib.parse(html, namespaceHTMLElements=False)
    tags = {element.tag for element in page.iter() if isinstance(element.tag, str)}
    assert not tags & {"img", "table", "style", "link", "script", "form", "iframe", "svg", "font"}
    assert page.get("lang") == "en"
    assert {element.get("href", "").split("/")[2] for element in page.iter("a")} == {"shop.example"}
    assert "url(" not in html
    assert "@import" not in html
    # The first words that a list of messages shows beside the subject are the message's own.
    hidden = page.find("body/div")
    assert "display:none" in hidden.get("style")
    assert hidden.text.startswith("Your Quillon Lantern is with us and lies safely.")
