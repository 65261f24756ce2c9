"""Starts the pages, the worker and beat as processes, starts again what dies, and stops them together."""

import ctypes
import http.client
import os
import signal
import socket
import subprocess
import sys
import threading
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType

from django.conf import settings

from shop.core.onlyone import Taken, hold

LOOK_EVERY_S = 0.2
GRACE_S = 15.0
FIRST_WAIT_S = 1.0
LONGEST_WAIT_S = 30.0
# The pages, named first, start alone: three programs that load at once on two cores keep people waiting longest.
HEAD_START_S = 2.5
# Who lived so long died of something else than a bad start: the waits begin anew.
SETTLED_S = 60.0
# So many deaths in a row before the pages ever answered: something is wrong that a restart does not mend.
HOPELESS = 5
_DIE_WITH_PARENT = 1  # PR_SET_PDEATHSIG, prctl(2)


class CannotRun(Exception):
    """The shop cannot be started; the text says why and what to do."""


def commands(*, host: str, port: int) -> dict[str, list[str]]:
    """Return the command of each process; docker-compose.yml runs the same."""
    python, celery = [sys.executable, "-m"], ["celery", "-A", "shop"]
    web = ["gunicorn", "shop.wsgi:application", "--bind", f"{host}:{port}", "--workers", "2", "--threads", "8"]
    quiet = ["--no-control-socket", "--graceful-timeout", "10", "--log-level", "warning"]
    alone = ["--without-gossip", "--without-mingle", "--without-heartbeat"]
    return {
        "web": [*python, *web, *quiet],
        "worker": [*python, *celery, "--quiet", "worker", *alone, "--loglevel", "WARNING"],
        "beat": [*python, *celery, "--quiet", "beat", "--pidfile=", "--loglevel", "WARNING"],
    }


def _say(line: str) -> None:
    print(line, flush=True)


def end_with_parent() -> None:
    """Have the kernel stop a child whose supervisor was killed (Linux; elsewhere the child stays)."""
    if sys.platform == "linux":
        ctypes.CDLL(None).prctl(_DIE_WITH_PARENT, signal.SIGTERM)


@dataclass
class Child:
    """One process that is kept running."""

    name: str
    command: list[str]
    environ: Mapping[str, str]
    process: subprocess.Popen[bytes] | None = None
    began: float = 0.0
    begin_at: float = 0.0
    deaths: int = 0

    def start(self, now: float) -> None:
        """Start the process in a session of its own, so that Ctrl-C reaches the supervisor alone."""
        self.process = subprocess.Popen(  # noqa: S603
            self.command,
            env=dict(self.environ),
            cwd=settings.BASE_DIR,
            start_new_session=True,
            stdin=subprocess.DEVNULL,
            preexec_fn=end_with_parent,  # noqa: PLW1509 - the supervisor has one thread
        )
        self.began = now

    def died(self, now: float) -> int | None:
        """Return the exit code of a process that has just ended, and set the time of the next start."""
        code = self.process.poll() if self.process else None
        if code is None:
            return None
        self.process = None
        self.deaths = 1 if now - self.began > SETTLED_S else self.deaths + 1
        self.begin_at = now + min(FIRST_WAIT_S * 2 ** (self.deaths - 1), LONGEST_WAIT_S)
        return code


