"""The staff's pages of messages and of their wording."""

import html
import re

import pytest
from django.core.cache import cache

from shop.core.actor import SYSTEM
from shop.notices import actions, steps
from shop.notices.models import Envelope, Event, Template
from shop.people.models import User
from shop.units.models import Unit
from tests.notices.conftest import envelope_of
from tests.notices.dsn import dsn
from tests.notices.mailserver import MailServer
from tests.notices.test_wording import OWN
from tests.screens.browsing import Browser, said

WORDS = {name: OWN[name] for name in ("subject", "paragraphs", "short")}


@pytest.fixture
def as_owner(ottilie: User) -> Browser:
    cache.clear()
    browser = Browser()
    browser.force_login(ottilie)
    return browser


@pytest.fixture
def as_counter(pim: User) -> Browser:
    browser = Browser()
    browser.force_login(pim)
    return browser


def text(answer: object) -> str:
    page = re.sub(r"<[^>]+>", " ", answer.content.decode())  # type: ignore[attr-defined]
    return " ".join(html.unescape(page).split())


def sent(unit: Unit, event: Event = Event.READY) -> Envelope:
    envelope = envelope_of(steps.tell(event=event, unit=unit, key="k"))
    done = actions.send_envelope(actor=SYSTEM, envelope_id=envelope.id)
    assert done is not None
    return done


def test_each_filter_shows_its_sort(mail: MailServer, unit: Unit, as_counter: Browser) -> None:
    envelope = sent(unit)
    steps.tell(event=Event.STARTED, unit=unit, key="k")
    about = {"sent": "0001, Quillon Lantern: ready", "waiting": "0001, Quillon Lantern: started"}
    for which, words in about.items():
        page = text(as_counter.see("notices", show=which))
        assert words in page
        assert not any(other in page for sort, other in about.items() if sort != which)
    assert "None yet." in text(as_counter.see("notices", show="held"))
    actions.take_bounce(actor=SYSTEM, raw=dsn(envelope.message_id))
    page = text(as_counter.see("notices", show="failed"))
    assert "0001, Quillon Lantern: ready to ada@post.example failed, came back" in page
    assert "failed: smtp; 550 5.1.1 no such mailbox here" in page
    assert "ask the customer whether it is right" in page
    assert as_counter.see("notices", show="nonsense").status_code == 200


def test_the_owner_looks_keeps_and_goes_back(as_owner: Browser) -> None:
    page = as_owner.see("notice-template", "ready", "en")
    assert "The standard wording is in force." in text(page)
    assert "[if due, payment_words]" not in text(page)
    looked = as_owner.send("notice-template-do", "ready", "en", "look", **WORDS)
    assert looked.status_code == 200
    assert "Come and get your Quillon Lantern (0042)" in text(looked)
    assert not Template.objects.exists()
    kept = as_owner.send("notice-template-do", "ready", "en", "keep", edition="0", **WORDS)
    assert (kept.status_code, kept.url) == (303, "/notices/wording/ready/en")
    page = text(as_owner.see("notice-template", "ready", "en"))
    assert "Your own wording is in force, edition 1." in page
    assert "own wording, edition 1, Ottilie Brandt" in text(as_owner.see("notice-templates"))
    as_owner.send("notice-template-do", "ready", "en", "standard", edition="1")
    assert "The standard wording is in force." in text(as_owner.see("notice-template", "ready", "en"))


def test_a_refusal_keeps_what_was_typed(as_owner: Browser) -> None:
    for verb in ("keep", "try", "look"):
        answer = as_owner.send(
            "notice-template-do", "ready", "en", verb, edition="0", **WORDS | {"paragraphs": "Mine {x.y}"}
        )
        assert answer.status_code == 422
        assert said(answer).startswith("{x.y} cannot be filled in here. Use these, written just so: {back}, ")
        assert "Mine {x.y}</textarea>" in answer.content.decode()


def test_whoever_has_an_old_page_is_told_so(as_owner: Browser) -> None:
    for _ in range(2):
        answer = as_owner.send("notice-template-do", "ready", "en", "keep", edition="0", **WORDS)
    assert said(answer).startswith("Somebody kept another wording meanwhile, edition 1.")


def test_the_preview_lies_in_a_frame_that_runs_nothing(as_owner: Browser) -> None:
    answer = as_owner.send(
        "notice-template-do", "ready", "en", "look", **WORDS | {"paragraphs": "</iframe><script>alert(1)</script>"}
    )
    page = answer.content.decode()
    assert "<script>alert" not in page
    frame = re.search(r'<iframe [^>]* sandbox="" srcdoc="([^"]*)" style="[^"]*"></iframe>', page)
    assert frame is not None
    inside = html.unescape(frame[1])
    assert inside.startswith("<!DOCTYPE html>")
    assert '<p style="margin:0 0 16px">&lt;/iframe&gt;&lt;script&gt;alert(1)&lt;/script&gt;</p>' in inside
    assert inside.rstrip().endswith("</html>")
    policy = answer.headers["Content-Security-Policy"]
    assert "script-src 'self';" in policy
    assert policy.endswith("style-src-attr 'unsafe-inline'")


def test_a_wording_is_tried_out(as_owner: Browser, mail: MailServer) -> None:
    answer = as_owner.send("notice-template-do", "ready", "en", "try", edition="0", **WORDS)
    assert answer.url == "/notices"
    page = text(as_owner.see("notices"))
    assert "A message is on its way to desk@brandt.example." in page
    assert "trying out the wording of: ready to desk@brandt.example due" in page


def test_what_is_no_event_is_missing(as_owner: Browser) -> None:
    for event, language in (("lost", "en"), ("ready", "xx")):
        assert as_owner.see("notice-template", event, language).status_code == 404
    assert as_owner.send("notice-template-do", "ready", "en", "burn").status_code == 422
    assert as_owner.see("notice-templates", language="xx").status_code == 200


def test_others_see_the_wording_without_a_form(as_counter: Browser) -> None:
    page = as_counter.see("notice-template", "ready", "en")
    assert page.status_code == 200
    assert "<textarea" not in page.content.decode()
    assert "Your Quillon Lantern is finished here" in page.content.decode()


def test_only_the_owner_may_post_a_wording(as_counter: Browser, jun: User) -> None:
    technician = Browser()
    technician.force_login(jun)
    for browser in (as_counter, technician):
        for verb in ("keep", "look", "try", "standard"):
            assert browser.send("notice-template-do", "ready", "en", verb, edition="0", **WORDS).status_code == 403
    assert not Template.objects.exists()
    assert not Envelope.objects.exists()
