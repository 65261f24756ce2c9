"""What every way of reaching people shares: a message, and how it can fail to be handed over."""

import unicodedata
from dataclasses import dataclass
from datetime import timedelta
from typing import Protocol

from shop.people.models import Customer


@dataclass(frozen=True, slots=True)
class Message:
    """What goes out: worded, addressed, and with the id that is the same at every try.

    short is its wording as a text message; stop the address where its reader can stop such messages, "" for one that
    the contract needs; reference what a gateway's reports name it by.
    """

    address: str
    subject: str
    text: str
    html: str
    message_id: str
    sender_name: str
    reply_to: str = ""
    short: str = ""
    stop: str = ""
    reference: str = ""


class PermanentFailure(Exception):
    """Trying again cannot help: the address does not exist, or the message was refused for good.

    address says that it is the address that does not work, whatever the message.
    """

    def __init__(self, words: str, *, address: bool = False) -> None:
        super().__init__(words)
        self.address = address


class TransientFailure(Exception):
    """It may work later: the server is away, busy or slow, or has to be set up again. after: not before so long."""

    def __init__(self, words: str, *, after: timedelta = timedelta()) -> None:
        super().__init__(words)
        self.after = after


class Channel(Protocol):
    """One way to reach people."""

    def ready(self) -> bool:
        """Tell whether the shop has set this channel up."""

    def address_of(self, customer: Customer) -> str:
        """Return where this channel reaches the customer, or "" when it cannot."""

    def send(self, message: Message) -> str:
        """Hand one message over. Returns the number that the other side gave it, or "".

        Raises PermanentFailure or TransientFailure.
        """


def one_line(text: str) -> str:
    """Return text on one line, so that nobody's name can begin a header of its own (ASVS 5.0, 1.3.11)."""
    return " ".join(printable(" ".join(text.split())).split())


def printable(text: str) -> str:
    """Return text without control characters other than line ends and tabs: no page may hold them."""
    return "".join(c for c in text if c in "\n\t" or unicodedata.category(c) not in ("Cc", "Cs"))
