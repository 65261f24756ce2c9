"""What the contract does not need can be stopped, with one tap and no script; what it needs always comes."""

import base64
from uuid import UUID

import pytest
from django.core.cache import cache
from django.test import Client
from hypothesis import given
from hypothesis import strategies as st
from pytest_django import Settings
from time_machine import Traveller

from shop.core.actor import SYSTEM, Actor, Role
from shop.core.models import TrailEntry
from shop.core.reasons import Missing, Refused
from shop.notices import actions, queries, steps, unsubscribing
from shop.notices.kinds import CONTRACT, GROUPS
from shop.notices.models import Envelope, Event, Group, Unwanted
from shop.people.models import Customer
from shop.units.models import Unit
from tests.notices.conftest import envelope_of
from tests.notices.mailserver import MailServer
from tests.notices.test_digest import TWO_MINUTES, send_due
from tests.notices.test_mail import part


@pytest.fixture(autouse=True)
def _forget_tries() -> None:
    cache.clear()


def path(customer: Customer, what: str = "progress") -> str:
    return unsubscribing.address_for(customer.id, what).removeprefix("http://shop.test")


def choose(customer: Customer, *, stop: tuple[str, ...] = (), want: tuple[str, ...] = ()) -> frozenset[str]:
    actor = Actor(role=Role.CUSTOMER, id=f"customer:{customer.id}")
    return actions.choose_messages(actor=actor, customer_id=customer.id, stop=stop, want=want)


def send(unit: Unit, event: Event, key: str = "k") -> Envelope:
    envelope = envelope_of(steps.tell(event=event, unit=unit, key=key))
    sent = actions.send_envelope(actor=SYSTEM, envelope_id=envelope.id)
    assert sent is not None
    return sent


def test_what_the_contract_needs_is_in_no_group() -> None:
    assert not CONTRACT & set(GROUPS)
    assert set(GROUPS.values()) == set(Group)


@pytest.mark.parametrize("event", [event for event in Event if event not in (Event.ANNOUNCED, Event.LINK_RENEWED)])
def test_only_what_may_be_stopped_is_stopped(mail: MailServer, unit: Unit, ada: Customer, event: Event) -> None:
    choose(ada, stop=tuple(Group.values))
    sent = send(unit, event)
    if event in GROUPS:
        assert (sent.state, sent.tries.get().words) == ("cancelled", "unsubscribed")
    else:
        assert sent.state == "done"


def test_a_choice_taken_back_lets_them_come_again(mail: MailServer, unit: Unit, ada: Customer) -> None:
    assert choose(ada, stop=("progress", "reminders")) == {"progress", "reminders"}
    assert choose(ada, want=("progress",)) == {"reminders"}
    assert choose(ada, stop=("reminders",)) == {"reminders"}
    assert send(unit, Event.STARTED).state == "done"
    assert Unwanted.objects.count() == 2
    assert [entry.what for entry in TrailEntry.objects.filter(subject_id=ada.id)] == ["customer_changed"] * 2


def test_an_unknown_group_and_an_unknown_customer_are_refused(ada: Customer, unit: Unit) -> None:
    with pytest.raises(Refused) as refusal:
        choose(ada, stop=("contract",))
    assert refusal.value.code == "not_a_choice"
    with pytest.raises(Missing):
        choose(Customer(id=unit.id), stop=("progress",))


def test_of_a_digest_only_what_is_wanted_is_said(
    frozen: Traveller, mail: MailServer, unit: Unit, ada: Customer
) -> None:
    send(unit, Event.RECEIVED)
    steps.tell(event=Event.STARTED, unit=unit, key="k")
    steps.tell(event=Event.QUOTE_READY, unit=unit, key="k")
    choose(ada, stop=("progress",))
    frozen.shift(TWO_MINUTES)
    send_due()
    message = mail.messages[-1]
    assert message["Subject"] == "The quote for your Quillon Lantern is ready"
    assert "begun" not in part(message, "plain")
    last = TrailEntry.objects.filter(subject_id=unit.id, what="notice_done").last()
    assert last is not None
    assert '["quote_ready"]' in last.facts


def test_a_message_that_may_be_stopped_says_how_in_its_headers_and_its_text(
    settings: Settings, mail: MailServer, unit: Unit, ada: Customer
) -> None:
    settings.SHOP_ADDRESS = "https://shop.example"
    send(unit, Event.STARTED)
    message = mail.messages[0]
    address = unsubscribing.address_for(ada.id, "progress")
    assert message["List-Unsubscribe"].strip() == f"<{address}>"
    assert message["List-Unsubscribe-Post"] == "List-Unsubscribe=One-Click"
    assert address in part(message, "plain")
    assert f'href="{address}"' in part(message, "html")


def test_without_https_there_is_no_one_click(mail: MailServer, unit: Unit) -> None:
    send(unit, Event.STARTED)
    assert mail.messages[0]["List-Unsubscribe"].strip().startswith("<http://shop.test/c/stop/")
    assert mail.messages[0]["List-Unsubscribe-Post"] is None


@pytest.mark.parametrize("event", [event for event in Event if event not in GROUPS and event != Event.ANNOUNCED])
def test_what_always_comes_offers_no_way_to_stop_it(mail: MailServer, unit: Unit, event: Event) -> None:
    send(unit, event)
    assert mail.messages[0]["List-Unsubscribe"] is None
    assert "/c/stop/" not in str(mail.messages[0])


