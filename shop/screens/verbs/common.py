"""Reading posted fields, shared by the verbs."""

from collections.abc import Callable
from datetime import date
from decimal import Decimal, InvalidOperation
from typing import BinaryIO, cast
from uuid import UUID

from django.core.files.uploadedfile import UploadedFile
from django.http import QueryDict
from django.utils.datastructures import MultiValueDict

from shop.core import money
from shop.core.actor import Actor
from shop.core.photos import add_photo
from shop.core.profile import profile
from shop.core.reasons import Reason, Refused
from shop.screens.http import given_uuid
from shop.units.models import Unit

Files = MultiValueDict[str, UploadedFile]
Verb = Callable[[Actor, Unit, QueryDict, Files], str | None]


def given_money(post: QueryDict, name: str, label: str) -> int:
    """Return a typed amount in minor units; an empty field is nothing."""
    shop = profile()
    typed = post.get(name, "").strip()
    return money.read(typed, shop.currency, label=label, field=name, locale=shop.locale) if typed else 0


def given_number(post: QueryDict, name: str, label: str) -> int:
    """Return a typed whole number. Raises Refused with `not_a_number`."""
    typed = post.get(name, "").strip()
    if not (typed.isascii() and typed.isdigit() and len(typed) < 7):
        raise Refused(Reason("not_a_number", {"label": label, "given": typed[:40] or "–"}, name))
    return int(typed)


def given_figure(post: QueryDict, name: str, label: str) -> Decimal | None:
    """Return a typed measurement, comma or point, or None when the field is empty. Raises Refused `not_a_number`."""
    typed = post.get(name, "").strip()
    if not typed:
        return None
    try:
        return Decimal(typed.replace(",", "."))
    except InvalidOperation:
        raise Refused(Reason("not_a_number", {"label": label, "given": typed[:40]}, name)) from None


def given_length(post: QueryDict, name: str, label: str) -> float | None:
    """Return a typed length in millimetres, or None when the field is empty. Raises Refused with `not_a_number`."""
    figure = given_figure(post, name, label)
    if figure is not None and not figure.is_finite():
        raise Refused(Reason("not_a_number", {"label": label, "given": str(figure)}, name))
    return None if figure is None else float(figure)


def given_list(post: QueryDict, name: str) -> list[str]:
    """Return words typed with commas between."""
    return [word.strip() for word in post.get(name, "").split(",") if word.strip()]


def given_day(post: QueryDict, name: str, label: str) -> date | None:
    """Return a typed day, or None when the field is empty. Raises Refused with `not_a_number`."""
    typed = post.get(name, "").strip()
    if not typed:
        return None
    try:
        return date.fromisoformat(typed)
    except ValueError:
        raise Refused(Reason("not_a_number", {"label": label, "given": typed[:40]}, name)) from None


def needed_uuid(post: QueryDict, name: str, label: str) -> UUID:
    """Return a posted id. Raises Refused with `blank` when there is none."""
    found = given_uuid(post, name)
    if found is None:
        raise Refused(Reason("blank", {"label": label}, name))
    return found


def sent_photo(actor: Actor, files: Files, name: str = "photo") -> UUID | None:
    """Store the picture that came with a form and return its id, or None when none came."""
    upload = files.get(name)
    return add_photo(actor=actor, upload=cast(BinaryIO, upload.file)).id if upload and upload.file else None
