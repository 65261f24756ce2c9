"""What dies is started again, and all stops together."""

import os
import re
import signal
import socket
import sys
import threading
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from shop.core import supervisor
from shop.core.supervisor import CannotRun, Supervisor, commands
from tests.core.running import OwnShop, alive, free_port, wait_until

SLEEPER = [sys.executable, "-c", "import time; time.sleep(600)"]
STUBBORN = [
    sys.executable,
    "-c",
    "import signal, time; signal.signal(signal.SIGTERM, signal.SIG_IGN); print('deaf', flush=True); time.sleep(600)",
]


@contextmanager
def kept(*children: list[str], lines: list[str] | None = None) -> Iterator[Supervisor]:
    """Run a supervisor over the commands in a thread, and stop it."""
    watched = Supervisor(
        {f"child{number}": command for number, command in enumerate(children)},
        os.environ,
        say=(lines if lines is not None else []).append,
    )
    thread = threading.Thread(target=watched.run)
    thread.start()
    try:
        yield watched
    finally:
        watched.stopping.set()
        thread.join(30)
        assert not thread.is_alive()


def pid_of(watched: Supervisor, number: int = 0) -> int:
    wait_until(lambda: watched.children[number].process, what="a started child", seconds=10)
    process = watched.children[number].process
    assert process is not None
    return process.pid


def test_it_starts_again_what_was_killed_and_leaves_the_others_alone() -> None:
    lines: list[str] = []
    with kept(SLEEPER, SLEEPER, lines=lines) as watched:
        first, other = pid_of(watched, 0), pid_of(watched, 1)
        os.kill(first, signal.SIGKILL)
        wait_until(lambda: sum("child0" in line for line in lines) == 3, what="started, ended, started", seconds=15)
        second = pid_of(watched, 0)
        assert alive(second)
        assert second != first
        assert pid_of(watched, 1) == other
    assert not alive(second)
    assert not alive(other)
    assert lines[2] == "child0  ended with code -9; starts again in 1 s"
    assert lines[-1] == "stopped"


def test_it_waits_longer_after_each_death_and_gives_up_when_nothing_ever_worked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(supervisor, "FIRST_WAIT_S", 0.02)
    monkeypatch.setattr(supervisor, "HEAD_START_S", 0)
    monkeypatch.setattr(supervisor, "LOOK_EVERY_S", 0.01)
    lines: list[str] = []
    failing = [sys.executable, "-c", "raise SystemExit(3)"]
    watched = Supervisor({"web": failing, "beat": SLEEPER}, os.environ, ready=lambda: False, say=lines.append)
    assert watched.run() == 1
    assert sum("web     ended with code 3" in line for line in lines) == supervisor.HOPELESS
    assert "web ended 5 times in a row; the lines above say why. Giving up." in lines
    beat = watched.children[1].process
    assert beat is not None
    assert not alive(beat.pid)