@dataclass
class Supervisor:
    """Keeps children running until `stop` is set, or until a child proves hopeless before `ready` was ever true."""

    commands: Mapping[str, list[str]]
    environ: Mapping[str, str]
    ready: Callable[[], bool] = lambda: True
    on_ready: Callable[[], None] = lambda: None
    say: Callable[[str], None] = _say
    stopping: threading.Event = field(default_factory=threading.Event)

    def __post_init__(self) -> None:
        self.children = [Child(name, command, self.environ) for name, command in self.commands.items()]
        self.was_ready = False

    def run(self) -> int:
        """Run until told to stop. Returns 0, or 1 when it gave up."""
        try:
            for child in self.children[1:]:
                child.begin_at = time.monotonic() + HEAD_START_S
            while not self.stopping.is_set():
                if self._tend():
                    return 1
                if not self.was_ready and self.ready():
                    self.was_ready = True
                    self.on_ready()
                self.stopping.wait(LOOK_EVERY_S)
            return 0
        finally:
            self.stop_children()

    def _tend(self) -> bool:
        """Start what should run and does not. Returns whether to give up."""
        now = time.monotonic()
        for child in self.children:
            code = child.died(now)
            if code is not None:
                wait_s = child.begin_at - now
                self.say(f"{child.name:<7} ended with code {code}; starts again in {wait_s:.0f} s")
                if child.deaths >= HOPELESS and not self.was_ready:
                    self.say(f"{child.name} ended {child.deaths} times in a row; the lines above say why. Giving up.")
                    return True
            if child.process is None and now >= child.begin_at:
                child.start(now)
                self.say(f"{child.name:<7} started (process {child.process.pid if child.process else '?'})")
        return False

    def stop_children(self) -> None:
        """Ask every child to end, wait, and end by force what does not."""
        running = [child for child in self.children if child.process and child.process.poll() is None]
        for child in running:
            self._signal(child, signal.SIGTERM)
        deadline = time.monotonic() + GRACE_S
        for child in running:
            if child.process is None:
                continue
            try:
                child.process.wait(max(0.1, deadline - time.monotonic()))
            except subprocess.TimeoutExpired:
                self.say(f"{child.name:<7} does not end; ending it by force")
                self._signal(child, signal.SIGKILL)
                child.process.wait()
        self.say("stopped")

    @staticmethod
    def _signal(child: Child, number: signal.Signals) -> None:
        if child.process is None:
            return
        with suppress(ProcessLookupError):
            if number == signal.SIGKILL:
                os.killpg(child.process.pid, number)
            else:
                child.process.send_signal(number)


def _answers(host: str, port: int) -> bool:
    """Tell whether /readyz says that the shop is ready."""
    near = "127.0.0.1" if host in ("0.0.0.0", "") else host  # noqa: S104
    connection = http.client.HTTPConnection(near, port, timeout=2)
    try:
        connection.request("GET", "/readyz", headers={"Host": "127.0.0.1"})
        return connection.getresponse().status == http.HTTPStatus.OK
    except (OSError, http.client.HTTPException):
        return False
    finally:
        connection.close()


def _check_port(host: str, port: int) -> None:
    try:
        socket.create_server((host, port)).close()
    except OSError as problem:
        raise CannotRun(
            f"Port {port} on {host} cannot be used ({problem.strerror}). Stop what uses it or choose another: --port."
        ) from None


@contextmanager
def _signals_to(event: threading.Event) -> Iterator[None]:
    """Let Ctrl-C, SIGTERM and a closed terminal set an event, for the length of a with block."""

    def set_event(_number: int, _frame: FrameType | None) -> None:
        event.set()

    before = {number: signal.signal(number, set_event) for number in (signal.SIGINT, signal.SIGTERM, signal.SIGHUP)}
    try:
        yield
    finally:
        for number, handler in before.items():
            signal.signal(number, handler)


def run(
    *,
    host: str,
    port: int,
    extra_env: Mapping[str, str] | None = None,
    on_ready: Callable[[], None] = lambda: None,
) -> int:
    """Run the whole shop until Ctrl-C or SIGTERM. Called in the main thread, since it takes the signals over.

    host and port: where the pages listen. extra_env: settings for the processes, over the present environment.
    on_ready: called once, when /readyz first answers that all is well. Returns the exit code: 0 after a wished stop,
    1 after giving up. Raises CannotRun when the port is taken or another supervisor runs on the data folder.
    """
    environ = {**os.environ, "PYTHONUNBUFFERED": "1", **(extra_env or {})}
    data_dir = Path(environ.get("WICKLINE_DATA_DIR") or settings.DATA_DIR)
    _check_port(host, port)
    try:
        held = hold(data_dir / "running.lock")
    except Taken as taken:
        raise CannotRun(f"The shop already runs on {data_dir} (process {taken.holder}). Stop that one first.") from None
    supervisor = Supervisor(
        commands(host=host, port=port), environ, ready=lambda: _answers(host, port), on_ready=on_ready
    )
    with held, _signals_to(supervisor.stopping):
        return supervisor.run()
