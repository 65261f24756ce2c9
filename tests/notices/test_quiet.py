"""Quiet hours: on the wall clock of the place, over midnight, and through the two days a year that are not 24 hours."""

from datetime import UTC, datetime, time, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from time_machine import Traveller

from shop.boards.models import DeviceModel
from shop.core.actor import SYSTEM
from shop.core.duework import due
from shop.core.models import ShopProfile
from shop.notices import actions, queries, steps
from shop.notices.models import Attempt, Envelope, Event
from shop.notices.quiet import is_quiet, quiet_until
from shop.people.models import Customer
from shop.units.models import Unit
from tests.conftest import NOW
from tests.notices.conftest import envelope_of, written_up
from tests.notices.mailserver import MailServer

NEW_YORK = "America/New_York"


def at(*when: int) -> datetime:
    return datetime(*when, tzinfo=UTC)  # type: ignore[misc, arg-type]


@pytest.mark.parametrize(
    ("moment", "begins", "ends", "until"),
    [
        # Over midnight in New York, in winter five hours behind.
        (at(2026, 1, 15, 2, 0), time(21), time(8), at(2026, 1, 15, 13, 0)),
        (at(2026, 1, 15, 13, 0), time(21), time(8), None),
        (at(2026, 1, 15, 12, 59, 59), time(21), time(8), at(2026, 1, 15, 13, 0)),
        (at(2026, 1, 15, 1, 59), time(21), time(8), None),
        # Within one day.
        (at(2026, 1, 15, 18, 0), time(12), time(14), at(2026, 1, 15, 19, 0)),
        # The night of 8 March 2026, when two o'clock becomes three: the morning comes an hour sooner.
        (at(2026, 3, 8, 4, 0), time(21), time(8), at(2026, 3, 8, 12, 0)),
        # Half past two does not come that night: the quiet is over when the clock jumps over it.
        (at(2026, 3, 8, 4, 0), time(21), time(2, 30), at(2026, 3, 8, 7, 0)),
        # The night of 1 November 2026, when two o'clock becomes one: the morning comes an hour later.
        (at(2026, 11, 1, 2, 0), time(21), time(8), at(2026, 11, 1, 13, 0)),
        # Half past one comes twice: it is quiet before each.
        (at(2026, 11, 1, 5, 10), time(21), time(1, 30), at(2026, 11, 1, 5, 30)),
        (at(2026, 11, 1, 5, 40), time(21), time(1, 30), None),
        (at(2026, 11, 1, 6, 10), time(21), time(1, 30), at(2026, 11, 1, 6, 30)),
        # Nothing is quiet without both ends, or when they are the same.
        (at(2026, 1, 15, 4, 0), None, time(8), None),
        (at(2026, 1, 15, 4, 0), time(21), None, None),
        (at(2026, 1, 15, 4, 0), time(8), time(8), None),
    ],
)
def test_it_is_quiet_until_the_wall_clock_says_so(
    moment: datetime, begins: time | None, ends: time | None, until: datetime | None
) -> None:
    assert quiet_until(moment, NEW_YORK, begins, ends) == until


@given(
    st.datetimes(min_value=datetime(2020, 1, 1), max_value=datetime(2030, 1, 1), timezones=st.just(UTC)),
    st.sampled_from([NEW_YORK, "UTC", "Asia/Kathmandu", "Australia/Lord_Howe", "Pacific/Apia", "Europe/Dublin"]),
    st.times().map(lambda t: t.replace(second=0, microsecond=0)),
    st.times().map(lambda t: t.replace(second=0, microsecond=0)),
)
def test_what_is_held_goes_at_the_first_minute_that_is_not_quiet(
    moment: datetime, zone: str, begins: time, ends: time
) -> None:
    until = quiet_until(moment, zone, begins, ends)
    if until is None:
        assert not is_quiet(moment, zone, begins, ends)
        return
    assert moment < until <= moment + timedelta(hours=25)
    assert not is_quiet(until, zone, begins, ends)
    assert is_quiet(until - timedelta(seconds=1), zone, begins, ends)
    between = range(0, int((until - moment).total_seconds()), 421)
    assert all(is_quiet(moment + timedelta(seconds=seconds), zone, begins, ends) for seconds in between)


@pytest.fixture
def night(shop: ShopProfile) -> ShopProfile:
    """Quiet from nine to eight. The tests' clock shows nine in UTC: five in the morning in New York."""
    ShopProfile.objects.update(quiet_from=time(21), quiet_until=time(8))
    return shop


MORNING = at(2026, 3, 10, 12, 0)


