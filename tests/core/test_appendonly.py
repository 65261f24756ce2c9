"""Tables that only grow: the database itself refuses UPDATE and DELETE, whatever the program does."""

import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

import pytest
from django.apps import apps
from django.db import DatabaseError, connection, models, transaction
from django.db.migrations.loader import MigrationLoader

from shop.core import clock
from shop.core.appendonly import AppendOnly

ONLY_GROW = {
    "core.TrailEntry",
    "core.TrailSeal",
    "units.Consent",
    "notices.Attempt",
    "notices.Report",
    "notices.Template",
    "quotes.Decision",
    "quotes.DecisionPaper",
    "stock.Movement",
    "testing.Reading",
    "books.Invoice",
    "books.Payment",
    "books.Release",
    "ledger.Posting",
    "planning.Promise",
}

# What the tables' own rules ask for; everything else of a row is filled in by kind of column.
FITTING: dict[str, dict[str, Any]] = {
    "books.Invoice": {"total_minor": 2},
    "testing.Reading": {"answer": True},
}


def _declared() -> set[str]:
    """Return the models that some migration made append-only, as Room.Model."""
    loader = MigrationLoader(None, ignore_no_migrations=True)
    return {
        apps.get_model(app, operation.name)._meta.label
        for (app, _name), migration in loader.disk_migrations.items()
        for operation in migration.operations
        if isinstance(operation, AppendOnly)
    }


def _value(field: "models.Field[Any, Any]") -> Any:
    """Return some value that fits a column."""
    target = field.target_field if isinstance(field, models.ForeignKey) else field
    kinds: list[tuple[type[models.Field[Any, Any]], Any]] = [
        (models.UUIDField, uuid.uuid4()),
        (models.DateTimeField, clock.now()),
        (models.DateField, clock.now().date()),
        (models.BooleanField, True),
        (models.IntegerField, 1),
        (models.DecimalField, 1),
        (models.TextField, "{}"),
        (models.BinaryField, b"%PDF"),
        (models.CharField, uuid.uuid4().hex[: getattr(target, "max_length", None) or 1]),
    ]
    return next(value for kind, value in kinds if isinstance(target, kind))


def _row(model: type[models.Model]) -> models.Model:
    """Insert one row whose foreign keys lead nowhere; both databases look at those only when a transaction ends."""
    fields: dict[str, Any] = {
        field.attname: _value(field)
        for field in model._meta.concrete_fields
        if not (field.has_default() or field.null or field.blank or isinstance(field, models.AutoField))
    }
    return model._default_manager.create(**{**fields, **FITTING.get(model._meta.label, {})})


@contextmanager
def _undone() -> Iterator[None]:
    """Undo what the block does, before the database looks at foreign keys."""
    with transaction.atomic():
        yield
        transaction.set_rollback(True)


def test_the_models_that_only_grow_are_those_that_migrations_say() -> None:
    assert _declared() == ONLY_GROW


@pytest.mark.django_db
@pytest.mark.parametrize("label", sorted(ONLY_GROW))
def test_the_database_refuses_to_change_or_delete_a_row(label: str) -> None:
    model = apps.get_model(label)
    with _undone():
        row = _row(model)
        table, key = model._meta.db_table, model._meta.pk.column
        mine = model._default_manager.filter(pk=row.pk)
        for statement in (f"UPDATE {table} SET {key} = {key}", f"DELETE FROM {table}"):
            with pytest.raises(DatabaseError, match="only grows"), transaction.atomic():
                connection.cursor().execute(statement)
        assert mine.count() == 1


@pytest.mark.django_db
def test_the_same_attempt_succeeds_on_a_table_that_may_change() -> None:
    """The control: what refuses above is the trigger, not the way of asking."""
    model = apps.get_model("core.PersonalText")
    with _undone():
        row = _row(model)
        connection.cursor().execute(f"UPDATE {model._meta.db_table} SET text = 'other'")
        connection.cursor().execute(f"DELETE FROM {model._meta.db_table}")
        assert not model._default_manager.filter(pk=row.pk).exists()


@pytest.mark.django_db(transaction=True)
def test_the_tables_still_only_grow_after_tests_have_emptied_them(shop: object) -> None:
    """The flush for tests takes the triggers off SQLite's tables and must put them back."""
    from django.test import TransactionTestCase

    TransactionTestCase("run")._fixture_teardown()
    test_the_database_refuses_to_change_or_delete_a_row("core.TrailEntry")