def test_a_digest_offers_to_stop_all_only_when_all_of_it_may_be(
    frozen: Traveller, mail: MailServer, unit: Unit
) -> None:
    send(unit, Event.RECEIVED)
    for event in (Event.STARTED, Event.QUOTE_REMINDER):
        steps.tell(event=event, unit=unit, key="k")
    frozen.shift(TWO_MINUTES)
    send_due()
    assert mail.messages[-1]["List-Unsubscribe"].endswith("/all>")
    for event in (Event.PROMISE_MOVED, Event.READY):
        steps.tell(event=event, unit=unit, key="k")
    frozen.shift(TWO_MINUTES)
    send_due()
    assert mail.messages[-1]["List-Unsubscribe"] is None


def test_looking_at_the_page_changes_nothing(ada: Customer) -> None:
    for method in ("get", "head"):
        answer = getattr(Client(), method)(path(ada))
        assert answer.status_code == 200
    assert not Unwanted.objects.exists()
    page = Client().get(path(ada)).content.decode()
    assert '<input type="hidden" name="stop" value="progress">' in page
    assert "Stop these" in page
    assert "<script" not in page
    assert ada.name not in page
    assert ada.email not in page


def test_one_tap_on_the_button_stops_them_and_another_brings_them_back(ada: Customer) -> None:
    strict = Client(enforce_csrf_checks=True)
    answer = strict.post(path(ada), {"stop": "progress"})
    assert (answer.status_code, answer.headers["Location"]) == (303, path(ada))
    assert unsubscribing.unwanted_by(ada) == {"progress"}
    page = strict.get(path(ada)).content.decode()
    assert "These messages have stopped." in page
    assert '<input type="hidden" name="want" value="progress">' in page
    assert strict.post(path(ada), {"want": "progress"}).status_code == 303
    assert unsubscribing.unwanted_by(ada) == frozenset()


def test_a_double_tap_is_one(ada: Customer) -> None:
    for _ in range(2):
        Client().post(path(ada), {"stop": "progress"})
    assert Unwanted.objects.count() == 1


@pytest.mark.parametrize(("what", "stopped"), [("progress", {"progress"}), ("all", set(Group.values))])
def test_a_mail_program_s_own_post_stops_them_without_a_redirect(ada: Customer, what: str, stopped: set[str]) -> None:
    """RFC 8058, 3.1: a POST with this body, no cookie, and no redirect in answer."""
    answer = Client(enforce_csrf_checks=True).post(path(ada, what), {"List-Unsubscribe": "One-Click"})
    assert answer.status_code == 200
    assert not answer.cookies
    assert unsubscribing.unwanted_by(ada) == stopped


def test_a_post_that_says_nothing_or_nonsense_changes_nothing(ada: Customer) -> None:
    assert Client().post(path(ada)).status_code == 303
    assert Client().post(path(ada), {"List-Unsubscribe": "Perhaps"}).status_code == 303
    assert Client().post(path(ada), {"stop": "contract"}).status_code == 422
    assert Client().post(path(ada), {"stop": "\0"}).status_code == 422
    assert not Unwanted.objects.exists()


def test_a_false_address_and_one_that_stops_nothing_say_so(ada: Customer, bao: Customer) -> None:
    true, other = unsubscribing.token_of(ada.id), unsubscribing.token_of(bao.id)
    mixed = base64.urlsafe_b64encode(ada.id.bytes + base64.urlsafe_b64decode(other + "=")[16:]).decode().rstrip("=")
    for address in (f"/c/stop/{mixed}/progress", f"/c/stop/{'A' * 43}/progress", f"/c/stop/{true}/contract"):
        for answer in (Client().get(address), Client().post(address, {"stop": "progress"})):
            assert answer.status_code == 404
            assert "This address stops nothing." in answer.content.decode()
    assert not Unwanted.objects.exists()


def test_whoever_guesses_is_slowed_down(ada: Customer) -> None:
    answers = [Client().get(f"/c/stop/{'A' * 42}{n % 10}/progress").status_code for n in range(32)]
    assert answers[0] == 404
    assert answers[-1] == 429
    assert Client().get(path(ada)).status_code == 429


def test_a_customer_who_is_gone_has_no_page(ada: Customer) -> None:
    Customer.objects.filter(pk=ada.pk).update(retired_at=ada.created_at)
    assert Client().get(path(ada)).status_code == 404


@given(st.uuids())
def test_a_token_is_43_characters_of_an_address_and_another_key_makes_another(customer_id: UUID) -> None:
    token = unsubscribing.token_of(customer_id)
    assert len(token) == 43
    assert base64.urlsafe_b64decode(token + "=")[:16] == customer_id.bytes


def test_another_key_of_the_shop_makes_other_tokens(settings: Settings, ada: Customer) -> None:
    token = unsubscribing.token_of(ada.id)
    assert unsubscribing.customer_of(token) == ada
    settings.SECRET_KEY = "another" * 8
    assert unsubscribing.customer_of(token) is None


@given(st.text(min_size=43, max_size=43))
def test_no_other_text_is_a_token(text: str) -> None:
    assert unsubscribing.customer_of(text) is None


def test_staff_see_and_change_the_choice(ada: Customer, helper: Actor, technician: Actor) -> None:
    actions.choose_messages(actor=helper, customer_id=ada.id, stop=["dates"])
    assert dict(queries.choices_of(ada)) == {Group.PROGRESS: False, Group.DATES: True, Group.REMINDERS: False}
    with pytest.raises(Refused) as refusal:
        actions.choose_messages(actor=technician, customer_id=ada.id, want=["dates"])
    assert refusal.value.code == "not_permitted"
