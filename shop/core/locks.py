"""How rows are locked, and in which order.

PostgreSQL locks the row; SQLite has no row locks, but every transaction here begins IMMEDIATE and so holds the one
write lock. Order across tables, to rule out a deadlock: Unit, then what hangs on a unit (Hold, Bag, Quote, Visit,
Invoice), then Place, then Lot, then Customer, then Counter last. Several rows of one table are locked by primary key.
A lock is taken late, once in a transaction.
"""

from typing import Any, TypeVar

from django.db import models, transaction

from shop.core.reasons import Missing, Reason, Stale

M = TypeVar("M", bound=models.Model)


def lock(model: type[M], *, version: int | None = None, **lookup: Any) -> M:
    """Fetch one row again and lock it for the rest of the transaction.

    version is what the caller's page showed: another one stored raises `Stale`. Raises `Missing` when there is no
    such row, TransactionManagementError outside a transaction.
    """
    connection = transaction.get_connection()
    if not connection.in_atomic_block:
        raise transaction.TransactionManagementError("a lock lives in a transaction")
    row = model._default_manager.select_for_update(of=("self",)).filter(**lookup).first()
    if row is None:
        sought = ", ".join(str(value) for value in lookup.values())
        raise Missing(Reason("missing", {"thing": str(model._meta.verbose_name), "sought": sought}))
    if version is not None and version != getattr(row, "version", version):
        raise Stale(Reason("stale", {"now": row.version}))  # type: ignore[attr-defined]
    return row


def save(row: models.Model, *fields: str) -> None:
    """Save the named fields of a locked row and count its version up, where it has one."""
    names = list(fields)
    if hasattr(row, "version"):
        row.version += 1
        names.append("version")
    row.save(update_fields=names)
