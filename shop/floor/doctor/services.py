"""Does what the shop stands on answer: database, tables, broker, worker."""

import time
import uuid
from datetime import timedelta

import kombu
from celery import current_app
from django.db import DatabaseError, connection
from django.db.migrations.executor import MigrationExecutor
from django.utils.translation import gettext as _
from kombu.exceptions import OperationalError

from shop.core import clock
from shop.core.models import DueWork
from shop.core.tasks import worker_seen_at
from shop.floor.doctor.answer import Answer, State

# Sweeps come every 5 s; a worker that missed a dozen of them is not merely busy.
WORKER_SILENT = timedelta(minutes=1)
BROKER_WAIT_S = 5.0


def database() -> Answer:
    """Tell whether the database answers, and on SQLite whether it is set up to survive many writers."""
    try:
        with connection.cursor() as cursor:
            if connection.vendor != "sqlite":
                cursor.execute("SELECT 1")
                return State.OK, _("The database answers.")
            journal = cursor.execute("PRAGMA journal_mode").fetchone()[0]
            foreign_keys = cursor.execute("PRAGMA foreign_keys").fetchone()[0]
    except DatabaseError as problem:
        return State.MEND, _(
            "The database does not answer ({problem}). Start it, or correct WICKLINE_DATABASE_URL."
        ).format(problem=str(problem).strip().splitlines()[0])
    if journal != "wal" or not foreign_keys:
        return State.MEND, _(
            "The database file does not take write-ahead logging or foreign keys. Put WICKLINE_DATA_DIR on a disk of "
            "this machine, not on a network folder."
        )
    return State.OK, _("The database answers, with write-ahead logging and foreign keys on.")


def migrated() -> Answer:
    """Tell whether the tables are those that this program expects."""
    executor = MigrationExecutor(connection)
    missing = len(executor.migration_plan(executor.loader.graph.leaf_nodes()))
    if missing:
        return State.MEND, _("{missing} changes of the tables are missing. Run: manage.py migrate").format(
            missing=missing
        )
    return State.OK, _("All tables are as this version needs them.")


def broker_answers() -> Answer:
    """Tell whether the broker can be reached."""
    try:
        with current_app.connection_for_write() as link:
            link.ensure_connection(max_retries=1, interval_start=0, interval_step=0)
    except (OperationalError, OSError) as problem:
        return State.MEND, _no_broker(problem)
    return State.OK, _("The broker answers.")


def broker() -> Answer:
    """Send a message through the broker and read it back."""
    name, sent = f"doctor-{uuid.uuid4().hex}", uuid.uuid4().hex
    try:
        with current_app.connection_for_write() as link:
            link.ensure_connection(max_retries=1, interval_start=0, interval_step=0)
            queue = kombu.Queue(name, auto_delete=True, channel=link.default_channel)
            queue.queue_declare()
            link.Producer(serializer="json").publish(sent, routing_key=name)
            came = _read(queue)
    except (OperationalError, OSError) as problem:
        return State.MEND, _no_broker(problem)
    if came != sent:
        return State.MEND, _("A message sent to the broker did not come back within {seconds} s.").format(
            seconds=int(BROKER_WAIT_S)
        )
    return State.OK, _("A message went to the broker and came back.")


def _read(queue: kombu.Queue) -> str:
    deadline = time.monotonic() + BROKER_WAIT_S
    while time.monotonic() < deadline:
        message = queue.get(no_ack=True)
        if message is not None:
            return str(message.payload)
        time.sleep(0.05)
    return ""


def _no_broker(problem: Exception) -> str:
    return _("The broker cannot be reached ({problem}). Start it, or correct WICKLINE_BROKER_URL.").format(
        problem=problem
    )


def worker() -> Answer:
    """Tell whether a worker swept lately, which takes beat, broker and worker."""
    seen = worker_seen_at()
    if seen is None:
        return State.ADVICE, _("No worker has run here yet. Messages wait until one does: manage.py serve")
    silent = clock.now() - seen
    if silent > WORKER_SILENT:
        return State.MEND, _("No worker was heard of since {seen} UTC. Messages wait. Start: manage.py serve").format(
            seen=f"{seen:%Y-%m-%d %H:%M}"
        )
    return State.OK, _("A worker swept {seconds} s ago.").format(seconds=max(0, int(silent.total_seconds())))


def due_work() -> Answer:
    """Tell whether background work was given up."""
    failed = DueWork.objects.filter(state=DueWork.State.FAILED)
    newest = failed.order_by("-due_at").first()
    if newest is None:
        return State.OK, _("No background work was given up.")
    return State.MEND, _("{count} pieces of background work were given up, the last one {task}: {error}").format(
        count=failed.count(), task=newest.task, error=newest.error
    )
