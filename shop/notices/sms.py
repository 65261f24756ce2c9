"""Text messages through a gateway that speaks HTTP: one POST for each message, as the settings say.

What an answer means is read from its status (RFC 9110, 15): 2xx took it; 408, 425, 429 and 5xx may be tried again, not
before Retry-After says (10.2.3); any other is final. Redirects are not followed: the token would go along.
"""

import http.client
import json
import re
import socket
import threading
from contextlib import suppress
from datetime import timedelta
from email.utils import parsedate_to_datetime
from urllib.parse import urlencode, urlsplit

from django.conf import settings

from shop.core import clock
from shop.notices.delivery import Message, PermanentFailure, TransientFailure
from shop.people.models import Customer

_E164 = re.compile(r"\+[1-9][0-9]{5,14}")
_FOR_NOW = frozenset({408, 425, 429})
_ANSWER_BYTES = 64 * 1024
_WORDS = 200
_LONGEST_WAIT = timedelta(days=1)


class SmsChannel:
    """Text messages by an HTTP gateway."""

    def ready(self) -> bool:
        """Tell whether a gateway is set up."""
        return bool(settings.SMS_URL)

    def address_of(self, customer: Customer) -> str:
        """Return the customer's phone number, or ""."""
        return customer.phone

    def send(self, message: Message) -> str:
        """Hand a message to the gateway, and return the number that it gave it, or "".

        Raises PermanentFailure or TransientFailure with the gateway's own words.
        """
        if not _E164.fullmatch(message.address):
            raise PermanentFailure(f"{message.address!r} is not a phone number", address=True)
        if not self.ready():
            raise TransientFailure("No gateway for text messages is set up")
        try:
            status, headers, content = _post(*_written(message))
        except (OSError, http.client.HTTPException) as error:
            words = f"The gateway for text messages cannot be used: {error or type(error).__name__}"
            raise TransientFailure(words) from error
        if 200 <= status <= 299:
            return _number(content)
        words = f"The gateway answered {status} {content.decode('utf-8', 'replace')[:_WORDS].strip()}"
        if status in _FOR_NOW or status >= 500:
            raise TransientFailure(words, after=_wait(headers.get("Retry-After", "")))
        raise PermanentFailure(words)


def _written(message: Message) -> tuple[bytes, str]:
    """Return the body to post, and its media type."""
    said = {
        "to": message.address,
        "text": message.short,
        "sender": settings.SMS_SENDER,
        "reference": message.reference,
    }
    body = {theirs: said[ours] for ours, theirs in settings.SMS_FIELDS.items() if said[ours]}
    if settings.SMS_FORM == "form":
        return urlencode(body).encode(), "application/x-www-form-urlencoded"
    return json.dumps(body).encode(), "application/json"


def _post(body: bytes, media_type: str) -> tuple[int, http.client.HTTPMessage, bytes]:
    """Post a body to the gateway, and return status, headers and the beginning of the answer.

    Raises OSError or HTTPException.
    """
    parts = urlsplit(settings.SMS_URL)
    kind = http.client.HTTPSConnection if parts.scheme == "https" else http.client.HTTPConnection
    connection = kind(parts.hostname or "", parts.port, timeout=settings.SMS_TIMEOUT)
    connection.connect()
    hang_up = threading.Timer(settings.SMS_DEADLINE, _hang_up, [connection.sock])
    hang_up.start()
    try:
        path = (parts.path or "/") + (f"?{parts.query}" if parts.query else "")
        connection.request("POST", path, body, {"Content-Type": media_type, "Accept": "*/*"} | settings.SMS_HEADER)
        answer = connection.getresponse()
        return answer.status, answer.headers, answer.read(_ANSWER_BYTES)
    finally:
        hang_up.cancel()
        connection.close()


def _hang_up(line: socket.socket) -> None:
    with suppress(OSError):  # it was closed this very moment
        line.shutdown(socket.SHUT_RDWR)


def _number(content: bytes) -> str:
    """Return the gateway's own number of a message, where its answer is JSON that names one."""
    try:
        said = json.loads(content)
    except (ValueError, RecursionError):
        return ""
    found = said.get(settings.SMS_NUMBER) if isinstance(said, dict) else None
    return str(found)[:120] if isinstance(found, str | int) else ""


def _wait(said: str) -> timedelta:
    """Read Retry-After, seconds or a date (RFC 9110, 10.2.3); nothing readable is no wait."""
    if said.isascii() and said.isdigit() and len(said) < 9:
        return min(timedelta(seconds=int(said)), _LONGEST_WAIT)
    try:
        later = parsedate_to_datetime(said) - clock.now()
    except (TypeError, ValueError):
        return timedelta()
    return max(timedelta(), min(later, _LONGEST_WAIT))
