"""The shop's one profile row."""

from collections.abc import Iterator
from contextlib import contextmanager
from contextvars import ContextVar
from dataclasses import dataclass
from typing import Any
from uuid import UUID
from zoneinfo import available_timezones

from babel import Locale, UnknownLocaleError
from babel.numbers import list_currencies
from django.core.exceptions import ValidationError
from django.db import transaction
from django.utils.translation import gettext_lazy as _
from phonenumbers import SUPPORTED_REGIONS

from shop.core import duework, trail
from shop.core.actor import Actor, permit
from shop.core.locks import lock, save
from shop.core.models import ShopProfile
from shop.core.money import LARGEST_MINOR
from shop.core.reasons import Reason, Refused
from shop.core.text import whole

FIELDS = frozenset(field.name for field in ShopProfile._meta.fields) - {"only", "version"}
_ID = UUID(int=1)
# What a plan is made from.
_PLANNED_BY = ("time_zone", "minutes_per_day", "promise_percent", "holidays_of")


@dataclass(frozen=True, slots=True)
class _History:
    """The profile as a subject of the trail: its row has no id of its own, being the only one."""

    trail_kind: str = "profile"
    id: UUID = _ID


HISTORY = _History()


# While one request is answered the profile is read once: `one_reading` puts an empty list here.
_READ: ContextVar[list[ShopProfile] | None] = ContextVar("profile", default=None)


@contextmanager
def one_reading() -> Iterator[None]:
    """Read the profile at most once inside the block; a change made inside is seen by the next `profile()`."""
    token = _READ.set([])
    try:
        yield
    finally:
        _READ.reset(token)


def profile() -> ShopProfile:
    """Return the shop's profile, made with defaults at the first call."""
    kept = _READ.get()
    if kept:
        return kept[0]
    found, _made = ShopProfile.objects.get_or_create(only=1, defaults={"name": "My workshop"})
    if kept is not None:
        kept.append(found)
    return found


def change_profile(*, actor: Actor, version: int | None = None, **changes: Any) -> ShopProfile:
    """Change named fields of the profile (see `FIELDS`). Owner only.

    Raises Stale for an old version, Refused with `not_a_time_zone`, `out_of_range` or `not_accepted` for a value that
    cannot be, and ValueError for a field that the profile does not have.
    """
    permit(actor, "core.change_profile")
    if unknown := set(changes) - FIELDS:
        raise ValueError(f"no such field of the profile: {sorted(unknown)}")
    profile()
    with transaction.atomic():
        row = lock(ShopProfile, only=1, version=version)
        before = [getattr(row, name) for name in _PLANNED_BY]
        for name, value in changes.items():
            setattr(row, name, value)
        _check(row)
        save(row, *changes)
        trail.write(HISTORY, actor, "profile_changed", facts={"fields": sorted(changes)})
        if before != [getattr(row, name) for name in _PLANNED_BY]:
            duework.plan_anew()
    if kept := _READ.get():
        kept.clear()
    return row


def _check(row: ShopProfile) -> None:
    """Refuse what would only break later, when money, a date or a phone number is written with it.

    A figure that is no whole number is left to the model's own check.
    """
    if row.time_zone not in available_timezones():
        raise Refused(Reason("not_a_time_zone", {"given": str(row.time_zone)[:40]}, "time_zone"))
    for name, (low, high) in _RANGES.items():
        if isinstance(figure := getattr(row, name), int):
            whole(figure, low=low, high=high, label=name, field=name)
    wrong = {name: [str(why)] for name, (right, why) in _KNOWN_ELSEWHERE.items() if not right(str(getattr(row, name)))}
    try:
        row.full_clean()
    except ValidationError as error:
        wrong |= error.message_dict
    if wrong:
        raise Refused(
            *(Reason("not_accepted", {"label": name, "why": " ".join(whys)}, name) for name, whys in wrong.items())
        )


def _is_locale(given: str) -> bool:
    try:
        return bool(Locale.parse(given.replace("-", "_")))
    except (UnknownLocaleError, ValueError):
        return False


_RANGES = {
    "quote_days": (1, 365),
    "reminder_days": (1, 365),
    "warranty_days": (0, 3650),
    "minutes_per_day": (1, 1440),
    "tax_rate_millipercent": (0, 100_000),
    "tax_reduced_millipercent": (0, 100_000),
    "labour_rate_minor": (0, LARGEST_MINOR),
    "labour_step_minutes": (1, 240),
    "urgency_millipercent": (0, 1_000_000),
    "insurance_millipercent": (0, 100_000),
    "insurance_least_minor": (0, LARGEST_MINOR),
    "deposit_percent": (0, 100),
    "deposit_from_minor": (0, LARGEST_MINOR),
    "digest_minutes": (0, 240),
    "promise_percent": (50, 99),
    "diagnosis_fee_minor": (0, LARGEST_MINOR),
}
_KNOWN_ELSEWHERE = {
    "payment_link": (
        lambda given: not given or given.startswith("https://"),
        _("write an address that begins with https://"),
    ),
    "currency": (lambda given: given in list_currencies(), _("no such currency, write one like USD.")),
    "locale": (_is_locale, _("no such language and country, write one like en-US.")),
    "phone_region": (lambda given: given in SUPPORTED_REGIONS, _("no such country, write one like US.")),
}
