"""The broker made of files: nothing lost, nothing twice, nothing half."""

import hashlib
import multiprocessing
import signal
import threading
import time
import uuid
from multiprocessing.synchronize import Event
from pathlib import Path
from queue import Empty

import pytest
import time_machine
from kombu import Connection

from shop.core.filequeue import LEFTOVER_S, Folders, Transport, write_whole

WRITERS, READERS, EACH = 4, 2, 150
SPAWN = multiprocessing.get_context("spawn")


def link_to(folder: Path) -> Connection:
    return Connection("files://localhost", transport=Transport, transport_options={"folder": str(folder)})


def put(link: Connection, body: object) -> None:
    link.Producer(serializer="json").publish(body, routing_key="bell")


def take(link: Connection) -> object:
    """Take one message or raise Empty."""
    return link.default_channel._get("bell")


def write_many(folder: Path, writer: int) -> None:
    with link_to(folder) as link:
        for number in range(EACH):
            text = f"{writer}/{number} " + "wick " * 2000
            put(link, {"text": text, "sum": hashlib.sha256(text.encode()).hexdigest()})


def read_many(folder: Path, written: Event, seen: Path) -> None:
    with link_to(folder) as link, seen.open("w") as file:
        while True:
            last_look = written.is_set()
            message = link.default_channel.basic_get("bell", no_ack=True)
            if message is not None:
                body = message.decode()
                whole = hashlib.sha256(body["text"].encode()).hexdigest() == body["sum"]
                file.write(f"{body['text'].split()[0]} {'whole' if whole else 'broken'}\n")
            elif last_look:
                return


def write_one_large(folder: Path) -> None:
    write_whole(Folders(folder).messages / "0_large.bell.msg", b"x" * 128 * 1024**2, Folders(folder).writing)


@pytest.fixture
def folders(tmp_path: Path) -> Folders:
    made = Folders(tmp_path)
    made.make()
    return made


def test_it_delivers_each_message_once_and_whole_with_four_writers_and_two_readers(tmp_path: Path) -> None:
    written = SPAWN.Event()
    files = [tmp_path / f"seen-{number}" for number in range(READERS)]
    readers = [SPAWN.Process(target=read_many, args=(tmp_path / "broker", written, file)) for file in files]
    writers = [SPAWN.Process(target=write_many, args=(tmp_path / "broker", number)) for number in range(WRITERS)]
    for process in readers + writers:
        process.start()
    for process in writers:
        process.join(120)
    written.set()
    for process in readers:
        process.join(120)
    assert [process.exitcode for process in writers + readers] == [0] * (WRITERS + READERS)
    seen = sorted(line for file in files for line in file.read_text().splitlines())
    assert seen == sorted(f"{writer}/{number} whole" for writer in range(WRITERS) for number in range(EACH))
    left = Folders(tmp_path / "broker")
    assert [*left.messages.iterdir(), *left.writing.iterdir(), *left.taken.iterdir(), *left.unreadable.iterdir()] == []


def test_it_shows_nothing_of_a_message_whose_writer_was_killed(tmp_path: Path, folders: Folders) -> None:
    writer = SPAWN.Process(target=write_one_large, args=(tmp_path,))
    writer.start()
    while not any(folders.writing.iterdir()):
        time.sleep(0.001)
    writer.kill()
    writer.join(30)
    assert writer.exitcode == -signal.SIGKILL
    assert len(list(folders.writing.iterdir())) == 1
    with link_to(tmp_path) as link:
        with pytest.raises(Empty):
            take(link)
        put(link, "after")
        assert take(link)["properties"]["delivery_tag"]


def test_it_throws_away_what_a_dead_writer_left_and_keeps_what_is_being_written(folders: Folders) -> None:
    draft = folders.writing / "draft"
    draft.write_bytes(b"half")
    folders.tidy()
    assert draft.exists()
    with time_machine.travel(time.time() + LEFTOVER_S + 1):
        folders.tidy()
    assert not draft.exists()


def test_it_puts_back_what_a_dead_reader_took(tmp_path: Path, folders: Folders) -> None:
    with link_to(tmp_path) as link:
        put(link, "ring")
        (message,) = folders.messages.iterdir()
        message.rename(folders.taken / message.name)
        with pytest.raises(Empty):
            take(link)
        with time_machine.travel(time.time() + LEFTOVER_S + 1):
            folders.tidy()
        assert take(link)
    assert list(folders.taken.iterdir()) == []


@pytest.mark.parametrize("content", [b"", b'{"body": "half', b"\xff\xfe"])
def test_it_sets_an_unreadable_file_aside_and_goes_on(tmp_path: Path, folders: Folders, content: bytes) -> None:
    (folders.messages / f"0_{uuid.uuid4()}.bell.msg").write_bytes(content)
    with link_to(tmp_path) as link:
        put(link, "ring")
        assert take(link)
        with pytest.raises(Empty):
            take(link)
    assert len(list(folders.unreadable.iterdir())) == 1


def test_it_hands_out_messages_in_the_order_of_writing(tmp_path: Path) -> None:
    with link_to(tmp_path) as link:
        for number in range(20):
            put(link, number)
        read = [link.default_channel.basic_get("bell", no_ack=True).decode() for _ in range(20)]
    assert read == list(range(20))


def test_it_loses_no_binding_when_many_bind_at_once(tmp_path: Path) -> None:
    def bind(number: int) -> None:
        with link_to(tmp_path) as link:
            link.default_channel._queue_bind("many", f"key-{number}", "", f"queue-{number}")

    threads = [threading.Thread(target=bind, args=(number,)) for number in range(24)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    with link_to(tmp_path) as link:
        channel = link.default_channel
        assert {row.queue for row in channel.get_table("many")} == {f"queue-{number}" for number in range(24)}
        channel._delete("queue-3", "many", "key-3", "")
        assert "queue-3" not in {row.queue for row in channel.get_table("many")}


def test_it_counts_and_empties_a_queue(tmp_path: Path) -> None:
    with link_to(tmp_path) as link:
        for number in range(3):
            put(link, number)
        assert link.default_channel._size("bell") == 3
        assert link.default_channel._purge("bell") == 3
        assert link.default_channel._size("bell") == 0


def test_it_is_the_transport_that_the_shop_uses() -> None:
    from shop.celery import app

    with app.connection_for_write() as link:
        assert isinstance(link.transport, Transport)
        link.connect()
    assert Path(app.conf.broker_transport_options["folder"], "messages").is_dir()
