"""Ways to reach people: by e-mail here, by text message in `sms`. Another is a class and a line in CHANNELS."""

import smtplib
from collections.abc import Mapping
from email.charset import QP, Charset
from email.utils import formataddr, parseaddr

from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.mail import BadHeaderError, EmailMultiAlternatives
from django.core.validators import validate_email

from shop.notices.delivery import Channel, Message, PermanentFailure, TransientFailure, one_line
from shop.notices.sms import SmsChannel
from shop.people.models import Customer

__all__ = ["CHANNELS", "EMAIL", "SMS", "Channel", "Message", "PermanentFailure", "TransientFailure", "one_line"]

# Letters beyond ASCII as quoted-printable: every mail server takes that, and lines stay short (RFC 2045, 6.7).
_UTF8 = Charset("utf-8")
_UTF8.body_encoding = QP


class EmailChannel:
    """E-mail through Django's mail settings: one message with a text part and an HTML part."""

    def ready(self) -> bool:
        """Return True: without a mail server messages are written to files."""
        return True

    def address_of(self, customer: Customer) -> str:
        """Return the customer's e-mail address, or ""."""
        return customer.email

    def send(self, message: Message) -> str:
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
            raise _failure(code, words, address=True) from refusal
        except (smtplib.SMTPDataError, smtplib.SMTPSenderRefused) as refusal:
            raise _failure(refusal.smtp_code, refusal.smtp_error) from refusal
        except OSError as error:
            # Every other SMTP trouble is an OSError too: no connection, a wrong password, the server hung up.
            raise TransientFailure(f"The mail server cannot be used: {error or type(error).__name__}") from error
        return ""


def _failure(code: int, words: bytes | str, *, address: bool = False) -> PermanentFailure | TransientFailure:
    """Read an SMTP reply (RFC 5321, 4.2.1): 5xx is final, anything else may be tried again."""
    said = words.decode("utf-8", "replace") if isinstance(words, bytes) else words
    said = f"The mail server answered {code} {said}"
    return PermanentFailure(said, address=address) if 500 <= code <= 599 else TransientFailure(said)


def _compose(message: Message) -> EmailMultiAlternatives:
    mailbox = parseaddr(settings.DEFAULT_FROM_EMAIL)[1]
    # RFC 3834: holiday notes and other robots must not answer.
    headers = {"Message-ID": message.message_id, "Auto-Submitted": "auto-generated"}
    if message.stop:
        headers["List-Unsubscribe"] = f"<{message.stop}>"  # RFC 2369, 3.2
        if message.stop.startswith("https:"):  # RFC 8058, 3.1 asks for HTTPS
            headers["List-Unsubscribe-Post"] = "List-Unsubscribe=One-Click"
    mail = EmailMultiAlternatives(
        subject=one_line(message.subject),
        body=message.text,
        from_email=formataddr((one_line(message.sender_name), mailbox)),
        to=[message.address],
        reply_to=[message.reply_to] if message.reply_to else None,
        headers=headers,
    )
    mail.encoding = _UTF8
    mail.attach_alternative(message.html, "text/html")
    return mail


EMAIL, SMS = Customer.Channel.EMAIL.value, Customer.Channel.SMS.value
CHANNELS: Mapping[str, Channel] = {EMAIL: EmailChannel(), SMS: SmsChannel()}
