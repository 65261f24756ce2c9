"""A mail server on loopback that can be told to refuse, hang up or hold back its answer, and that counts."""

import asyncio
import email
import threading
from collections import Counter
from collections.abc import Iterator
from contextlib import contextmanager
from email.message import EmailMessage
from email.policy import default
from enum import StrEnum
from types import TracebackType
from typing import Any, Self

from aiosmtpd.controller import Controller
from aiosmtpd.smtp import SMTP, Envelope, Session
from pytest_django import Settings


class Mode(StrEnum):
    """How the server treats whoever comes."""

    ACCEPT = "accept"
    REFUSE_FOR_GOOD = "refuse for good"
    REFUSE_FOR_NOW = "refuse for now"
    HANG_UP = "hang up"
    HOLD_BEFORE = "hold before the message"  # greets, then never answers: the message stays with the sender
    HOLD_AFTER = "hold after the message"  # takes the message, then never says so


class _Handler:
    def __init__(self, server: "MailServer") -> None:
        self.server = server

    async def handle_EHLO(
        self, smtp: SMTP, session: Session, envelope: Envelope, hostname: str, responses: list[str]
    ) -> list[str]:
        session.host_name = hostname
        self.server.visited.set()
        if self.server.mode is Mode.HOLD_BEFORE:
            await asyncio.sleep(60)
        return responses

    async def handle_RCPT(
        self, smtp: SMTP, session: Session, envelope: Envelope, address: str, options: list[str]
    ) -> str:
        match self.server.mode:
            case Mode.REFUSE_FOR_GOOD:
                return "550 no such mailbox here"
            case Mode.REFUSE_FOR_NOW:
                return "451 too busy, come back later"
            case Mode.HANG_UP:
                assert isinstance(smtp.transport, asyncio.Transport)
                smtp.transport.abort()
        envelope.rcpt_tos.append(address)
        return "250 OK"

    async def handle_DATA(self, smtp: SMTP, session: Session, envelope: Envelope) -> str:
        self.server.keep(envelope)
        if self.server.mode is Mode.HOLD_AFTER:
            await asyncio.sleep(60)
        return "250 taken"


class _OnAnyPort(Controller):
    """Takes whatever port is free, and looks up which before it tries it out."""

    def _trigger_server(self) -> None:
        self.port = self.server.sockets[0].getsockname()[1]  # type: ignore[union-attr]
        super()._trigger_server()


class MailServer:
    """Listens on a free port of 127.0.0.1 while entered. Set `mode` at any time."""

    def __init__(self) -> None:
        self.mode = Mode.ACCEPT
        self.messages: list[EmailMessage] = []
        self.recipients: list[str] = []
        self.visited = threading.Event()
        self.taken = threading.Event()
        self._controller = _OnAnyPort(_Handler(self), hostname="127.0.0.1", port=0)

    def keep(self, envelope: Envelope) -> None:
        content = envelope.content
        assert isinstance(content, bytes)
        message: Any = email.message_from_bytes(content, policy=default)
        self.messages.append(message)
        self.recipients += envelope.rcpt_tos
        self.taken.set()

    @property
    def port(self) -> int:
        return int(self._controller.port)

    @property
    def message_ids(self) -> Counter[str]:
        """How often each Message-ID was taken."""
        return Counter(str(message["Message-ID"]) for message in self.messages)

    def __enter__(self) -> Self:
        self._controller.start()
        return self

    def __exit__(self, kind: type | None, error: BaseException | None, trace: TracebackType | None) -> None:
        self._controller.stop()


@contextmanager
def mail_server_of_the_shop(settings: Settings) -> Iterator[MailServer]:
    """Run one for the length of a with block, and let the shop send by it."""
    with MailServer() as server:
        settings.EMAIL_BACKEND = "django.core.mail.backends.smtp.EmailBackend"
        settings.EMAIL_HOST, settings.EMAIL_PORT = "127.0.0.1", server.port
        settings.EMAIL_TIMEOUT = 5
        yield server
