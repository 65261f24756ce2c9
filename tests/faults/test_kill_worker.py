"""A worker is killed with SIGKILL in mid-sending, as a program of its own, and the sweep picks up what it left.

The moment is set by the mail server: it holds back its answer, so that the worker is certain to be just there.
"""

import os
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import timedelta
from urllib.parse import quote

import pytest
import time_machine
from django.conf import settings as django_settings
from django.db import connection
from pytest_django import Settings

from shop.boards.models import DeviceModel
from shop.core import clock
from shop.core.duework import due
from shop.notices import actions, queries, steps, tasks
from shop.notices.models import Envelope, Event
from shop.people.models import Customer
from tests.notices import bell
from tests.notices.conftest import envelope_of, written_up
from tests.notices.mailserver import MailServer, Mode, mail_server_of_the_shop

pytestmark = pytest.mark.django_db(transaction=True)
_SEND = "import sys, django; django.setup(); from shop.notices.tasks import send; send(sys.argv[1])"


@pytest.fixture
def mail(settings: Settings) -> Iterator[MailServer]:
    """The mail server that the shop uses."""
    with mail_server_of_the_shop(settings) as server:
        yield server


@pytest.fixture
def envelope(ada: Customer, lantern: DeviceModel) -> Envelope:
    """A notice to Ada that no worker has heard of."""
    unit = written_up(ada, lantern)
    with bell.broker(bell.IN_MEMORY):
        return envelope_of(steps.tell(event=Event.QUOTE_READY, unit=unit, key="version 1"))


def _database_url() -> str:
    """Return the address of the tests' own database, for a program that is not in the tests."""
    known = connection.settings_dict
    if connection.vendor == "sqlite":
        return f"sqlite:///{known['NAME']}"
    who = ":".join(quote(known[part], safe="") for part in ("USER", "PASSWORD"))
    return f"postgres://{who}@{quote(known['HOST'], safe='')}:{known['PORT']}/{known['NAME']}"


@contextmanager
def sender(envelope: Envelope, mail: MailServer) -> Iterator["subprocess.Popen[bytes]"]:
    """Run a program that sends one envelope; whatever happens, it is gone afterwards."""
    environment = os.environ | {
        "DJANGO_SETTINGS_MODULE": "shop.settings",
        "WICKLINE_DATABASE_URL": _database_url(),
        "WICKLINE_EMAIL_URL": f"smtp://127.0.0.1:{mail.port}",
    }
    command = [sys.executable, "-c", _SEND, str(envelope.id)]
    with subprocess.Popen(command, cwd=django_settings.BASE_DIR, env=environment) as program:
        try:
            yield program
        finally:
            program.kill()


def _sweep_until_sent(envelope: Envelope) -> None:
    """Let the lease run out, sweep once, and wait for what a worker makes of the ring."""
    with time_machine.travel(clock.now() + actions.LEASE + timedelta(seconds=1), tick=True), bell.worker():
        tasks.sweep()
        bell.wait_until(lambda: Envelope.objects.get(pk=envelope.pk).state == "done")


def test_it_sends_once_after_a_worker_was_killed_between_claim_and_sending(
    mail: MailServer, envelope: Envelope
) -> None:
    mail.mode = Mode.HOLD_BEFORE
    with sender(envelope, mail) as program:
        assert mail.visited.wait(15)
        program.kill()
    assert Envelope.objects.get(pk=envelope.pk).state == "claimed"
    assert not due(Envelope).exists()
    assert not mail.messages
    mail.mode = Mode.ACCEPT
    _sweep_until_sent(envelope)
    assert mail.message_ids == {envelope.message_id: 1}


def test_a_message_taken_before_the_kill_comes_twice_at_most_and_under_one_id(
    mail: MailServer, envelope: Envelope
) -> None:
    mail.mode = Mode.HOLD_AFTER
    with sender(envelope, mail) as program:
        assert mail.taken.wait(15)
        program.kill()
    assert Envelope.objects.get(pk=envelope.pk).state == "claimed"
    mail.mode = Mode.ACCEPT
    _sweep_until_sent(envelope)
    assert mail.message_ids == {envelope.message_id: 2}
    assert queries.interrupted_count() == 1
    assert Envelope.objects.get(pk=envelope.pk).attempts == 2


def test_a_program_that_is_left_alone_sends_once(mail: MailServer, envelope: Envelope) -> None:
    with sender(envelope, mail) as program:
        assert program.wait(15) == 0
    assert Envelope.objects.get(pk=envelope.pk).state == "done"
    assert not due(Envelope).exists()
    assert mail.message_ids == {envelope.message_id: 1}