def test_it_ends_by_force_what_does_not_listen(
    monkeypatch: pytest.MonkeyPatch, capfd: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(supervisor, "GRACE_S", 0.5)
    lines: list[str] = []
    heard: list[str] = []

    def is_deaf() -> bool:
        heard.append(capfd.readouterr().out)
        return "deaf" in "".join(heard)

    with kept(STUBBORN, lines=lines) as watched:
        pid = pid_of(watched)
        wait_until(is_deaf, what="a child that ignores SIGTERM", seconds=15)
    assert not alive(pid)
    assert lines[-2:] == ["child0  does not end; ending it by force", "stopped"]


def test_it_tells_once_that_all_is_ready() -> None:
    calls: list[str] = []
    answers = iter([False, False])
    watched = Supervisor(
        {"web": SLEEPER}, os.environ, ready=lambda: next(answers, True), on_ready=lambda: calls.append("ready"),
        say=lambda _line: None,
    )  # fmt: skip
    thread = threading.Thread(target=watched.run)
    thread.start()
    wait_until(lambda: calls, what="ready", seconds=15)
    watched.stopping.wait(0.6)
    watched.stopping.set()
    thread.join(30)
    assert calls == ["ready"]


def test_it_says_which_port_is_taken() -> None:
    port = free_port()
    refused = pytest.raises(CannotRun, match=f"Port {port} on 127.0.0.1 cannot be used")
    with socket.create_server(("127.0.0.1", port)), refused:
        supervisor.run(host="127.0.0.1", port=port)


class Served:
    """`manage.py serve` of one shop, and what it says."""

    def __init__(self, shop: OwnShop, log: Path) -> None:
        self.shop, self.log, self.port = shop, log, free_port()
        self.process = shop.start(sys.executable, "manage.py", "serve", "--port", str(self.port), log=log)
        wait_until(lambda: "The shop is open" in self.says() or self.process.poll() is not None, what="an open shop")
        assert self.process.poll() is None, self.says()
        wait_until(lambda: self.pids("beat"), what="worker and beat, which the pages go before")

    def says(self) -> str:
        return self.log.read_text()

    def pids(self, name: str) -> list[int]:
        return [int(pid) for pid in re.findall(rf"^{name} +started \(process (\d+)\)", self.says(), flags=re.M)]

    def get(self, path: str) -> str:
        with urllib.request.urlopen(f"http://127.0.0.1:{self.port}{path}", timeout=10) as answer:
            return str(answer.read().decode())


@pytest.fixture
def served(own_shop: OwnShop, tmp_path: Path) -> Iterator[Served]:
    running = Served(own_shop, tmp_path / "serve.log")
    yield running
    if running.process.poll() is None:
        running.process.terminate()
        running.process.wait(40)


def test_it_serves_the_whole_shop_survives_a_killed_worker_and_stops_clean(served: Served, own_shop: OwnShop) -> None:
    assert served.get("/livez") == "The shop runs.\n"
    assert "Ready" in served.get("/readyz")
    password = re.search(r"Sign in as owner with the password (\S+)", served.says())
    assert password
    assert own_shop.ask(
        "from shop.people.models import User; u = User.objects.get();"
        f"print(u.username, u.role, u.check_password({password[1]!r}))"
    ) == "owner owner True"  # fmt: skip

    wait_until(
        lambda: own_shop.manage("doctor", "--only", "worker", check=False).stdout.startswith("ok"), what="a sweep"
    )
    os.kill(served.pids("worker")[0], signal.SIGKILL)
    wait_until(lambda: len(served.pids("worker")) == 2, what="another worker")
    own_shop.ask("from shop.core.duework import wake; wake('core.do_due_work', '00000000-0000-0000-0000-000000000000')")
    wait_until(
        lambda: own_shop.count("core_duework WHERE state = 'done' AND attempts = 1") == 1,
        what="due work that the second worker did",
    )

    second = own_shop.manage("serve", "--port", str(free_port()), check=False)
    assert second.returncode == 1
    assert f"already runs on {own_shop.folder} (process {served.process.pid})" in second.stderr

    pids = [served.pids(name)[-1] for name in ("web", "worker", "beat")]
    served.process.send_signal(signal.SIGINT)
    assert served.process.wait(40) == 0
    assert not any(alive(pid) for pid in pids)
    assert served.says().rstrip().endswith("stopped")


def test_its_processes_end_when_it_is_killed(served: Served) -> None:
    pids = [served.pids(name)[-1] for name in ("web", "worker", "beat")]
    assert all(alive(pid) for pid in pids)
    served.process.kill()
    served.process.wait(10)
    wait_until(lambda: not any(alive(pid) for pid in pids), what="the end of web, worker and beat", seconds=40)


def test_a_second_beat_ends_at_once_and_says_why(own_shop: OwnShop, tmp_path: Path) -> None:
    beat = commands(host="127.0.0.1", port=1)["beat"]
    first = own_shop.start(*beat, log=tmp_path / "first")
    try:
        wait_until(lambda: (tmp_path / "beat.lock").is_file() and (tmp_path / "beat.lock").read_text(), what="a lock")
        second = own_shop.start(*beat, log=tmp_path / "second")
        assert second.wait(60) == 1
        assert f"Another beat already runs on {tmp_path} (process {first.pid})" in (tmp_path / "second").read_text()
        assert first.poll() is None
    finally:
        first.terminate()
        first.wait(30)
