"""How rows are locked, and in which order.

PostgreSQL locks the row; SQLite has no row locks, but every transaction here begins IMMEDIATE and so holds the one
write lock. Order across tables, to rule out a deadlock: Unit, then what hangs on a unit (Hold, Bag, Quote, Visit,
Invoice), then Place, then Lot, then Customer, then User, then ShopProfile, then Counter last. Several rows of one table
are locked by primary key. A lock is taken late, once in a transaction.
"""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any, TypeVar
from uuid import UUID

from django.core.exceptions import ValidationError
from django.db import IntegrityError, models, transaction

from shop.core.models import TrailEntry
from shop.core.reasons import Reason, Refused, Stale
from shop.core.rows import no_such

M = TypeVar("M", bound=models.Model)


def lock(model: type[M], *, version: int | None = None, **lookup: Any) -> M:
    """Fetch one row again and lock it for the rest of the transaction.

    version is what the caller's page showed: another one stored raises `Stale`. Raises `Missing` when there is no
    such row, TransactionManagementError outside a transaction.
    """
    connection = transaction.get_connection()
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError("a lock lives in a transaction")
    row = _fetch(model, lookup)
    if row is None:
        sought = ", ".join(str(value) for value in lookup.values())
        raise no_such(model, sought)
    if version is not None and version != getattr(row, "version", version):
        raise stale(row, subject_id=row.pk)
    return row


def stale(row: models.Model, *, subject_id: UUID) -> Stale:
    """Return the refusal of an old page of a row: its version now, and what its subject's trail says happened last."""
    facts: dict[str, Any] = {"now": getattr(row, "version", None)}
    last = TrailEntry.objects.filter(subject_id=subject_id).order_by("-seq").first()
    if last:
        facts["last"] = {
            "what": last.what,
            "before": last.before,
            "after": last.after,
            "by_role": last.actor_role,
            "at": last.recorded_at.isoformat(),
        }
    return Stale(Reason("stale", facts))


def _fetch(model: type[M], lookup: dict[str, Any]) -> M | None:
    """Return the locked row; None also when the lookup cannot be right at all, such as a mistyped id."""
    try:
        return model._default_manager.select_for_update(of=("self",)).filter(**lookup).first()
    except (ValidationError, ValueError, OverflowError):
        return None


@contextmanager
def unique(reason: Reason) -> Iterator[None]:
    """Turn the database's refusal of a second row of the same name or code into a refusal with a sentence.

    Wrap nothing but the one statement that may meet it: any broken constraint inside reads as that reason.
    """
    try:
        with transaction.atomic():
            yield
    except IntegrityError:
        raise Refused(reason) from None


def save(row: models.Model, *fields: str) -> None:
    """Save the named fields of a locked row and count its version up, where it has one."""
    names = list(fields)
    if hasattr(row, "version"):
        row.version += 1
        names.append("version")
    row.save(update_fields=names)
