"""Reading a report of delivery: the machine-readable message that a mail server sends about a message of ours.

Sources: RFC 3464 (message/delivery-status: 2.3.3 Action, 2.3.4 Status), RFC 3463 (status codes), RFC 6522
(multipart/report: the third part holds the message that came back, or its headers). Pure: no Django, no tables.
"""

import email
import re
from dataclasses import dataclass
from email.message import EmailMessage, Message
from email.policy import default
from typing import Any

from shop.core.reasons import Reason, Refused

LIMIT_BYTES = 1024 * 1024
_STATUS = re.compile(r"\s*([245])\.(\d{1,3})\.(\d{1,3})")
_ID = re.compile(r"<[^<>\s@]{1,100}@[^<>\s@]{1,100}>")
# RFC 3463, 3.1 to 3.3: 1 is about the address, 2 about the mailbox; 0 says nothing nearer. The others are about the
# mail system, the network, the protocol, the content or security: another message may well arrive.
_OF_THE_ADDRESS = frozenset({"0", "1", "2"})
# RFC 3464, 2.3.3. Relayed and expanded: it went on to where no more reports come from.
_ACTIONS = {"failed": "bounced", "delayed": "delayed", "delivered": "delivered", "relayed": "", "expanded": ""}
_GRAVEST_FIRST = ("bounced", "delayed", "delivered", "")
_WORDS = 300


@dataclass(frozen=True, slots=True)
class Returned:
    """What a report says: of which message, what became of it (bounced, delayed, delivered or ""), and in which words.

    final: the address itself does not work, not only this message or for now. recipients: the addresses that the
    report names, in lower case.
    """

    message_id: str
    delivery: str
    final: bool
    words: str
    recipients: frozenset[str]


def read_report(raw: bytes) -> Returned:
    """Read one report of delivery; of several recipients the worst counts. Raises Refused: `bounce_unreadable`."""
    message: Any = email.message_from_bytes(raw[:LIMIT_BYTES], policy=default)
    fields = _recipients(message)
    found = message_ids(message)
    if not fields or not found:
        raise Refused(Reason("bounce_unreadable"))
    named = (_header(each, name) for each in fields for name in ("Original-Recipient", "Final-Recipient"))
    recipients = frozenset(text.rpartition(";")[2].strip(" <>").lower() for text in named if text)
    worst = min((_outcome(each) for each in fields), key=lambda seen: _GRAVEST_FIRST.index(seen[0]))
    return Returned(found[0], *worst, recipients)


def message_ids(message: EmailMessage) -> list[str]:
    """Return the Message-IDs that a report is about: first of what came back, then of what the report answers."""
    named = [_header(part, "Message-ID") for part in _came_back(message)]
    named += [_header(message, name) for name in ("In-Reply-To", "References")]
    return [found for text in named for found in _ID.findall(text)]


def _recipients(message: EmailMessage) -> list["Message[str, str]"]:
    """Return the fields about each recipient: the groups after the first, which is about the message."""
    found: list[Message[str, str]] = []
    for part in message.walk():
        if part.get_content_type() == "message/delivery-status" and part.is_multipart():
            groups: Any = part.get_payload()
            found += [group for group in groups if group.get("Action")]
    return found


def _came_back(message: EmailMessage) -> list[Any]:
    """Return the messages within a report, whole or as headers alone."""
    found: list[Any] = []
    for part in message.walk():
        kind, payload = part.get_content_type(), part.get_payload()
        if kind == "message/rfc822" and isinstance(payload, list):
            found += payload
        elif kind == "text/rfc822-headers":
            body: Any = part.get_payload(decode=True)
            found.append(email.message_from_bytes(body or b"", policy=default))
    return found


def _outcome(fields: "Message[str, str]") -> tuple[str, bool, str]:
    action = _header(fields, "Action").strip().lower()
    status = _STATUS.match(_header(fields, "Status"))
    delivery = _ACTIONS.get(action, "")
    final = bool(delivery == "bounced" and status and status[1] == "5" and status[2] in _OF_THE_ADDRESS)
    said = _header(fields, "Diagnostic-Code") or _header(fields, "Status")
    return delivery, final, " ".join(f"{action}: {said}".split())[:_WORDS]


def _header(message: Any, name: str) -> str:
    """Return a header's text, "" for one that is not there or that the library cannot read."""
    try:
        return str(message.get(name) or "")
    except (ValueError, IndexError, AttributeError, TypeError):
        return ""
