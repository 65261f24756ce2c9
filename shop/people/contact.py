"""How people can be reached: what was typed, checked and brought into the form that is stored."""

from collections.abc import Callable
from typing import Any, TypedDict
from zoneinfo import available_timezones

import phonenumbers
from django.conf import settings
from django.core.exceptions import ValidationError
from django.core.validators import validate_email
from django.utils.translation import gettext as _

from shop.core import clock
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.core.text import choice, line, words
from shop.people.models import Customer


class CustomerFields(TypedDict, total=False):
    """What can be said about a customer. Only what is given counts."""

    name: str
    email: str
    phone: str
    channel: str
    language: str
    time_zone: str
    postal_address: str
    notice_consent: bool


def apply(customer: Customer, fields: CustomerFields) -> list[str]:
    """Put checked fields on a customer, unsaved, and return the columns that differ now.

    Raises Refused: `blank`, `too_long`, `hidden_character`, `not_a_choice`, `email_malformed`, `phone_unreadable`,
    `phone_impossible`, `phone_extension`, `not_a_time_zone`, `unreachable`. Raises KeyError for a field that
    customers do not have.
    """
    columns: dict[str, Any] = {field: _READERS[field](given) for field, given in fields.items() if field != _CONSENT}
    if _CONSENT in fields:
        agreed_at = customer.notice_consent_at or clock.now()
        columns["notice_consent_at"] = agreed_at if fields["notice_consent"] else None
    changed = [column for column, value in columns.items() if getattr(customer, column) != value]
    for column in changed:
        setattr(customer, column, columns[column])
    if not (customer.email or customer.phone or customer.postal_address):
        raise Refused(Reason("unreachable", {}, "email"))
    return changed


def checked_email(typed: str) -> str:
    """Return an e-mail address in lower case, as it is compared.

    Raises Refused: `email_malformed`, `blank`, `too_long`, `hidden_character`.
    """
    address = line(typed, label=_("E-mail address"), field="email", limit=254).lower()
    try:
        validate_email(address)
    except ValidationError:
        raise Refused(Reason("email_malformed", {"given": address[:80]}, "email")) from None
    return address


def checked_phone(typed: str) -> str:
    """Return a phone number in E.164, read as one of the shop's region when it has no country code.

    The number must be one that a network can have given out (possible and valid by the library's numbering plans).
    Raises Refused: `phone_unreadable`, `phone_impossible`, `phone_extension`, `blank`, `too_long`, `hidden_character`.
    """
    number = line(typed, label=_("Phone number"), field="phone", limit=40)
    try:
        parsed = phonenumbers.parse(number, profile().phone_region)
    except phonenumbers.NumberParseException:
        raise Refused(Reason("phone_unreadable", {"given": number}, "phone")) from None
    if parsed.extension:
        raise Refused(Reason("phone_extension", {"given": number}, "phone"))
    if not (phonenumbers.is_possible_number(parsed) and phonenumbers.is_valid_number(parsed)):
        raise Refused(Reason("phone_impossible", {"given": number}, "phone"))
    return str(phonenumbers.format_number(parsed, phonenumbers.PhoneNumberFormat.E164))


def _read_name(typed: str) -> str:
    return line(typed, label=_("Name"), field="name", limit=120)


def email_or_nothing(typed: str) -> str:
    """Return the checked e-mail address, or nothing when nothing was typed."""
    return checked_email(typed) if typed.strip() else ""


def phone_or_nothing(typed: str) -> str:
    """Return the checked phone number, or nothing when nothing was typed."""
    return checked_phone(typed) if typed.strip() else ""


def _read_channel(typed: str) -> str:
    return choice(typed, Customer.Channel.values, label=_("Way of hearing from the shop"), field="channel")


def _read_language(typed: str) -> str:
    return choice(typed, [code for code, _name in settings.LANGUAGES], label=_("Language"), field="language")


def _read_time_zone(typed: str) -> str:
    if typed and typed not in available_timezones():
        raise Refused(Reason("not_a_time_zone", {"given": typed[:40]}, "time_zone"))
    return typed


def _read_postal_address(typed: str) -> str:
    return words(typed, label=_("Postal address"), field="postal_address", limit=500, required=False)


_CONSENT = "notice_consent"
_READERS: dict[str, Callable[[Any], str]] = {
    "name": _read_name,
    "email": email_or_nothing,
    "phone": phone_or_nothing,
    "channel": _read_channel,
    "language": _read_language,
    "time_zone": _read_time_zone,
    "postal_address": _read_postal_address,
}
