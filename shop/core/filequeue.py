"""A broker made of files, for a shop on one machine.

kombu's file-system transport, with the parts replaced that let a reader meet half a file: every file here is written
aside, synced, and then renamed to where readers look, which the system does whole or not at all. A message that a
reader took and did not live to read is put back. What a worker had in hand when it was killed is lost, as with any
broker: the tables (outbox, due work) are the truth, and a message only rings.
"""

import fcntl
import logging
import os
import time
import uuid
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from functools import cached_property
from pathlib import Path
from queue import Empty
from typing import Any

from kombu.transport import filesystem, virtual
from kombu.transport.filesystem import exchange_queue_t
from kombu.utils.json import dumps, loads

log = logging.getLogger("wickline.broker")

# Writing or reading one message takes milliseconds: a file this old belongs to a process that is gone.
LEFTOVER_S = 60.0
TIDY_EVERY_S = 30.0
Table = list[exchange_queue_t]


def write_whole(target: Path, content: bytes, aside: Path) -> None:
    """Write a file that readers see whole or not at all. aside is a folder of the same file system.

    Raises OSError; then no file appears at the target.
    """
    draft = aside / f"{target.name}.{uuid.uuid4().hex}"
    try:
        with draft.open("xb") as file:
            file.write(content)
            file.flush()
            os.fsync(file.fileno())
        draft.replace(target)
    finally:
        draft.unlink(missing_ok=True)


class Folders:
    """Where a broker keeps its files: messages to read, drafts, messages being read, unreadable ones, bindings."""

    def __init__(self, root: Path) -> None:
        self.messages = root / "messages"
        self.writing = root / "writing"
        self.taken = root / "taken"
        self.unreadable = root / "unreadable"
        self.control = root / "control"

    def make(self) -> None:
        """Make the folders that are missing. Raises OSError."""
        for folder in vars(self).values():
            folder.mkdir(parents=True, exist_ok=True)

    def tidy(self) -> None:
        """Put back what dead readers took and throw away what dead writers began."""
        for draft in _leftovers(self.writing):
            draft.unlink(missing_ok=True)
        for message in _leftovers(self.taken):
            _move(message, self.messages)


def _leftovers(folder: Path) -> Iterator[Path]:
    oldest_in_use = time.time() - LEFTOVER_S
    for file in list(folder.iterdir()):
        try:
            # The time of the last rename, not of the writing: a message may lie in the queue for hours.
            if file.stat().st_ctime < oldest_in_use:
                yield file
        except FileNotFoundError:
            continue


def _move(file: Path, folder: Path) -> Path | None:
    """Rename a file into a folder; None when another process was quicker."""
    try:
        return file.rename(folder / file.name)
    except FileNotFoundError:
        return None


class Channel(filesystem.Channel):
    """A channel whose files are whole. Its one option is `folder`."""

    _tidied_at = 0.0

    @cached_property
    def folders(self) -> Folders:
        """Return the broker's folders."""
        return Folders(Path(self.transport_options["folder"]))

    @property
    def data_folder_in(self) -> str:
        """Return the folder that purging and counting look into."""
        return str(self.folders.messages)

    @property
    def control_folder(self) -> Path:
        """Return the folder of the bindings between exchanges and queues."""
        return self.folders.control

    def _put(self, queue: str, payload: Any, **_more: Any) -> None:
        # The time in front keeps the order over a restart of the machine, which kombu's monotonic clock does not.
        name = f"{time.time_ns():020d}_{uuid.uuid4()}.{queue}.msg"
        write_whole(self.folders.messages / name, dumps(payload).encode(), self.folders.writing)

    def _get(self, queue: str) -> Any:
        self._tidy_now_and_then()
        for name in sorted(os.listdir(self.folders.messages)):
            if name.partition(".")[2] != f"{queue}.msg":
                continue
            taken = _move(self.folders.messages / name, self.folders.taken)
            if taken is None:
                continue
            try:
                payload = loads(taken.read_text())
            except ValueError:
                log.warning(
                    "The message file %s cannot be read and was set aside in %s.", name, self.folders.unreadable
                )
                _move(taken, self.folders.unreadable)
                continue
            taken.unlink()
            return payload
        raise Empty

    def _tidy_now_and_then(self) -> None:
        if time.monotonic() - self._tidied_at > TIDY_EVERY_S:
            self._tidied_at = time.monotonic()
            self.folders.tidy()

    def get_table(self, exchange: str) -> Table:
        """Return the queues bound to an exchange."""
        try:
            rows = loads(self._exchange_file(exchange).read_text())
        except FileNotFoundError:
            return []
        return [exchange_queue_t(*row) for row in rows]

    def _queue_bind(self, exchange: str, routing_key: str, pattern: str, queue: str) -> None:
        row = exchange_queue_t(routing_key or "", pattern or "", queue or "")
        self._change_table(exchange, lambda rows: rows if row in rows else [row, *rows])

    def _delete(self, queue: str, exchange: str, routing_key: str, pattern: str, *_more: Any, **_named: Any) -> None:
        virtual.Channel._delete(self, queue)
        row = exchange_queue_t(routing_key or "", pattern or "", queue or "")
        self._change_table(exchange, lambda rows: [kept for kept in rows if kept != row])

    def _change_table(self, exchange: str, change: Callable[[Table], Table]) -> None:
        file = self._exchange_file(exchange)
        with _alone(self.folders.control / ".lock"):
            before = self.get_table(exchange)
            after = change(before)
            if after != before:
                write_whole(file, dumps(after).encode(), self.folders.writing)


@contextmanager
def _alone(lock_file: Path) -> Iterator[None]:
    """Let one process at a time change the bindings."""
    with lock_file.open("a") as held:
        fcntl.flock(held, fcntl.LOCK_EX)
        yield


class Transport(filesystem.Transport):
    """What the broker address `files://` stands for; shop/celery.py tells kombu so."""

    Channel = Channel
    global_state = virtual.BrokerState()

    def establish_connection(self) -> Any:
        """Make the folders, so that one that cannot be written shows as a broker that is away."""
        Folders(Path(self.client.transport_options["folder"])).make()
        return super().establish_connection()
