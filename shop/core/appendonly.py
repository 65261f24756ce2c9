"""Tables that only grow: triggers that refuse UPDATE and DELETE, on both databases.

SQLite drops a table's triggers when a migration rebuilds it, so every later migration of such a table repeats the
operation. There is no trigger on TRUNCATE: tests empty PostgreSQL's tables that way.
"""

from typing import Any

from django.db.backends.base.schema import BaseDatabaseSchemaEditor
from django.db.migrations.operations.base import Operation
from django.db.migrations.state import ProjectState


def create_statements(vendor: str, table: str) -> list[str]:
    """Return the SQL that makes a table append-only on sqlite or postgresql."""
    if vendor == "sqlite":
        return [
            f"CREATE TRIGGER IF NOT EXISTS {table}_no_{act.lower()} BEFORE {act} ON {table} "
            f"BEGIN SELECT RAISE(ABORT, '{table} only grows'); END"
            for act in ("UPDATE", "DELETE")
        ]
    return [
        f"CREATE OR REPLACE FUNCTION {table}_only_grows() RETURNS trigger LANGUAGE plpgsql AS "
        f"$$ BEGIN RAISE EXCEPTION '{table} only grows' USING ERRCODE = 'restrict_violation'; END $$",
        f"DROP TRIGGER IF EXISTS {table}_only_grows ON {table}",
        f"CREATE TRIGGER {table}_only_grows BEFORE UPDATE OR DELETE ON {table} "
        f"FOR EACH ROW EXECUTE FUNCTION {table}_only_grows()",
    ]


def drop_statements(vendor: str, table: str) -> list[str]:
    """Return the SQL that takes the triggers off again, for reversing a migration and for the tests' flush."""
    if vendor == "sqlite":
        return [f"DROP TRIGGER IF EXISTS {table}_no_{act}" for act in ("update", "delete")]
    return [
        f"DROP TRIGGER IF EXISTS {table}_only_grows ON {table}",
        f"DROP FUNCTION IF EXISTS {table}_only_grows()",
    ]


class AppendOnly(Operation):
    """Migration operation: the named model's table only grows from here on."""

    reversible = True
    reduces_to_sql = True

    def __init__(self, name: str) -> None:
        self.name = name

    def state_forwards(self, app_label: str, state: ProjectState) -> None:
        """Change nothing in Django's picture of the tables."""

    def _run(self, statements: Any, app_label: str, editor: BaseDatabaseSchemaEditor, state: ProjectState) -> None:
        table = state.apps.get_model(app_label, self.name)._meta.db_table
        for statement in statements(editor.connection.vendor, table):
            editor.execute(statement, params=None)

    def database_forwards(
        self, app_label: str, schema_editor: BaseDatabaseSchemaEditor, _from_state: ProjectState, to_state: ProjectState
    ) -> None:
        """Create the triggers."""
        self._run(create_statements, app_label, schema_editor, to_state)

    def database_backwards(
        self, app_label: str, schema_editor: BaseDatabaseSchemaEditor, _from_state: ProjectState, to_state: ProjectState
    ) -> None:
        """Drop the triggers."""
        self._run(drop_statements, app_label, schema_editor, to_state)

    def describe(self) -> str:
        """Say it in the output of migrate."""
        return f"Let {self.name} only grow"