def send_due() -> list[Envelope]:
    """Do what the sweep and a worker do."""
    ids = list(due(Envelope).values_list("pk", flat=True))
    return [sent for pk in ids if (sent := actions.send_envelope(actor=SYSTEM, envelope_id=pk))]


def test_a_message_waits_for_the_morning_of_the_shop(
    night: ShopProfile, frozen: Traveller, mail: MailServer, unit: Unit
) -> None:
    envelope = envelope_of(steps.tell(event=Event.RECEIVED, unit=unit, key="k"))
    assert (envelope.due_at, envelope.held_until) == (MORNING, MORNING)
    assert not send_due()
    (held,) = queries.shown("held")
    assert (held.id, held.held_until) == (envelope.id, MORNING)
    assert not queries.shown("waiting")
    frozen.move_to(MORNING)
    assert [sent.state for sent in send_due()] == ["done"]
    assert mail.recipients == ["ada@post.example"]
    assert not queries.shown("held")


def test_a_customer_s_own_zone_counts(
    night: ShopProfile, frozen: Traveller, mail: MailServer, bao: Customer, lantern: DeviceModel
) -> None:
    """In Ho Chi Minh City it is four in the afternoon."""
    steps.tell(event=Event.RECEIVED, unit=written_up(bao, lantern), key="k")
    assert [sent.state for sent in send_due()] == ["done"]


@pytest.mark.parametrize("event", [Event.APPROVED, Event.DECLINED, Event.LINK_RENEWED])
def test_an_answer_to_what_the_customer_did_just_now_is_not_held(
    night: ShopProfile, frozen: Traveller, mail: MailServer, unit: Unit, event: Event
) -> None:
    steps.tell(event=event, unit=unit, key="k")
    assert [sent.state for sent in send_due()] == ["done"]


def test_a_link_that_the_counter_renewed_and_an_announcement_are_answers_too(
    night: ShopProfile, frozen: Traveller, mail: MailServer, unit: Unit
) -> None:
    steps.tell(event=Event.RECEIVED, unit=unit, key="k", facts={"renewed": True})
    steps.tell_address(event="announced", address="new@post.example", language="en", key="a", facts={"device": "Prism"})
    assert [sent.state for sent in send_due()] == ["done", "done"]


def test_an_answer_that_could_not_be_sent_for_an_hour_waits_like_the_rest(
    night: ShopProfile, frozen: Traveller, mail: MailServer, unit: Unit
) -> None:
    envelope = envelope_of(steps.tell(event=Event.APPROVED, unit=unit, key="k"))
    frozen.shift(timedelta(minutes=61))
    assert [sent.state for sent in send_due()] == ["due"]
    envelope.refresh_from_db()
    assert (envelope.due_at, envelope.held_until, envelope.attempts) == (MORNING, MORNING, 0)
    assert not Attempt.objects.exists()


def test_quiet_hours_that_began_before_a_worker_came_hold_it(
    shop: ShopProfile, frozen: Traveller, mail: MailServer, unit: Unit
) -> None:
    envelope = envelope_of(steps.tell(event=Event.RECEIVED, unit=unit, key="k"))
    assert envelope.held_until is None
    ShopProfile.objects.update(quiet_from=time(4), quiet_until=time(8))
    assert [sent.state for sent in send_due()] == ["due"]
    frozen.move_to(MORNING)
    (sent,) = send_due()
    assert (sent.state, sent.attempts, sent.held_until) == ("done", 1, None)


def test_what_happens_in_one_night_comes_as_one_message_in_the_morning(
    night: ShopProfile, frozen: Traveller, mail: MailServer, unit: Unit
) -> None:
    steps.tell(event=Event.RECEIVED, unit=unit, key="k")
    frozen.shift(timedelta(hours=1))
    steps.tell(event=Event.STARTED, unit=unit, key="k")
    assert Envelope.objects.get().due_at == MORNING
    frozen.move_to(MORNING)
    send_due()
    assert len(mail.messages) == 1


def test_a_retry_that_falls_into_the_night_waits(
    shop: ShopProfile, frozen: Traveller, mail: MailServer, unit: Unit
) -> None:
    envelope = envelope_of(steps.tell(event=Event.QUOTE_READY, unit=unit, key="k"))
    Envelope.objects.filter(pk=envelope.pk).update(attempts=2)
    ShopProfile.objects.update(quiet_from=time(21), quiet_until=time(8))
    send_due()
    envelope.refresh_from_db()
    assert (envelope.state, envelope.attempts, envelope.due_at) == ("due", 2, MORNING)
    assert NOW < MORNING
