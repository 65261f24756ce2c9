"""Ways to reach people. E-mail is the first; another is a class with the same two methods and a line in CHANNELS."""

import smtplib
from collections.abc import Mapping
from dataclasses import dataclass
from email.utils import formataddr, parseaddr
from typing import Protocol

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import BadHeaderError, EmailMultiAlternatives
from django.core.validators import validate_email

from shop.people.models import Customer


@dataclass(frozen=True, slots=True)
class Message:
    """What goes out: worded, addressed, and with the id that is the same at every try."""

    address: str
    subject: str
    text: str
    html: str
    message_id: str
    sender_name: str
    reply_to: str = ""


class PermanentFailure(Exception):
    """Trying again cannot help: the address does not exist, or the message was refused for good."""


class TransientFailure(Exception):
    """It may work later: the server is away, busy or slow, or has to be set up again."""


class Channel(Protocol):
    """One way to reach people."""

    def address_of(self, customer: Customer) -> str:
        """Return where this channel reaches the customer, or "" when it cannot."""

    def send(self, message: Message) -> None:
        """Hand one message over. Raises PermanentFailure or TransientFailure."""


class EmailChannel:
    """E-mail through Django's mail settings: one message with a text part and an HTML part."""

    def address_of(self, customer: Customer) -> str:
        """Return the customer's e-mail address, or ""."""
        return customer.email

    def send(self, message: Message) -> None:
        """Send by SMTP. Raises PermanentFailure or TransientFailure with the server's own words."""
        try:
            validate_email(message.address)
            _compose(message).send()
        except ValidationError:
            raise PermanentFailure(f"{message.address!r} is not an e-mail address") from None
        except (BadHeaderError, UnicodeError) as error:
            raise PermanentFailure(f"The message cannot be written as e-mail: {error}") from error
        except smtplib.SMTPRecipientsRefused as refusal:
            code, words = next(iter(refusal.recipients.values()))
            raise _failure(code, words) from refusal
        except (smtplib.SMTPDataError, smtplib.SMTPSenderRefused) as refusal:
            raise _failure(refusal.smtp_code, refusal.smtp_error) from refusal
        except OSError as error:
            # Every other SMTP trouble is an OSError too: no connection, a wrong password, the server hung up.
            raise TransientFailure(f"The mail server cannot be used: {error or type(error).__name__}") from error


def _failure(code: int, words: bytes | str) -> PermanentFailure | TransientFailure:
    """Read an SMTP reply (RFC 5321, 4.2.1): 5xx is final, anything else may be tried again."""
    said = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
    kind = PermanentFailure if 500 <= code <= 599 else TransientFailure
    return kind(f"The mail server answered {code} {said}")


def one_line(text: str) -> str:
    """Return text on one line, so that nobody's name can begin a header of its own (ASVS 5.0, 1.3.11)."""
    return " ".join(text.split())


def _compose(message: Message) -> EmailMultiAlternatives:
    mailbox = parseaddr(settings.DEFAULT_FROM_EMAIL)[1]
    mail = EmailMultiAlternatives(
        subject=one_line(message.subject),
        body=message.text,
        from_email=formataddr((one_line(message.sender_name), mailbox)),
        to=[message.address],
        reply_to=[message.reply_to] if message.reply_to else None,
        # RFC 3834: holiday notes and other robots must not answer.
        headers={"Message-ID": message.message_id, "Auto-Submitted": "auto-generated"},
    )
    mail.attach_alternative(message.html, "text/html")
    return mail


EMAIL = Customer.Channel.EMAIL.value
CHANNELS: Mapping[str, Channel] = {EMAIL: EmailChannel()}
